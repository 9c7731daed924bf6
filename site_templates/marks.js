"use strict";
// Marks by touch and by key. A mark is kept in this browser before anything else; then it is sent
// home (pages that weeksync serves), or stays until it is handed over or saved as a file. What
// waits and what was just sent lies over the page until the page itself says it.
(() => {
  /** @typedef {{id: string, date: string, person: string, value: string}} Said */
  /**
   * A kept mark: `was` is what the page said before; `taken` and `saved` say that home answered
   * and that it is in a file, at which time (ms).
   * @typedef {Said & {recorded_at: string, device: string, was?: string, taken?: number,
   *   saved?: number, refused?: string}} Kept
   */
  /** @typedef {{el: HTMLElement, data: DOMStringMap, kind: string, what: string, built: string,
   *   box: HTMLElement, said: HTMLElement}} Cell */

  const root = document.documentElement;
  const { home, zone } = root.dataset;
  const isServed = typeof served !== "undefined";
  const today = () => new Date().toLocaleDateString("sv", { timeZone: zone });
  /** @type {(text: string, values: Record<string, string | number>) => string} */
  const fill = (text, values) => text.replace(/{(\w+)}/g, (_, name) => `${values[name]}`);

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
  /** @type {(name: string) => string} */
  const keyOf = (name) => `weeksync:${home}:${name}`;
  /** @type {(name: string) => string | undefined} */
  const read = (name) => kept()[keyOf(name)];
  /** @type {(name: string, text?: string) => void} */
  const write = (name, text) => {
    const key = keyOf(name);
    delete loose[key];
    try {
      if (text) localStorage[key] = text;
      else delete localStorage[key];
    } catch {
      if (text) loose[key] = text;
    }
  };
  /** @type {(mark: Kept, more?: object) => void} */
  const keep = (mark, more) =>
    write(`@${mark.recorded_at} ${mark.id}`, more && JSON.stringify({ ...mark, ...more }));
  const device = read("device") || `tablet-${Math.random().toString(16).slice(2, 6)}`;
  write("device", device);

  /** @type {Kept[]} */
  let marks = [];
  /** @type {Cell[]} */
  let cells = [];
  /** @type {Said[][]} */
  const before = []; // what stood before each change made here, for undo
  /** @type {(() => void)[]} */
  const listeners = [];

  /** @type {(mark?: Kept) => boolean} */
  const waits = (mark) => !!mark && !mark.taken && !mark.refused;
  /** @type {(id?: string, date?: string) => Kept | undefined} */
  const find = (id, date) =>
    marks.filter((mark) => mark.id === id && !mark.refused && (!date || mark.date === date)).at(-1);
  /** @type {(list: Said[]) => void} */
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

  /** @type {<T extends keyof HTMLElementTagNameMap>(tag: T, more?: object, ...inside: (Node | string)[]) => HTMLElementTagNameMap[T]} */
  const make = (tag, more = {}, ...inside) => {
    const made = Object.assign(document.createElement(tag), more);
    made.append(...inside);
    return made;
  };
  /** @type {(text: string, onclick?: () => void, more?: object) => HTMLButtonElement} */
  const button = (text, onclick, more) => make("button", { type: "button", onclick, ...more }, text);

  // The cells of the page.
  /** @type {(cell: Cell) => Kept | undefined} */
  const over = ({ el, data, kind }) =>
    find(data.id, kind === "task" && data.repeats === undefined ? "" : el.dataset.date);
  /** @type {(cell: Cell) => string} */
  const valueOf = (cell) => over(cell)?.value ?? cell.built;
  /** @type {(cell: Cell) => void} */
  const paint = (cell) => {
    const { el, data, kind, what, box, said } = cell, date = `${el.dataset.date}`;
    const value = valueOf(cell), number = Number(value), mark = over(cell);
    const state = kind === "task" ? value || "open"
      : value === "no" || (value && number < Number(data.target)) ? "missed"
      : value ? { lesson: "done", break: "kept" }[kind] || "marked"
      : data.kind && date < today() ? "not-recorded" : "open";
    const figure = number >= 0 && value ? number.toLocaleString(`${root.lang}-u-nu-latn`) : "";
    const text = [words.states[/** @type {"open"} */ (state)], figure, waits(mark) && `(${words.held})`].filter(Boolean).join(" ");
    el.classList.remove(...Object.keys(words.states));
    el.classList.add(state);
    el.classList.toggle("held", waits(mark));
    const day = document.getElementById(`h-${date}`)?.ariaLabel || date;
    box.ariaLabel = fill(words.label, { what, day, state: text });
    if (data.kind) box.replaceChildren(figure && make("b", {}, figure));
    else said.textContent = state === "open" ? "" : ` ${text}`;
  };
  /** @type {(cell: Cell, value: string) => void} */
  const set = (cell, value) => {
    const { el, data, built } = cell, was = valueOf(cell);
    if (value === was) return;
    const one = { id: `${data.id}`, date: `${el.dataset.date}`, person: data.person || "", was: built };
    before.push([{ ...one, value: was }]);
    record([{ ...one, value }]);
    say(`${cell.box.ariaLabel}`);
  };
  /** @type {(cell: Cell) => void} */
  const press = (cell) => {
    const value = valueOf(cell);
    if (cell.data.kind && cell.kind !== "yes/no") ask(cell);
    else if (cell.kind === "task") set(cell, value ? "" : "done");
    else set(cell, value === "no" ? "" : value ? "no" : "yes");
  };
  /** @type {(el: HTMLElement) => void} */
  const upgrade = (el) => {
    const row = /** @type {HTMLElement} */ (el.closest("[data-id]")), data = row.dataset;
    const kind = data.kind || ["lesson", "break"].find((one) => el.matches(`.${one}`)) || "task";
    const title = row.querySelector("bdi");
    if (!title || el.matches(".paused, .not-due, :has(.touch)") || (kind !== "task" && `${el.dataset.date}` > today())) return;
    const built = kind === "task" ? el.className.match(/done|dropped|later/)?.[0] : el.dataset.value;
    /** @type {Cell} */
    const cell = { el, data, kind, built: built || "", what: `${title.textContent}`, said: make("small", { ariaHidden: "true" }),
      box: button("", () => press(cell), { className: "touch" }) };
    cells.push(cell);
    if (data.kind) return el.replaceChildren(cell.box);
    for (const old of el.querySelectorAll(".what > :not(bdi)")) old.remove();
    if (kind !== "break") {
      const more = button("", () => ask(cell), { ariaHasPopup: "dialog" });
      title.replaceWith(more);
      more.append(title);
    }
    title.parentElement?.after(cell.said);
    el.prepend(cell.box);
  };
  const look = () => {
    cells = cells.filter(({ el }) => el.isConnected);
    document.querySelectorAll("tr[data-id] > td, li.task[data-id], p.break[data-id]")
      .forEach((el) => upgrade(/** @type {HTMLElement} */ (el)));
    changed();
    // Home has a mark, and the page says so or has moved on: it need not lie over the page.
    for (const cell of cells) {
      const mark = over(cell), { built } = cell;
      if (!mark || (built !== mark.value && built === (mark.was ?? built))) continue;
      for (const one of marks) if (one.id === mark.id && one.date === mark.date && (one.taken || one.saved)) keep(one);
    }
    for (const one of marks) if (Number(one.taken) < Date.now() - 6e8) keep(one);
    changed();
  };
  const changed = () => {
    marks = Object.entries(kept()).filter(([key]) => key.startsWith(keyOf("@"))).sort()
      .map(([, text]) => JSON.parse(text));
    cells.forEach(paint);
    show();
    listeners.forEach((one) => one());
  };

  // One dialog for all that is asked; each of its buttons but "Close" is an answer.
  const dialog = make("dialog");
  /** @type {(title: string, answered: (answer: string) => void, ...inside: Node[]) => void} */
  const open = (title, answered, ...inside) => {
    dialog.ariaLabel = title;
    dialog.replaceChildren(make("form", { method: "dialog", onsubmit: (/** @type {SubmitEvent} */ { submitter }) =>
      answered(/** @type {HTMLButtonElement} */ (submitter).value) }, make("h2", {}, title), ...inside),
      button(words.close, () => dialog.close()));
    dialog.showModal();
  };
  /** @type {(cell: Cell) => void} */
  const ask = (cell) => {
    const { kind, data, what } = cell, now = valueOf(cell), inside = [];
    /** @type {(value: string, text: string) => HTMLButtonElement} */
    const choice = (value, text) => make("button", { value, formNoValidate: true, ariaPressed: `${value === now}` }, text);
    const field = make("input", { type: "number", min: 0, required: true, ariaLabel: data.unit || words.figure });
    if (kind === "scale") inside.push(...[..."12345"].map((one) => choice(one, one)));
    else if (kind !== "task") {
      const [max, step, by] = kind === "hours" ? [24, 0.01, 25] : kind === "count" ? [1e6, 1, 1] : [1440, 1, 5];
      Object.assign(field, { max, step, value: now || kind === "count" ? now : data.target || data.minutes || "" });
      inside.push(make("p", {}, button("−", () => field.stepDown(by), { ariaLabel: words.less }), field,
        button("+", () => field.stepUp(by), { ariaLabel: words.more })), make("button", { value: "=" }, words.record), choice("no", words.states.missed));
    } else if (!now) {
      // An end is taken back before another one is written: home refuses to replace one.
      inside.push(choice("done", words.states.done));
      if (data.repeats === undefined) inside.push(choice("later", words.states.later), choice("dropped", words.states.dropped));
    }
    if (now) inside.push(choice("", words.takeBack));
    open(what, (answer) => set(cell, answer === "=" ? `${Number(field.value)}` : answer), ...inside);
  };

  // The bar: what was said last, what waits, and what can be done about it.
  const status = make("p", { role: "status" }), counts = make("p"), refusals = make("ul");
  /** @type {(text: string) => void} */
  const say = (text) => {
    status.textContent = text;
    show();
  };
  const undo = button(words.undo, () => {
    const list = before.pop() || [];
    record(list);
    const cell = cells.find(({ data, el }) => list.some(({ id, date }) => id === data.id && date === el.dataset.date));
    say(cell?.box.ariaLabel || "");
  });
  const signIn = make("a", { href: "/sign-in", hidden: true }, words.signIn);
  const handOver = button(words.handOver, () => send(true));
  const pairing = button("", () => {
    if (!pair()) return askPair();
    write("pair");
    show();
  });
  const saving = button(words.save, () => {
    const list = marks.filter((mark) => !mark.taken), week = location.pathname.match(/\d+-W\d+/) || today();
    make("a", { href: URL.createObjectURL(new Blob([lines(list)])), download: `marks-${device}-${week}.jsonl` }).click();
    for (const mark of list) keep(mark, { saved: Date.now() });
    changed();
  });
  const taken = button(words.taken, () => {
    for (const mark of marks) if (mark.saved) keep(mark, mark.refused ? undefined : { taken: Date.now() });
    changed();
  });
  const bar = make("section", { className: "bar", ariaLabel: words.marks }, status, counts, undo, signIn,
    handOver, pairing, saving, taken, refusals);
  const show = () => {
    const open = marks.filter((mark) => !mark.taken), here = open.filter((mark) => !mark.saved).length;
    const inFile = open.length - here;
    counts.textContent = [here && fill(words.only, { n: here }), inFile && fill(words.inFile, { n: inFile }),
      Object.keys(loose).length && words.full].filter(Boolean).join(" ");
    undo.hidden = !before.length;
    handOver.hidden = isServed || !here || !pair();
    pairing.hidden = isServed;
    pairing.textContent = pair() ? words.unpair : words.pair;
    saving.hidden = !here;
    taken.hidden = !inFile;
    refusals.replaceChildren(...open.filter((mark) => mark.refused).map((mark) => make("li", {}, `${mark.refused} `,
      button(words.dismiss, () => {
        keep(mark);
        changed();
      }))));
    bar.hidden = !cells.length && !open.length;
  };

  // Home: where marks go.
  /** @type {(list: Kept[]) => string} */
  const lines = (list) => list.map((mark) => JSON.stringify({ ...mark, date: mark.date < today() ? mark.date : today() },
    ["id", "date", "person", "value", "recorded_at", "device"])).join("\n");
  /** @type {() => {at: string, token: string} | null} */
  const pair = () => isServed ? { at: "", token: "" } : JSON.parse(read("pair") || "null");
  /** @type {(address: string, body: string, token?: string) => Promise<{code: number, got: any}>} */
  const post = async (address, body, token) => {
    try {
      const answer = await fetch(address, { method: "POST", body, signal: AbortSignal.timeout(2e4),
        headers: { "Content-Type": body[0] === "{" ? "application/json" : "text/plain", ...token && { Authorization: `Bearer ${token}` } } });
      const got = await answer.json();
      if (Math.abs(Date.parse(`${answer.headers.get("Date")}`) - Date.now()) > 6e5) got.clock = words.clock;
      return { code: answer.status, got };
    } catch { // no answer: the marks are sent once more, and count once
      return { code: 0, got: { text: words.noAnswer } };
    }
  };
  let isSending = false, pause = 2e3, timer = 0;
  /** @type {(now?: boolean) => Promise<void>} */
  const send = async (now = isServed) => {
    const to = pair(), list = marks.filter(waits).slice(0, 500);
    if (!now || !to || !list.length || isSending) return;
    isSending = true;
    clearTimeout(timer);
    const { code, got } = await post(`${to.at}/marks`, lines(list), to.token);
    isSending = false;
    if (code === 200) {
      for (const { place, text, remedy } of got.refused) list[place].refused = `${words.refused}: ${text}. ${remedy || ""}`;
      for (const mark of list) keep(mark, mark.refused ? {} : { taken: Date.now() });
      pause = 2e3;
      changed();
      say(`${list.find((mark) => mark.refused)?.refused || fill(words.sent, { n: list.length })} ${got.clock || ""}`);
      return send(now);
    }
    signIn.hidden = !isServed || (code !== 401 && code !== 403);
    if (isServed && signIn.hidden) timer = setTimeout(send, pause = Math.min(2 * pause, 3e5));
    say(got.text);
  };
  const askPair = () => {
    const policy = document.querySelector("meta[http-equiv]")?.getAttribute("content")?.match(/connect-src 'self' ([^;]*)/)?.[1] || "";
    const address = make("input", { value: policy.split(" ").at(-1), required: true }), code = make("input", { required: true });
    open(words.pair, async () => {
      const at = address.value.trim().replace(/\/+$/, "");
      if (!policy.split(" ").includes(at)) return say(fill(words.elsewhere, { list: policy }));
      const { got } = await post(`${at}/pairings`, JSON.stringify({ code: code.value.trim(), device }));
      if (got.token) write("pair", JSON.stringify({ at, token: got.token }));
      say(got.text || fill(words.paired, { at }));
    }, make("label", {}, words.address, address), make("label", {}, words.code, code), make("button", {}, words.pair));
  };

  // A newer page takes the place of this one, unless somebody is in the middle of something.
  let isOld = false;
  const refresh = async () => {
    const answer = await fetch(location.pathname, { cache: "no-store" });
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
    const main = document.querySelector("main"), made = fresh.querySelector("main"), at = document.activeElement, top = scrollY;
    isOld = dialog.open;
    if (isOld || !answer.ok || !main || !made || main.dataset.keep !== undefined) return;
    if (fresh.title !== document.title) return location.reload();
    const old = cells.find(({ el }) => el.contains(at));
    main.replaceWith(made);
    document.dispatchEvent(new CustomEvent("weeksync:page"));
    scrollTo(0, top);
    cells.find(({ el, data }) => data.id === old?.data.id && el.dataset.date === old?.el.dataset.date)?.box.focus();
  };
  if (isServed) {
    const news = new EventSource("/changes");
    news.addEventListener("built", ({ data }) => {
      if (JSON.parse(data).pages.includes(location.pathname.split("/").at(-1) || "index.html")) refresh();
    });
    news.onopen = () => {
      if (isOld || marks.some((mark) => mark.taken)) refresh();
      send();
    };
    news.onerror = () => isOld = true;
  }

  document.body.append(dialog, bar);
  dialog.onclose = () => isOld && refresh();
  for (const event of ["storage", "online", "focus", "pageshow"]) addEventListener(event, () => {
    changed();
    send();
  });
  addEventListener("beforeunload", (event) => Object.keys(loose).length && event.preventDefault());
  addEventListener("keydown", (event) => {
    const { key, ctrlKey, metaKey } = event, target = /** @type {HTMLElement} */ (event.target);
    if (key === "z" && (ctrlKey || metaKey) && !target.matches("input, textarea")) undo.click();
    const cell = target.closest("td"), row = cell?.parentElement, at = ["ArrowUp", "ArrowLeft", "ArrowDown", "ArrowRight"].indexOf(key);
    if (!row || at < 0 || !target.matches(".touch")) return;
    const line = at % 2 ? [...row.children] : [...row.parentElement?.children || []].map((one) => one.children[cell.cellIndex]);
    const boxes = line.flatMap((one) => one?.querySelector(".touch") || []);
    const next = boxes[boxes.indexOf(target) + (at > 1 !== (at % 2 > 0 && root.dir === "rtl") ? 1 : -1)];
    if (next) /** @type {HTMLElement} */ (next).focus();
    event.preventDefault();
  });
  document.addEventListener("weeksync:page", look);

  window.weekMarks = {
    add(list) {
      before.push(list.map((one) => ({ ...one, value: find(one.id, one.date)?.value ?? "" })));
      record(list);
    },
    held: (id, date) => find(id, date)?.value,
    waiting: () => marks.filter(waits).length,
    onChange: (listener) => listeners.push(listener),
    say,
    refused: () => marks.filter((mark) => mark.refused),
  };
  look();
  send();
})();
