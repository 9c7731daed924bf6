"use strict";
// Marks by touch and by key. A mark is kept in this browser before anything else; then it is sent
// home (pages that weeksync serves), or stays until it is handed over or saved as a file. What
// waits and what was just sent lies over the page until the page itself says it.
(() => {
  /** @typedef {{id: string, date: string, person: string, value: string}} Said */
  /**
   * A kept mark: `was` is what the page said before; `taken` and `saved` say when home answered
   * and when it was put into a file (ms); `refused` is why home did not take it.
   * @typedef {Said & {recorded_at: string, device: string, was?: string, taken?: number,
   *   saved?: number, refused?: string}} Kept
   */
  const { dir, dataset: { home, zone, locale } } = document.documentElement;
  const isServed = typeof served !== "undefined";
  /** @type {(css: string, from?: ParentNode) => any} */
  const pick = (css, from = document) => from.querySelector(css);
  /** @type {(css: string, from?: ParentNode) => any[]} */
  const each = (css, from = document) => [...from.querySelectorAll(css)];
  const today = () => new Date().toLocaleDateString("sv", { timeZone: zone });

  // A key a mark: tabs that write at once take nothing from each other. What the browser does
  // not keep stays in memory, and the page says so.
  /** @type {Record<string, string>} */
  const loose = {};
  /** @type {() => Record<string, string>} */
  const kept = () => {
    try {
      return { ...localStorage, ...loose };
    } catch {
      return loose;
    }
  };
  const prefix = `weeksync:${home}:`;
  /** @type {(name: string) => string | undefined} */
  const read = (name) => kept()[prefix + name];
  /** @type {(name: string, text?: string) => void} */
  const write = (name, text) => {
    const key = prefix + name;
    delete loose[key];
    try {
      if (text) localStorage[key] = text;
      else delete localStorage[key];
    } catch {
      if (text) loose[key] = text;
    }
  };
  /** @type {(mark: Kept, more?: object) => void} without `more` the mark is forgotten */
  const keep = (mark, more) =>
    write(`@${mark.recorded_at} ${mark.id}`, more && JSON.stringify({ ...mark, ...more }));
  const device = read("device") || `tablet-${Math.random().toString(16).slice(2, 6)}`;
  write("device", device);

  /** @type {Kept[]} */
  let marks = [];
  /** @type {Said[][]} */
  const before = []; // what stood before each change made here, for undo
  /** @type {(() => void)[]} */
  const listeners = [];
  /** @type {(mark?: Kept) => boolean} */
  const waits = (mark) => !!mark && !mark.taken && !mark.refused;
  /** @type {(id?: string, date?: string, since?: string) => Kept | undefined} */
  const find = (id, date, since = "x") =>
    marks.filter((one) => one.id === id && !one.refused && (one.date === date || one.date >= since)).at(-1);
  /** @type {(list: (Said & {was?: string})[]) => void} */
  const record = (list) => {
    for (const one of list) {
      // Never earlier than the one before, whatever the clock does; no two at once, either.
      const ms = Math.max(Date.now(), Number(read("last") || 0) + 1);
      write("last", `${ms}`);
      keep({ ...one, recorded_at: new Date(ms).toISOString(), device }, {});
    }
    changed();
    send();
  };

  /** @type {(tag: string, name: string, text?: string) => HTMLElement} */
  const make = (tag, name, text = "") =>
    Object.assign(document.createElement(tag), { className: name, textContent: text });

  // The cells of the page: `data-value` is what the page says, a mark that is held goes before.
  /** @type {() => HTMLElement[]} */
  const cells = () => each(".touch").map((one) => one.closest("[data-date]"));
  /** @type {(el: HTMLElement) => DOMStringMap & {date?: string}} */
  const about = (el) => ({ .../** @type {HTMLElement} */ (el.closest("[data-id]")).dataset, ...el.dataset });
  // What has no day stands on today, which moves on: any mark since the page's first day holds.
  /** @type {(el: HTMLElement) => Kept | undefined} */
  const over = (el) =>
    find(about(el).id, el.dataset.date, el.closest(".undated") ? pick(".day").dataset.date : undefined);
  /** @type {(el: HTMLElement) => string} */
  const valueOf = (el) => over(el)?.value ?? el.dataset.value ?? "";
  /** @type {(el: HTMLElement) => void} */
  const paint = (el) => {
    const { kind, date = "", what, target } = about(el), value = valueOf(el), touch = pick(".touch", el);
    const isHeld = waits(over(el)), isCell = el.matches("td");
    const state = !kind ? value || "open"
      : value === "no" || (value && Number(value) < Number(target)) ? "missed"
      : value ? { lesson: "done", break: "kept" }[kind] || "marked"
      : isCell && date < today() ? "not-recorded" : "open";
    const figure = value && Number(value) >= 0 ? Number(value).toLocaleString(locale) : "";
    el.classList.remove(...Object.keys(words.states));
    el.classList.add(state);
    el.classList.toggle("held", isHeld);
    const said = [words.states[/** @type {"open"} */ (state)], figure, isHeld && `(${words.held})`].filter(Boolean).join(" ");
    touch.ariaLabel = words.label.replace("{what}", what || "").replace("{day}", pick(`#h-${date}`)?.ariaLabel || date).replace("{state}", said);
    if (isCell) {
      touch.textContent = figure;
      el.classList.toggle("figured", !!figure);
    } else pick("bdi", el).dataset.said = isHeld || "missed dropped later".includes(state) ? said : "";
  };
  /** @type {(el: HTMLElement, value: string) => void} */
  const set = (el, value) => {
    const { id = "", date = "", person = "", value: was } = about(el), now = valueOf(el);
    if (value === now) return;
    before.push([{ id, date, person, value: now }]);
    record([{ id, date, person, value, was }]);
    say(pick(".touch", el).ariaLabel);
  };
  /** @type {(el: HTMLElement) => void} */
  const upgrade = (el) => {
    const { kind, date = "" } = about(el), title = pick("bdi", el.closest("[data-id]") || el);
    const own = ["lesson", "break"].find((one) => el.matches(`.${one}`));
    if (el.matches(".paused, .not-due, :has(.touch)") || ((kind || own) && date > today())) return;
    el.dataset.what = title.textContent;
    if (own) el.dataset.kind = own;
    else if (!kind) el.dataset.value = el.className.match(/done|dropped|later/)?.[0] || "";
    if (kind) el.textContent = "";
    each(".what > :not(bdi)", el).forEach((one) => one.remove());
    if (el.matches("li")) {
      const more = make("button", "more");
      title.replaceWith(more);
      more.append(title);
    }
    el.prepend(make("button", "touch"));
  };
  const changed = () => {
    marks = Object.entries(kept()).filter(([key]) => key.startsWith(`${prefix}@`)).sort()
      .map(([, text]) => JSON.parse(text));
    cells().forEach(paint);
    show();
    listeners.forEach((one) => one());
  };
  const look = () => {
    each("tr[data-id] > td, li.task[data-id], p.break[data-id]").forEach(upgrade);
    changed();
    // Home has a mark, and the page says so or has moved on: it need not lie over the page.
    for (const el of cells()) {
      const { id, date, kind, repeats, value = "" } = about(el);
      const mark = kind || repeats === "" ? over(el) : find(id, date, ""); // a task may have moved
      if (!mark || (value !== mark.value && value === (mark.was ?? value))) continue;
      for (const one of marks) if (one.id === mark.id && one.date === mark.date && (one.taken || one.saved)) keep(one);
    }
    for (const one of marks) if (Number(one.taken) < Date.now() - 6e8) keep(one);
    changed();
  };

  // What a touch does.
  const ask = pick("#ask"), field = pick("input", ask), pairing = pick("#pair");
  const bar = pick("#bar"), status = pick("p", bar), refusals = pick("p:last-child", bar);
  /** @type {HTMLElement} */
  let asked;
  /** @type {(el: HTMLElement) => void} */
  const open = (el) => {
    const { kind = "task", what, minutes, target, repeats } = about(el), value = valueOf(el);
    const [max, step, by] = kind === "hours" ? [24, 0.01, 25] : kind === "count" ? [1e6, 1, 1] : [1440, 1, 5];
    asked = el;
    ask.className = `${kind} ${repeats ?? "once"} ${value && "said"}`;
    pick("h2", ask).textContent = what;
    Object.assign(field, { max, step, name: by, value: value > "9" || (!value && kind === "count") ? "" : value || target || minutes || "" });
    ask.showModal();
  };
  /** @type {(el: HTMLElement) => void} */
  const press = (el) => {
    const { kind } = about(el), value = valueOf(el);
    if (!kind) set(el, value ? "" : "done");
    else if (el.matches("td") && kind !== "yes/no") open(el);
    else set(el, value === "no" ? "" : value ? "no" : "yes");
  };
  /** @type {(text: string) => void} */
  const say = (text) => {
    status.textContent = text;
    show();
  };
  let isOut = false;
  const show = () => {
    const left = marks.filter((one) => !one.taken), file = left.filter((one) => one.saved).length;
    const here = left.length - file, pair = read("pair"), undo = before.length, refused = left.some((one) => one.refused);
    /** @type {Record<string, unknown>} */
    const is = { here, file, undo, out: isOut, refused, loose: Object.keys(loose)[0], hand: here && pair, pair: !isServed && !pair, unpair: pair };
    for (const one of each("[data-if]", bar)) {
      one.hidden = !is[one.dataset.if];
      if (one.dataset.text) one.textContent = one.dataset.text.replace("{n}", is[one.dataset.if]);
    }
    refusals.textContent = left.map((one) => one.refused).filter(Boolean).join("\n");
    bar.hidden = !left.length && !cells()[0];
  };
  /** @type {(list: Kept[]) => string} */
  const lines = (list) => list.map((one) => JSON.stringify({ ...one, date: one.date < today() ? one.date : today() },
    ["id", "date", "person", "value", "recorded_at", "device"])).join("\n");
  /** @type {Record<string, () => void>} */
  const acts = {
    undo() {
      const list = before.pop();
      if (list) record(list);
      const el = cells().find((one) => list?.some(({ id, date }) => about(one).id === id && about(one).date === date));
      say(el ? pick(".touch", el).ariaLabel : "");
    },
    hand: () => send(true),
    save() {
      const list = marks.filter((one) => !one.taken), link = document.createElement("a");
      link.href = URL.createObjectURL(new Blob([lines(list)]));
      link.download = `marks-${device}-${location.pathname.match(/\d+-W\d+/) || today()}.jsonl`;
      link.click();
      for (const one of list) keep(one, { saved: Date.now() });
      changed();
    },
    taken() {
      for (const one of marks) if (one.saved) keep(one, one.refused ? undefined : { taken: Date.now() });
      changed();
    },
    dismiss() {
      for (const one of marks) if (one.refused) keep(one);
      changed();
    },
    pair: () => pairing.showModal(),
    unpair() {
      write("pair");
      show();
    },
    close: () => pick("dialog[open]").close(),
  };

  // Home: where marks go.
  /** @type {(address: string, body: string, token?: string) => Promise<[number, any]>} */
  const post = async (address, body, token) => {
    try {
      const answer = await fetch(address, { method: "POST", body, signal: AbortSignal.timeout(2e4),
        headers: { "Content-Type": "application/json", ...token && { Authorization: `Bearer ${token}` } } });
      const got = await answer.json(), clock = Date.parse(`${answer.headers.get("Date")}`);
      if (Math.abs(clock - Date.now()) > 6e5) got.clock = words.clock;
      return [answer.status, got];
    } catch { // no answer: the marks are sent once more, and count once
      return [0, { text: words.noAnswer }];
    }
  };
  let isSending = false, pause = 1e3, timer = 0;
  /** @type {(now?: boolean) => Promise<void>} */
  const send = async (now = isServed) => {
    const [at, token] = isServed ? [""] : (read("pair") || "").split(" "), list = marks.filter(waits).slice(0, 500);
    if (!now || isSending || !list[0]) return;
    isSending = true;
    clearTimeout(timer);
    const [code, { text, clock = "", refused }] = await post(`${at}/marks`, lines(list), token);
    isSending = false;
    if (refused) {
      for (const { place, text, remedy } of refused) list[place].refused = [words.refused, text, remedy].filter(Boolean).join(". ");
      for (const one of list) keep(one, one.refused ? {} : { taken: Date.now() });
      pause = 1e3;
      changed();
      say(`${list.find((one) => one.refused)?.refused || words.sent.replace("{n}", `${list.length}`)} ${clock}`);
      return send(now);
    }
    isOut = isServed && (code === 401 || code === 403);
    if (isServed && !isOut) timer = setTimeout(send, pause = Math.min(2 * pause, 3e5));
    say(text);
  };

  // A newer page takes the place of this one, unless somebody is in the middle of something.
  let isOld = false;
  const refresh = async () => {
    const answer = await fetch(location.pathname, { cache: "no-store" });
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
    const main = pick("main"), made = pick("main", fresh), at = document.activeElement, top = scrollY;
    isOld = !!pick("dialog[open]");
    if (isOld || !answer.ok || !made || "keep" in main.dataset) return;
    if (fresh.title !== document.title) return location.reload();
    const el = cells().find((one) => one.contains(at)), old = el && about(el);
    main.replaceWith(made);
    document.dispatchEvent(new CustomEvent("weeksync:page"));
    scrollTo(0, top);
    const now = cells().find((one) => about(one).id === old?.id && about(one).date === old?.date);
    pick(`.${at?.className}`, now || made)?.focus();
  };
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

  document.addEventListener("click", ({ target, detail }) => {
    const el = /** @type {HTMLElement} */ (target).closest("button"), cell = el?.closest("[data-date]");
    if (!el) return;
    acts[`${el.dataset.do}`]?.();
    if (el.dataset.by) field[el.dataset.by > "0" ? "stepUp" : "stepDown"](field.name);
    if (el.matches(".touch")) press(/** @type {HTMLElement} */ (cell));
    else if (el.matches(".more")) open(/** @type {HTMLElement} */ (cell));
    else return;
    if (!detail) field.focus(); // by key; by touch the keyboard on the screen would cover the page
    if (!detail) field.select();
  });
  document.addEventListener("submit", async ({ submitter }) => {
    const { value } = /** @type {HTMLButtonElement} */ (submitter);
    if (submitter?.closest("#ask")) set(asked, value === "=" ? `${Number(field.value)}` : value);
    if (submitter?.closest("#pair")) {
      const { value: at } = pick("select", pairing), code = pick("input", pairing);
      const [, { text, token }] = await post(`${at}/pairings`, JSON.stringify({ code: code.value.trim(), device }));
      if (token) write("pair", `${at} ${token}`);
      say(text || words.paired);
    }
  });
  for (const event of ["storage", "online", "focus", "pageshow"]) addEventListener(event, () => {
    changed();
    send();
  });
  ask.onclose = () => isOld && refresh();
  addEventListener("beforeunload", (event) => Object.keys(loose)[0] && event.preventDefault());
  addEventListener("keydown", (event) => {
    const { key, ctrlKey, metaKey } = event, target = /** @type {HTMLElement} */ (event.target);
    if (key === "z" && (ctrlKey || metaKey) && !target.matches("input, textarea")) acts.undo();
    const cell = target.closest("td"), by = { ArrowLeft: -1, ArrowUp: -1, ArrowRight: 1, ArrowDown: 1 }[key];
    if (!by || !cell || !target.matches(".touch")) return;
    const isSide = key > "ArrowE" && key !== "ArrowUp";
    const line = each("td > .touch").filter(({ parentElement: one }) =>
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
  look();
  send();
})();
