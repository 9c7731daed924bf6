"use strict";
// A week from paper: each row is typed or touched, and handed to the marks when it is left.
(() => {
  /**
   * A box: `mine` is what was said of it in this sitting, undefined where nothing was.
   * @typedef {{el: HTMLButtonElement, id: string, date: string, person: string, task: boolean,
   *   repeats: boolean, mine?: string}} Box
   */
  /**
   * A row or a list: `draft` is what is said and not yet handed over, `touched` the part of it
   * that was not typed, `before` what undo brings back.
   * @typedef {{el: HTMLElement, title: string, kind: string, weekly: boolean, ticked: boolean,
   *   field: HTMLInputElement, undo: HTMLButtonElement, mistake: HTMLElement, wrong: boolean,
   *   boxes: Map<number, Box>, draft: RowValues, touched: RowValues, before: Change[]}} Row
   */
  /** @typedef {[Box, string]} Change a box and what it is to say, as marks have it */
  /** @type {<T extends HTMLElement>(css: string, within?: ParentNode) => T[]} */
  const all = (css, within = document) => [.../** @type {NodeListOf<any>} */ (within.querySelectorAll(css))];
  /** @type {<T extends HTMLElement>(css: string, within?: ParentNode) => T} */
  const first = (css, within = document) => all(css, within)[0];
  /** @type {(el: HTMLElement, isThere: boolean) => void} */
  const show = (el, isThere) => { el.hidden = !isThere; };

  const marks = window.weekMarks;
  const today = new Date().toLocaleDateString("sv", { timeZone: document.documentElement.dataset.zone });
  const last = first("#entry").dataset.last || "";
  const pad = first("#pad");
  const blanks = first(".blanks");
  const sentences = Object.fromEntries(all("[data-word]").map((el) => [el.dataset.word, el.textContent || ""]));
  /** @type {(word: string, values?: Record<string, string | number>) => string} */
  const said = (word, values = {}) =>
    sentences[word].replace(/{(\w+)}/g, (_, name) => String(values[name]));
  /** @type {(value: string) => string} */
  const inWords = (value) => sentences[value || "empty"] || value;

  // Of a task, yes is done and no is dropped.
  /** @type {Record<string, string>} */
  const ends = { yes: "done", no: "dropped", done: "yes", dropped: "no", later: "" };
  /** @type {(box: Box) => string | undefined} */
  const recorded = (box) => marks.held(box.id, box.date) ?? box.mine;
  /** @type {(box: Box) => string} */
  const now = (box) => recorded(box) ?? (box.el.dataset.was || "");
  /** @type {(box: Box, value: string) => string} */
  const turned = (box, value) => box.task ? ends[value] ?? value : value;

  /** @type {Row[]} */
  const rows = [];
  for (const el of all(".row")) {
    const { row, list, person = "", kind = "" } = el.dataset;
    if (list !== undefined && list > today) {
      show(el, false);
      continue;
    }
    /** @type {Row["boxes"]} */
    const boxes = new Map();
    for (const button of all("[data-number]", el)) {
      const { number, id, date, task, repeats } = button.dataset;
      const day = date || list || (today < last ? today : last);
      if (day > today) continue;
      button.dataset.was = button.dataset.value;
      /** @type {any} */ (button).disabled = false;
      boxes.set(Number(number), {
        el: /** @type {HTMLButtonElement} */ (button), id: id || row || "", date: day,
        person: button.dataset.person || person, task: task === "", repeats: repeats === "",
      });
    }
    if (!boxes.size) continue;
    const field = /** @type {HTMLInputElement} */ (first(".typed", el));
    show(field, true);
    rows.push({
      el, kind, field, boxes, title: first(".row-title", el).textContent || "",
      weekly: "weekly" in el.dataset, ticked: kind === "yes/no", wrong: false,
      undo: first(".undo", el), mistake: first(".mistake", el),
      draft: new Map(), touched: new Map(), before: [],
    });
  }
  /** @type {(node: EventTarget | null) => Row | undefined} */
  const rowOf = (node) => node instanceof Node ? rows.find((row) => row.el.contains(node)) : undefined;

  /** @type {(row: Row) => void} */
  const draw = (row) => {
    for (const [number, box] of row.boxes) {
      const value = row.draft.get(number) ?? turned(box, now(box));
      box.el.dataset.value = value;
      box.el.classList.toggle("draft", row.draft.has(number));
      first(".value", box.el).textContent = inWords(value);
    }
    row.field.setAttribute("aria-invalid", String(row.wrong));
    show(row.undo, row.before.length > 0);
  };

  /** @type {(changes: Change[]) => Change[]} what it was before */
  const write = (changes) => {
    const before = changes.map(([box]) => /** @type {Change} */ ([box, now(box)]));
    marks.add(changes.map(([{ id, date, person }, value]) => ({ id, date, person, value })));
    for (const [box, value] of changes) box.mine = value;
    return before;
  };

  // What is typed is read again at each key; it lies over what was touched.
  /** @type {(row: Row, isSaid: boolean) => void} */
  const read = (row, isSaid) => {
    const text = row.field.value;
    row.draft = new Map(row.touched);
    row.wrong = false;
    row.mistake.textContent = "";
    try {
      if (!text.trim()) return;
      const values = paperRows.rowValues(text, [...row.boxes.keys()], row.kind);
      for (const [number, value] of values) {
        const box = /** @type {Box} */ (row.boxes.get(number));
        if (box.repeats && value === "no") {
          throw { word: "repeats", values: { title: titleOf(box) }, remedy: "repeats-remedy" };
        }
        row.draft.set(number, value);
      }
    } catch (error) {
      if (error instanceof Error) throw error;
      const { word, values, remedy } = /** @type {RowMistake} */ (error);
      row.wrong = true;
      row.draft.clear();
      // Half a row is no mistake yet: it is told when the row is to be left.
      if (isSaid) row.mistake.textContent = said(word, values) + (remedy ? `; ${said(remedy)}` : "");
    } finally {
      draw(row);
    }
  };
  /** @type {(box: Box) => string} */
  const titleOf = (box) => first(".item-title", box.el)?.textContent || "";

  /** @type {(row: Row) => boolean} whether the row was taken */
  const leave = (row) => {
    read(row, true);
    if (row.wrong) return false;
    /** @type {Change[]} */
    const changes = [];
    for (const [number, value] of row.draft) {
      const box = /** @type {Box} */ (row.boxes.get(number));
      if (turned(box, value) !== now(box)) changes.push([box, turned(box, value)]);
    }
    if (row.field.value.trim()) row.ticked = paperRows.isTicked(row.field.value, row.kind);
    row.field.value = "";
    row.touched.clear();
    row.draft.clear();
    if (changes.length) {
      row.before = write(changes);
      const values = changes.map(([box, value]) => inWords(turned(box, value))).join(" ");
      first("#written").textContent = said("row", { title: row.title, values });
    }
    draw(row);
    return true;
  };

  // One row at a time is being filled in; going elsewhere by any way leaves it.
  /** @type {Row | undefined} */
  let current;
  /** @type {(row?: Row) => void} */
  const turnTo = (row) => {
    if (current && current !== row) leave(current);
    current = row;
    ask();
  };
  /** @type {(from: number, by: number) => void} */
  const go = (from, by) => {
    const next = rows[Math.max(from + by, 0)] || rows.find((row) => row.wrong);
    if (next) next.field.focus();
    else {
      turnTo();
      (all("[data-answer]", blanks).find((button) => button.offsetParent) || first(".entered")).focus();
    }
  };

  // A figure is touched in on a pad of keys.
  /** @type {{row: Row, number: number, text: string} | undefined} */
  let touching;
  /** @type {(row?: Row, number?: number) => void} */
  const openPad = (row, number = 0) => {
    for (const el of all(".at")) el.classList.remove("at");
    const box = row?.boxes.get(number);
    show(pad, Boolean(box));
    touching = row && box && { row, number, text: "" };
    if (!row || !box) return;
    box.el.classList.add("at");
    first("#pad-box").textContent = `${row.title}, ${first(".vh", box.el).textContent}`;
    const isScale = row.kind === "scale";
    for (const key of all("[data-key]", pad)) {
      show(key, !isScale || /[1-5]|back|next/.test(key.dataset.key || ""));
    }
    box.el.scrollIntoView({ block: "nearest" });
  };
  /** @type {(row: Row, number: number, value: string) => void} */
  const touch = (row, number, value) => {
    if (!row.field.value.trim()) row.touched = row.draft;
    else if (!row.wrong) row.touched = new Map(row.draft);
    row.field.value = "";
    row.touched = new Map(row.touched).set(number, value);
    read(row, false);
  };
  /** @type {(key: string) => void} */
  const press = (key) => {
    if (!touching) return;
    const { row, number } = touching;
    const text = key === "x" ? "yes" : key === "/" ? "no" : key === "back" ? touching.text.slice(0, -1)
      : /yes|no/.test(touching.text) ? key : touching.text + key;
    const isWhole = /yes|no/.test(text) || key === "next" || row.kind === "scale";
    if (key !== "next") {
      const value = /yes|no/.test(text) ? text : text && paperRows.figure(text, 1);
      if (!paperRows.fits(value, row.kind)) {
        row.mistake.textContent = `${said("value", { value })}; ${said(`remedy-${row.kind}`)}`;
        return;
      }
      touching.text = text;
      touch(row, number, value);
    }
    if (!isWhole || (key === "back")) return;
    const numbers = [...row.boxes.keys()];
    openPad(row, numbers[numbers.indexOf(number) + 1]);
    if (!touching) turnTo();
  };

  // What empty boxes for ticks say is asked once: not those of habits so many times a week, any
  // of whose days may stay empty, nor those of today.
  /** @type {Set<string>} */
  const answered = new Set();
  /** @type {Change[]} */
  let missed = [];
  /** @type {(person: string) => Change[]} */
  const empty = (person) => rows.filter((row) => !row.wrong && row.ticked && !row.weekly)
    .flatMap((row) => [...row.boxes.values()]
      .filter((box) => !box.task && box.date < today && !now(box) && recorded(box) === undefined
        && !answered.has(box.person) && (!person || box.person === person))
      .map((box) => /** @type {Change} */ ([box, "no"])));
  const ask = () => {
    const everybody = empty("");
    first(".how-many", blanks).textContent = said("blanks", { count: everybody.length });
    for (const line of all("li", blanks)) {
      const { length } = empty(line.dataset.person || "");
      first(".count", line).textContent = String(length);
      show(line, length > 0 && (!line.dataset.person || length < everybody.length));
    }
    show(first(".how-many", blanks), everybody.length > 0);
    show(first(".entered", blanks), !everybody.length);
    show(first(".undo", blanks), missed.length > 0);
  };

  for (const [at, row] of rows.entries()) {
    row.field.addEventListener("input", () => read(row, row.wrong && Boolean(row.mistake.textContent)));
    row.field.addEventListener("keydown", (event) => {
      const text = row.field.value.trim();
      const by = { Enter: 1, ArrowDown: 1, ArrowUp: -1 }[event.key];
      if (!by || event.isComposing) return;
      event.preventDefault();
      if (text === "?" || text === "<") row.field.value = "";
      if (text === "?") /** @type {any} */ (first("#signs")).open = true;
      else if (text === "<") go(at, -1);
      else if (leave(row) || event.key !== "Enter") go(at, by);
    });
    row.undo.addEventListener("click", () => {
      write(row.before);
      row.before = [];
      draw(row);
      row.field.focus();
    });
    for (const [number, box] of row.boxes) {
      box.el.addEventListener("click", () => {
        if (row.kind !== "yes/no") return openPad(row, number);
        const value = box.el.dataset.value;
        touch(row, number, !value ? "yes" : value === "yes" && !box.repeats ? "no" : "");
      });
    }
  }
  for (const kind of ["focusin", "click"]) {
    document.addEventListener(kind, ({ target }) => {
      if (target instanceof Node && pad.contains(target)) return;
      if (touching && rowOf(target) !== touching.row) openPad();
      turnTo(rowOf(target));
    });
  }
  pad.addEventListener("click", ({ target }) => press(/** @type {HTMLElement} */ (target).dataset.key || ""));
  blanks.addEventListener("click", ({ target }) => {
    const button = /** @type {HTMLElement} */ (target).closest("button");
    if (!button) return;
    const { answer } = button.dataset;
    const person = button.closest("li")?.dataset.person || "";
    if (!answer) missed = (write(missed), answered.clear(), []);
    else {
      if (answer === "no") missed = [...missed, ...write(empty(person))];
      for (const line of all("li", blanks)) {
        if (!person || line.dataset.person === person) answered.add(line.dataset.person || "");
      }
    }
    rows.forEach(draw);
    ask();
    if (!button.offsetParent) first(".entered", blanks).focus();
  });
  addEventListener("pagehide", () => turnTo());
  document.addEventListener("visibilitychange", () => document.hidden && turnTo());
  marks.onChange(() => rows.forEach(draw));
  rows.forEach(draw);
  show(blanks, true);
  ask();
  rows[0]?.field.focus();
})();
