"use strict";
// How a row of a paper week is typed, as `weeksync mark` reads it: the same notation, the same
// mistakes. Pure: what was typed goes in, what each box says comes out.
/**
 * A mistake: the key of its sentence, what stands in its places, and the key of a remedy.
 * @typedef {{word: string, values?: Record<string, string | number>, remedy?: string}} RowMistake
 */
/** @typedef {Map<number, string>} RowValues number of the box → yes, no, a figure, "" taken back */
const paperRows = (() => {
  /** @type {Record<string, number>} */
  const most = { count: 1000000, minutes: 1440, hours: 24, scale: 5 };
  const atom = /\d+(?:[.,]\d+)?\+?|==|[-=~xX]/g;
  const joinedTicks = /^[xX][\d*/~,]+$/;

  /** @type {(word: string, values?: RowMistake["values"], remedy?: string) => never} */
  const mistaken = (word, values, remedy) => {
    throw { word, values, remedy };
  };

  /** @type {(text: string, asked: number[]) => number[]} */
  const numbers = (text, asked) => {
    const found = (text.match(Math.max(0, ...asked) <= 9 ? /\d/g : /\d+/g) || []).map(Number);
    found.forEach((number, at) => {
      if (!asked.includes(number)) mistaken("no-box", { number, known: asked.join(", ") });
      if (found.lastIndexOf(number) > at) mistaken("twice", { number });
    });
    return found;
  };

  /** @type {(text: string, asked: number[]) => RowValues} */
  const ticks = (text, asked) => {
    const found = /^(\*?)([\d ,]*)((?:[/~][\d ,]*)*)$/.exec(text);
    if (!found || !text.trim()) return mistaken("ticks");
    const named = numbers(found[2], asked);
    const yes = found[1] ? asked.filter((number) => !named.includes(number)) : named;
    const seen = new Set(named);
    /** @type {RowValues} */
    const values = new Map(yes.map((number) => [number, "yes"]));
    for (const [, sign, digits] of found[3].matchAll(/([/~])([\d ,]*)/g)) {
      for (const number of numbers(digits, asked)) {
        if (seen.has(number)) mistaken("twice", { number });
        seen.add(number);
        values.set(number, sign === "/" ? "no" : "");
      }
    }
    return values;
  };

  // In whole numbers: a figure with a fraction is exact, too.
  /** @type {(text: string, factor: number) => string} */
  const figure = (text, factor) => {
    let [whole, part = ""] = text.replace("+", "").replace(",", ".").split(".");
    part = part.padEnd(1, "0");
    const half = text.endsWith("+") ? 5n * 10n ** BigInt(part.length - 1) : 0n;
    const all = String((BigInt(whole + part) + half) * BigInt(factor)).padStart(part.length + 1, "0");
    return `${all.slice(0, -part.length)}.${all.slice(-part.length)}`.replace(/\.?0+$/, "");
  };

  /** @type {(value: string, kind: string) => boolean} */
  const fits = (value, kind) => {
    if (!value || (kind !== "scale" && /^(yes|no)$/.test(value))) return true;
    if (!/^\d{1,7}(\.\d{1,3})?$/.test(value) || Number(value) > most[kind]) return false;
    return /count|scale/.test(kind) ? !value.includes(".") && (kind === "count" || value > "0") : true;
  };

  /** @type {(atoms: string[], count: number, kind: string) => string[]} */
  const split = (atoms, count, kind) => {
    const runs = atoms.filter((one) => /^\d/.test(one));
    const scale = kind === "scale";
    if (!runs.length || (atoms.at(-1) === "==" && !scale)) return atoms;
    const lengths = runs.map((one) => one.replace("+", "").length);
    const sum = lengths.reduce((all, one) => all + one);
    const width = scale ? 1 : sum / (count - (atoms.length - runs.length));
    const pointed = count > 1 && runs.some((one) => /[.,]/.test(one));
    const clear = !pointed && width >= 1 && Number.isInteger(width)
      && lengths.every((length) => length % width === 0);
    // With more than one run it could as well be these figures, and not more.
    if (!clear || (atoms.length > 1 && Math.max(...lengths) > width
      && runs.every((one) => fits(figure(one, 1), kind)))) mistaken("joint", { count });
    return atoms.flatMap((one) => /^\d/.test(one)
      ? one.match(new RegExp(`[^+]{${width}}\\+?`, "g")) || [] : [one]);
  };

  /** @type {(text: string, asked: number[], kind: string) => RowValues} */
  const figures = (text, asked, kind) => {
    const times = kind === "scale" ? null : /^(.*?)\*(10{1,3})$/.exec(text);
    const body = times ? times[1] : text;
    const factor = times ? Number(times[2]) : 1;
    /** @type {string[]} */
    let atoms = body.match(atom) || [];
    if (!atoms.length || body.replace(atom, "").trim()) mistaken("figures");
    if (!/\s/.test(body.trim())) atoms = split(atoms, asked.length, kind);
    const isFilled = atoms.at(-1) === "==";
    const cells = isFilled ? atoms.slice(0, -1) : atoms;
    if (cells.includes("==") || cells.length > asked.length) {
      mistaken("many", { count: cells.length, days: asked.length });
    }
    /** @type {(string | undefined)[]} */
    const values = [];
    const before = () => values.length ? values.at(-1) : mistaken("first");
    for (const cell of cells) {
      values.push(cell === "=" ? before() : cell === "-" ? undefined : cell === "~" ? ""
        : /x/i.test(cell) ? "yes" : figure(cell, factor));
    }
    if (isFilled) {
      const last = before();
      while (values.length < asked.length) values.push(last);
    }
    /** @type {RowValues} */
    const said = new Map();
    values.forEach((value, at) => {
      if (value === undefined) return;
      if (!fits(value, kind)) mistaken("value", { value }, `remedy-${kind}`);
      said.set(asked[at], value);
    });
    return said;
  };

  // Digits of any script: their blocks begin at 0 of a row of 16, those of India at 6.
  /** @type {(text: string) => string} */
  const ascii = (text) => text.replace(/\u066b/g, ".").replace(/\u060c/g, ",")
    .replace(/\p{Nd}/gu, (digit) => {
      const code = digit.charCodeAt(0);
      return `${(code - (code > 0x900 && code < 0xe00 ? 6 : 0)) & 15}`;
    });

  /** @type {(text: string, kind: string) => boolean} */
  const isTicked = (text, kind) => kind === "yes/no" || joinedTicks.test(ascii(text).trim());

  /**
   * What was typed for a row with these boxes; throws a RowMistake.
   * @type {(text: string, asked: number[], kind: string) => RowValues}
   */
  const rowValues = (text, asked, kind) => {
    const plain = ascii(text).trim();
    if (kind === "yes/no") return ticks(plain.replace(/^x/, ""), asked);
    if (kind !== "scale" && joinedTicks.test(plain)) return ticks(plain.slice(1), asked);
    return figures(plain, asked, kind);
  };

  return { rowValues, isTicked, fits, figure };
})();
