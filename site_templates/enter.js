"use strict";
// A week from paper: each row is typed or touched, and handed to the marks when it is left.
(() => {
  /**
   * A box: `mine` is what was said of it in this sitting, undefined where nothing was.
   * @typedef {{el: HTMLButtonElement, id: string, date: string, person: string, isTask: boolean,
   *   repeats: boolean, todo: boolean, mine?: string}} Box
   */
  /**
   * A row or a list: `draft` is what is said and not yet handed over, `touched` the part of it
   * that was not typed, `before` what undo brings back.
   * @typedef {{el: HTMLElement, title: string, kind: string, weekly?: string, ticked: boolean,
   *   field: HTMLInputElement, undo: HTMLElement, mistake: HTMLElement, bad: boolean,
   *   boxes: Map<number, Box>, draft: RowValues, touched: RowValues, before: Change[]}} Row
   */
  /** @typedef {[Box, string]} Change a box and what it says, as marks have it */
  /** @type {(css: string, from?: ParentNode) => any[]} */
  const all = (css, from = document) => [...from.querySelectorAll(css)];
  /** @type {(css: string, from?: ParentNode) => any} */
  const one = (css, from) => all(css, from)[0];

  /** @type {(target: EventTarget, kind: string, then: (event: any) => unknown) => void} */
  const on = (target, kind, then) => target.addEventListener(kind, then);

  const { rowValues, isTicked, fits, figure } = paperRows;
  const { zone, locale } = document.documentElement.dataset;
  const digits = new Intl.NumberFormat(locale, { useGrouping: false });
  const today = new Date().toLocaleDateString("sv", { timeZone: zone });
  const { from, last } = one(".entry").dataset;
  const pad = one("#pad"), blanks = one(".blanks");
  /** @type {Record<string, string>} */
  const texts = Object.fromEntries(all("[data-word]").map((el) => [el.dataset.word, el.textContent]));
  /** @type {(value: any) => string} figures in the digits of the language */
  const shown = (value) => isNaN(value) ? value : digits.format(value);
  /** @type {(word?: string, values?: Record<string, string | number>) => string} */
  const said = (word = "", values = {}) => texts[word]?.replace(/{(\w+)}/g, (_, name) => shown(values[name]));
  /** @type {(value: string) => string} */
  const inWords = (value) => texts[value || "empty"] || shown(value);

  // Of a task, yes is done and no is dropped.
  /** @type {(box: Box, value: string) => string} */
  const meant = ({ isTask }, value) => isTask && value ? value === "yes" ? "done" : "dropped" : value;
  /** @type {(box: Box) => string | undefined} */
  const known = (box) => weekMarks.held(box.id, box.date) ?? box.mine;
  /** @type {(box: Box) => string} */
  const now = (box) => known(box) ?? box.el.dataset.was ?? "";

  /** @type {Row[]} */
  const rows = [];
  for (const el of all(".row")) {
    const { row, list, person, kind, weekly } = el.dataset;
    /** @type {Row["boxes"]} */
    const boxes = new Map();
    for (const button of all("[data-number]", el)) {
      const { number, id, date, value, task, repeats, todo } = button.dataset;
      const day = date || list || (today < last ? today : last);
      if (today < from || day > today) continue;
      button.dataset.was = value;
      button.disabled = false;
      boxes.set(+number, {
        el: button, id: id || row, date: day, person: button.dataset.person || person || "",
        isTask: task === "", repeats: repeats === "", todo: todo === "",
      });
    }
    const field = one(".typed", el);
    field.hidden = !boxes.size;
    if (boxes.size) rows.push({
      el, kind, field, boxes, title: one(".row-title", el).textContent, weekly,
      ticked: kind === "yes/no", bad: false, undo: one(".undo", el), mistake: one(".mistake", el),
      draft: new Map(), touched: new Map(), before: [],
    });
  }
  /** @type {(node: EventTarget | null) => Row | undefined} */
  const rowOf = (node) => rows.find((row) => row.el.contains(/** @type {Node} */ (node)));

  /** @type {(row: Row) => void} */
  const draw = (row) => {
    for (const [number, box] of row.boxes) {
      const value = row.draft.get(number) ?? now(box);
      box.el.dataset.value = value;
      box.el.classList.toggle("draft", row.draft.has(number));
      one(".value", box.el).textContent = inWords(value);
    }
    row.field.ariaInvalid = `${row.bad}`;
    row.undo.hidden = !row.before.length;
  };

  /** @type {(row: Row, mistake?: Partial<RowMistake>) => void} */
  const tell = ({ mistake }, { word, values, remedy } = {}) => {
    mistake.textContent = [said(word, values), said(remedy)].filter(Boolean).join("; ");
  };

  /** @type {(list: Change[]) => Change[]} gives what stood before */
  const write = (list) => {
    const before = list.map(([box]) => /** @type {Change} */ ([box, now(box)]));
    weekMarks.add(list.map(([{ id, date, person, el }, value]) => ({ id, date, person, value, was: el.dataset.was })));
    for (const [box, value] of list) box.mine = value;
    return before;
  };

  // What is typed is read again at each key, and lies over what was touched. Half a row is no
  // mistake yet: one is told when the row is to be left.
  /** @type {(row: Row, told: boolean) => void} */
  const read = (row, told) => {
    const text = row.field.value;
    row.draft = new Map(row.touched);
    row.bad = false;
    tell(row);
    try {
      if (text.trim()) for (const [number, value] of rowValues(text, [...row.boxes.keys()], row.kind)) {
        const box = /** @type {Box} */ (row.boxes.get(number));
        if (value === "no" && (box.repeats || box.todo)) {
          const word = box.todo ? "todo" : "repeats";
          throw { word, values: { title: one(".item-title", box.el).textContent }, remedy: `${word}-remedy` };
        }
        row.draft.set(number, meant(box, value));
      }
    } catch (error) {
      row.bad = true;
      row.draft.clear();
      if (told) tell(row, /** @type {RowMistake} */ (error));
    }
    draw(row);
  };

  /** @type {(row: Row) => boolean} whether the row was taken */
  const leave = (row) => {
    read(row, true);
    if (row.bad) return false;
    /** @type {Change[]} */
    const list = [];
    for (const [number, value] of row.draft) {
      const box = row.boxes.get(number);
      if (box && value !== now(box)) list.push([box, value]);
    }
    const text = row.field.value;
    if (text.trim()) row.ticked = isTicked(text, row.kind);
    row.field.value = "";
    row.touched.clear();
    row.draft.clear();
    if (list.length) {
      row.before = write(list);
      const values = list.map(([, value]) => inWords(value)).join(" ");
      weekMarks.say(said("row", { title: row.title, values }));
    }
    draw(row);
    return true;
  };

  // One row at a time is filled in; going elsewhere by any way leaves it.
  /** @type {Row | undefined} */
  let here;
  /** @type {(row?: Row) => void} */
  const turn = (row) => {
    if (here && here !== row) leave(here);
    here = row;
    ask();
  };
  /** @type {(at: number) => void} */
  const go = (at) => {
    const next = rows[Math.max(at, 0)] || rows.find((row) => row.bad);
    if (next) return next.field.focus();
    turn();
    all("[data-say], .entered").find((el) => el.offsetParent).focus();
  };

  // A figure is touched in on a pad of keys.
  /** @type {{row: Row, number: number, box: Box, text: string} | undefined} */
  let spot;
  /** @type {(row?: Row, number?: number) => void} */
  const dial = (row, number = 0) => {
    const box = row?.boxes.get(number);
    spot?.box.el.classList.remove("at");
    pad.hidden = !box;
    spot = row && box && { row, number, box, text: "" };
    if (!row || !box) return;
    box.el.classList.add("at");
    one("p", pad).textContent = said("row", { title: row.title, values: one(".vh", box.el).textContent });
    for (const key of all("[data-key]")) key.hidden = row.kind === "scale" && !/[1-5]|back|next/.test(key.dataset.key);
    box.el.scrollIntoView({ block: "nearest" });
  };
  /** @type {(row: Row, number: number, value: string) => void} */
  const touch = (row, number, value) => {
    row.touched = new Map(row.bad ? row.touched : row.draft).set(number, value);
    row.field.value = "";
    read(row, false);
  };
  /** @type {(key?: string) => void} */
  const press = (key) => {
    if (!spot || !key) return;
    const { row, number } = spot;
    if (key !== "next") {
      const isWord = /yes|no/.test(key);
      const text = isWord ? "" : key === "back" ? spot.text.slice(0, -1) : spot.text + key;
      const value = isWord ? key : text && figure(text, 1);
      if (!fits(value, row.kind)) return tell(row, { word: "value", values: { value }, remedy: `remedy-${row.kind}` });
      spot.text = text;
      touch(row, number, value);
      if (!isWord && (row.kind !== "scale" || !value)) return;
    }
    const numbers = [...row.boxes.keys()];
    dial(row, numbers[numbers.indexOf(number) + 1]);
    if (!spot) turn();
  };

  // What empty boxes for ticks say is asked once: not those of habits so many times a week, any
  // of whose days may stay empty, nor those of today.
  /** @type {Set<string>} */
  const asked = new Set();
  /** @type {(person?: string) => Change[]} */
  const empty = (person) => rows.filter((row) => !row.bad && row.ticked && row.weekly === undefined)
    .flatMap((row) => [...row.boxes.values()].filter((box) => !box.isTask && box.date < today && !now(box)
      && known(box) === undefined && !asked.has(box.person) && (!person || box.person === person))
      .map((box) => /** @type {Change} */ ([box, "no"])));
  const ask = () => {
    const count = empty().length;
    one(".how-many").textContent = said("blanks", { count });
    one(".how-many").hidden = !count;
    one(".entered").hidden = count > 0;
    for (const line of all("li", blanks)) {
      const own = empty(line.dataset.person).length;
      one(".count", line).textContent = shown(own);
      line.hidden = !own || (line.dataset.person && own === count);
    }
  };

  const paint = () => {
    rows.forEach(draw);
    ask();
  };

  for (const [at, row] of rows.entries()) {
    const { field, boxes } = row;
    on(field, "input", () => read(row, false));
    on(field, "keydown", (event) => {
      const by = ["ArrowUp", "", "ArrowDown", "Enter"].indexOf(event.key) - 1, text = field.value.trim();
      if (by < -1 || event.isComposing) return;
      event.preventDefault();
      if (text === "?") {
        field.value = "";
        one("#signs").open = true;
      } else if (leave(row) || by < 2) go(at + Math.min(by, 1));
    });
    on(row.undo, "click", () => {
      write(row.before);
      row.before = [];
      draw(row);
      field.focus();
    });
    for (const [number, box] of boxes) on(box.el, "click", ({ detail }) => {
      const value = box.el.dataset.value || "";
      if (row.kind === "yes/no") {
        touch(row, number, meant(box, !value ? "yes" : /yes|done/.test(value) && !(box.repeats || box.todo) ? "no" : ""));
      } else if (detail) dial(row, number);
      else field.focus(); // by a key: whoever has keys types
    });
  }
  for (const kind of ["focusin", "click"]) on(document, kind, ({ target }) => {
    if (pad.contains(target)) return;
    const row = rowOf(target);
    if (spot && row !== spot.row) dial();
    turn(row);
  });
  on(pad, "click", ({ target }) => press(target.dataset.key));
  on(blanks, "click", ({ target }) => {
    const button = target.closest("button");
    if (!button) return;
    const list = empty(button.closest("li").dataset.person);
    for (const [box] of list) asked.add(box.person);
    if (button.dataset.say) write(list);
    paint();
    if (!button.offsetParent) go(rows.length);
  });
  on(window, "pagehide", () => turn());
  on(document, "visibilitychange", () => document.hidden && turn());
  weekMarks.onChange(paint);
  paint();
  blanks.hidden = !rows.length;
  one(".to-come").hidden = !blanks.hidden;
  if (matchMedia("(pointer: fine)").matches) rows[0]?.field.focus();
})();
