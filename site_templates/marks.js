"use strict";
// Marks by touch and by key. A mark is kept in this browser before anything else; then it is sent
// home (pages that weeksync serves), or stays until it is handed over or saved as a file. What
// waits and what was just sent lies over the page until the page itself says it.
(() => {
  /** @typedef {{id: string, date: string, person: string, value: string, was?: string}} Said */
  /**
   * A kept mark: `was` is what the page said before; `taken` and `saved` say when home answered
   * and when it was put into a file (ms); `refused` is why home did not take it. `as` is whose own
   * page it was made on: it goes home from there alone, where that person has unlocked.
   * @typedef {Said & {recorded_at: string, device: string, taken?: number, saved?: number,
   *   refused?: string, as?: string}} Kept
   */
  const
    { dir, dataset: { home, zone, locale, tree } } = document.documentElement,
    isServed = typeof served !== "undefined",
    person = (isServed && tree === "own" && served.person) || undefined,
    /** @type {(css: string, from?: ParentNode) => any} */
    $ = (css, from = document) => from.querySelector(css),
    /** @type {(css: string, from?: ParentNode) => any[]} */
    $$ = (css, from = document) => [...from.querySelectorAll(css)],
    today = () => new Date().toLocaleDateString("sv", { timeZone: zone }),
    on = addEventListener,
    /** @type {(list: unknown[], by?: string) => string} */
    joined = (list, by = " ") => list.filter(Boolean).join(by),
    /** @type {(value: unknown) => string} */
    number = (value) => Number(value).toLocaleString(locale),

    // A key a mark: tabs that write at once take nothing from each other. What the browser does
    // not keep stays in memory, and the page says so.
    prefix = `weeksync:${home}:`,
    /** @type {Record<string, string>} */
    loose = {},
    /** @type {() => Record<string, string>} */
    kept = () => {
      try {
        return { ...localStorage, ...loose };
      } catch {
        return loose;
      }
    },
    /** @type {(name: string, text?: string) => void} */
    write = (name, text) => {
      const key = prefix + name;
      delete loose[key];
      try {
        if (text) localStorage[key] = text;
        else delete localStorage[key];
      } catch {
        if (text) loose[key] = text;
      }
    },
    /** @type {(name: string) => string} */
    read = (name) => kept()[prefix + name] || "",
    /** @type {(mark: Kept, more?: object) => void} without `more` the mark is forgotten */
    keep = (mark, more) =>
      write(`@${mark.recorded_at} ${mark.id}`, more && JSON.stringify({ ...mark, ...more })),
    device = read("device") || `tablet-${Math.random().toString(16).slice(2, 6)}`,

    /** @type {Said[][]} */
    before = [], // what stood before each change made here, for undo
    /** @type {(() => void)[]} */
    listeners = [],
    /** @type {(mark?: Kept) => boolean} */
    waits = (mark) => !!mark && !mark.taken && !mark.refused,
    /** @type {(mark: Kept) => unknown} */
    isOurs = (mark) => !mark.as || mark.as === person,
    /** @type {(id?: string, date?: string, since?: string) => Kept | undefined} */
    find = (id, date, since = "x") =>
      marks.filter((one) => one.id === id && !one.refused && (one.date === date || one.date >= since)).at(-1),
    /** @type {(list: Said[]) => void} */
    record = (list) => {
      for (const one of list) {
        // Never earlier than the one before, whatever the clock does; no two at once, either.
        // A slow clock does not put it before what was to be seen; of equals the last written holds.
        const ms = Math.max(Date.now(), Number(read("last")) + 1, +$("main").dataset.seen || 0);
        write("last", `${ms}`);
        keep({ ...one, recorded_at: new Date(ms).toISOString(), device, as: person }, {});
      }
      changed();
      for (const el of cells()) if (over(el)?.recorded_at === marks.at(-1)?.recorded_at) say($(".touch", el).ariaLabel);
      send();
    },

    // The cells of the page: `data-value` is what the page says, a mark that is held goes before.
    /** @type {() => HTMLElement[]} */
    cells = () => $$(".touch").map((one) => one.closest("[data-date]")),
    /** @type {(el: HTMLElement) => DOMStringMap} */
    about = (el) => ({ .../** @type {HTMLElement} */ (el.closest("[data-id]")).dataset, ...el.dataset }),
    // What has no day stands on today, which moves on: any mark since the page's first day holds.
    /** @type {(el: HTMLElement) => Kept | undefined} */
    over = (el) =>
      find(about(el).id, el.dataset.date, el.closest(".undated") ? $(".day")?.dataset.date : undefined),
    /** @type {(el: HTMLElement) => string} */
    valueOf = (el) => over(el)?.value ?? el.dataset.value ?? "",
    /** @type {(el: HTMLElement) => void} */
    paint = (el) => {
      const { kind, date = "", what = "", target } = about(el), value = valueOf(el), touch = $(".touch", el),
        isHeld = waits(over(el)), isCell = el.matches("td"), figure = Number(value) >= 0 ? value && number(value) : "",
        state = !kind ? value || "open"
          : value === "no" || (value && Number(value) < Number(target)) ? "missed"
          : value ? { lesson: "done", break: "kept" }[kind] || "marked"
          : isCell && date < today() ? "not-recorded" : "open",
        said = joined([words.states[/** @type {"open"} */ (state)], figure, isHeld && `(${words.held})`]);
      el.classList.remove(...Object.keys(words.states));
      el.classList.add(state);
      el.classList.toggle("held", isHeld);
      /** @type {Record<string, string>} */
      const parts = { what, state: said,
        day: new Date(date).toLocaleDateString(locale, { dateStyle: "full", timeZone: "UTC" }) };
      touch.ariaLabel = words.label.replace(/{(\w+)}/g, (_, name) => parts[name]);
      if (isCell) {
        touch.textContent = figure;
        el.classList.toggle("figured", !!figure);
      } else $("bdi", el).dataset.said = isHeld || "missed dropped later".includes(state) ? said : "";
    },
    /** @type {(el: HTMLElement, value: string) => void} */
    set = (el, value) => {
      const { id = "", date = "", person = "", value: was } = about(el), now = valueOf(el);
      if (value === now) return;
      before.push([{ id, date, person, value: now }]);
      record([{ id, date, person, value, was }]);
    },
    /** @type {(name: string) => HTMLElement} */
    button = (name) => Object.assign(document.createElement("button"), { className: name }),
    /** @type {(el: HTMLElement) => void} */
    upgrade = (el) => {
      const { kind, date = "" } = about(el), title = $("bdi", el.closest("[data-id]") || el),
        own = ["lesson", "break"].find((one) => el.matches(`.${one}`)), more = button("more");
      if (el.matches(".paused, .not-due, :has(.touch)") || ((kind || own) && date > today())) return;
      el.dataset.what = title.textContent;
      if (kind) el.textContent = "";
      else if (own) el.dataset.kind = own;
      else el.dataset.value = el.className.match(/done|dropped|later/)?.[0] || "";
      $$(".what > :not(bdi)", el).forEach((one) => one.remove());
      if (el.matches("li")) {
        title.before(more);
        more.append(title);
      }
      el.prepend(button("touch"));
    },
    changed = () => {
      marks = Object.entries(kept()).filter(([key]) => key.startsWith(`${prefix}@`)).sort()
        .map(([, text]) => JSON.parse(text));
      cells().forEach(paint);
      show();
      listeners.forEach((one) => one());
    },
    look = () => {
      $$("tr[data-id] > td, li.task[data-id], p.break[data-id]").forEach(upgrade);
      changed();
      // Home has a mark, and the page says so or has moved on: it need not lie over the page.
      for (const el of cells()) {
        const { id, date, kind, repeats, value = "" } = about(el),
          mark = kind || repeats === "" ? over(el) : find(id, date, ""); // a task may have moved
        if (!mark || (value !== mark.value && value === (mark.was ?? value))) continue;
        for (const one of marks) if (one.id === id && one.date === mark.date && (one.taken || one.saved)) keep(one);
      }
      for (const one of marks) if (Number(one.taken) < Date.now() - 6e8) keep(one);
      changed();
    },

    // What is asked, and the bar: what was said last, what waits, what can be done about it.
    ask = $("#ask"), field = $("input", ask), pairing = $("#pair"), bar = $("#bar"), status = $("p", bar),
    /** @type {(el: HTMLElement) => void} */
    open = (el) => {
      const { kind = "job", what, unit, minutes, target, repeats = "once" } = about(el), value = valueOf(el),
        [max, step, by] = { hours: [24, 0.01, 25], count: [1e6, 1, 1] }[kind] || [1440, 1, 5];
      asked = el;
      ask.className = `${kind} ${repeats} ${value && "said"}`;
      $("h2", ask).textContent = joined([what, unit, $(".p", el.closest("[data-id]") || el)?.ariaLabel], " · ");
      Object.assign(field, { max, step, name: by,
        value: value > "9" || (!value && kind === "count") ? "" : value || target || minutes || "" });
      ask.showModal();
    },
    /** @type {(text: string) => void} */
    say = (text) => {
      status.textContent = text;
      show();
    },
    show = () => {
      const left = marks.filter((one) => !one.taken), file = left.filter((one) => one.saved).length,
        here = left.length - file, pair = read("pair"),
        refused = joined(left.map((one) => isOurs(one) && one.refused), "\n"),
        /** @type {Record<string, unknown>} */
        is = { here, file, refused, out: isOut, loose: Object.keys(loose)[0], undo: before[0],
          hand: here && pair, pair: !isServed && !pair && $("[data-id]"), unpair: pair };
      for (const one of $$("[data-if]", bar)) {
        const { if: name, text } = one.dataset;
        one.hidden = !is[name];
        if (text) one.textContent = text.replace("{n}", number(is[name]));
      }
      $(".refused", bar).textContent = refused;
      bar.classList.toggle("idle", !status.textContent && !Object.values(is).some(Boolean));
    },
    /** @type {(list: Kept[]) => string} */
    lines = (list) => list.map((one) => JSON.stringify({ ...one, date: one.date < today() ? one.date : today() },
      ["id", "date", "person", "value", "recorded_at", "device"])).join("\n"),
    /** @type {Record<string, () => void>} */
    acts = {
      undo: () => record(before.pop() || []),
      hand: () => send(true),
      save() {
        const list = marks.filter((one) => !one.taken), link = document.createElement("a");
        link.href = URL.createObjectURL(new Blob([lines(list)]));
        link.download = `marks-${device}-${location.pathname.match(/\d+-W\d+/) || today()}.jsonl`;
        link.click();
        for (const one of list) keep(one, { saved: Date.now() });
      },
      taken() {
        for (const one of marks) if (one.saved) keep(one, one.refused ? undefined : { taken: Date.now() });
      },
      dismiss() {
        for (const one of marks) if (one.refused && isOurs(one)) keep(one);
      },
      pair: () => pairing.showModal(),
      unpair: () => write("pair"),
      less: () => field.stepDown(field.name),
      more: () => field.stepUp(field.name),
      close: () => $("dialog[open]").close(),
    },

    // Home: where marks go.
    /** @type {(address: string, body: string, token?: string) => Promise<any>} */
    post = async (address, body, token) => {
      try {
        const answer = await fetch(address, { method: "POST", body, signal: AbortSignal.timeout(2e4),
            headers: { "Content-Type": "application/json", ...token && { Authorization: `Bearer ${token}` } } }),
          clock = Date.parse(`${answer.headers.get("Date")}`);
        return { code: answer.status, clock: Math.abs(clock - Date.now()) > 6e5 ? words.clock : "", ...await answer.json() };
      } catch { // no answer: the marks are sent once more, and count once
        return { text: words.noAnswer };
      }
    },
    send = async (now = isServed) => {
      const [at, token] = isServed ? [""] : read("pair").split(" "), list = marks.filter((one) => waits(one) && isOurs(one)).slice(0, 500);
      if (!now || isSending || !list[0]) return;
      isSending = true;
      clearTimeout(timer);
      const { code, text, clock, refused, notices } = await post(`${at}/marks${person ? `?as=${person}` : ""}`, lines(list), token);
      isSending = false;
      isOut = isServed && (code === 401 || (code === 403 && !person)); // locked is not signed out
      if (refused) {
        for (const { place, text, remedy } of refused) list[place].refused = joined([words.refused, text, remedy], ". ");
        for (const one of list) keep(one, one.refused ? {} : { taken: Date.now() });
        pause = 1e3;
        changed();
        say(joined([list.find((one) => one.refused)?.refused || words.sent.replace("{n}", number(list.length)), clock, ...notices || []]));
        send(now);
      } else {
        if (isServed && !isOut) timer = setTimeout(send, pause = Math.min(2 * pause, 3e5));
        say(text);
      }
    },
    // A newer page takes the place of this one, unless somebody is in the middle of something.
    refresh = async () => {
      const turn = ++turns, answer = await fetch(location.pathname, { cache: "no-store" }),
        fresh = new DOMParser().parseFromString(await answer.text(), "text/html"),
        main = $("main"), made = $("main", fresh), at = document.activeElement, top = scrollY;
      isOld = ask.open || pairing.open;
      if (isOld || turn < turns || !answer.ok || !made || "keep" in main.dataset) return;
      if (fresh.title !== document.title) return location.reload();
      const el = cells().find((one) => one.contains(at)), old = el && about(el);
      const folds = $$("details", main).map((one) => one.open);
      main.replaceWith(made);
      $$("details", made).forEach((one, place) => one.open ||= folds[place]);
      document.dispatchEvent(new CustomEvent("weeksync:page"));
      scrollTo(0, top);
      const now = cells().find((one) => about(one).id === old?.id && about(one).date === old?.date);
      if (now) $(`.${at?.className}`, now).focus();
    };

  /** @type {Kept[]} */
  let marks = [];
  /** @type {HTMLElement} */
  let asked;
  let isOut = false, isOld = false, isSending = false, pause = 1e3, timer = 0, turns = 0;

  write("device", device);
  on("click", ({ target, detail }) => {
    const el = /** @type {HTMLElement} */ (target).closest("button"), cell = /** @type {HTMLElement} */ (el?.closest("[data-date]"));
    const act = acts[`${el?.dataset.do}`];
    if (act) act(), changed();
    if (!el?.matches(".touch, .more")) return;
    const { kind } = about(cell), value = valueOf(cell);
    if (el.matches(".more") || (cell.matches("td") && kind !== "yes/no")) {
      open(cell);
      if (!detail) field.focus(); // by key; by touch the keyboard on the screen would cover the page
      if (!detail) field.select();
    } else if (!kind) set(cell, value ? "" : "done");
    else set(cell, value === "no" ? "" : value ? "no" : "yes");
  });
  on("submit", async ({ target, submitter }) => {
    const { value } = /** @type {HTMLButtonElement} */ (submitter);
    if (ask.contains(target)) set(asked, value === "=" ? `${Number(field.value)}` : value);
    if (pairing.contains(target)) {
      const { value: at } = $("select", pairing), code = $("input", pairing).value.trim(),
        { text, token } = await post(`${at}/pairings`, JSON.stringify({ code, device }));
      if (token) write("pair", `${at} ${token}`);
      say(text || words.paired);
    }
  });
  for (const event of ["storage", "online", "focus", "pageshow"]) on(event, () => {
    changed();
    send();
  });
  // A field for numbers passes over the digits of other scripts without a word. Their blocks begin
  // at …0, those of India at …6 (Unicode).
  field.onbeforeinput = (/** @type {InputEvent} */ event) => {
    const typed = event.data || "", plain = typed.replace("٫", ".").replace(/\p{Nd}/gu, (digit) => {
      const code = digit.charCodeAt(0);
      return `${code - (code > 0x900 && code < 0xe00 ? 6 : 0) & 15}`;
    });
    if (plain !== typed) event.preventDefault(), document.execCommand("insertText", false, plain);
  };
  ask.onclose = pairing.onclose = () => isOld && refresh();
  on("beforeunload", (event) => Object.keys(loose)[0] && event.preventDefault());
  on("keydown", (event) => {
    const { key, ctrlKey, metaKey } = event, target = /** @type {HTMLElement} */ (event.target), cell = target.closest("td"),
      by = { ArrowLeft: -1, ArrowUp: -1, ArrowRight: 1, ArrowDown: 1 }[key], isSide = /L|R/.test(key);
    if (key === "z" && (ctrlKey || metaKey) && !target.matches("input, textarea")) acts.undo();
    if (!by || !cell || !target.matches(".touch")) return;
    const line = $$("td > .touch").filter(({ parentElement: one }) =>
      isSide ? one.parentElement === cell.parentElement : one.cellIndex === cell.cellIndex);
    line[line.indexOf(target) + (isSide && dir === "rtl" ? -by : by)]?.focus();
    event.preventDefault();
  });
  document.addEventListener("weeksync:page", look);

  window.weekMarks = {
    add(list) {
      before.push(list.map((one) => ({ ...one, value: find(one.id, one.date)?.value ?? one.was ?? "" })));
      record(list);
    },
    held: (id, date) => find(id, date)?.value,
    waiting: () => marks.filter(waits).length,
    onChange: (listener) => listeners.push(listener),
    say,
    refused: () => marks.filter((one) => one.refused),
  };
  bar.hidden = false; // for good: what is said in a part that only now appears goes unheard
  look();
  send();
  setInterval(look, 6e4); // a day that begins can be marked
  if (isServed) {
    const news = new EventSource("/changes");
    news.addEventListener("built", ({ data }) => {
      if (JSON.parse(data).pages.includes(location.pathname.split("/").at(-1) || "index.html")) refresh();
    });
    news.onopen = () => { // what was built before, or while nothing was heard, is not told again
      refresh();
      send();
    };
  }
})();
