"use strict";
// Looks for words in the titles of closed weeks, in the browser alone. The indexes of the years say
// globalThis.searched.push([weeks, texts]); weeksync/review/texts.py folds texts the same way.
(() => {
  /** @typedef {[string, string]} Week address or "", label */
  /** @typedef {[string, string, number[]]} Line kind, text, places */
  /** @type {[Week[], Line[]][]} */
  const years = /** @type {any} */ (globalThis).searched || [];
  const most = 200;
  const marks = /[\u0300-\u036f\u0591-\u05c7\u0640\u064b-\u065f\u0670]/g;
  /** @type {Record<string, string>} */
  const single = { ø: "o", đ: "d", ð: "d", ł: "l", ħ: "h", ı: "i", æ: "ae", œ: "oe", þ: "th", ŧ: "t", ς: "σ" };
  /** @type {(text: string) => string} */
  const fold = (text) => text.normalize("NFKD").toUpperCase().toLowerCase().normalize("NFKD").replace(marks, "")
    .replace(/[øđðłħıæœþŧς]/g, (one) => single[one]).split(/\s+/).filter(Boolean).join(" ");
  /** @type {any} */ (globalThis).foldText = fold;

  const form = /** @type {HTMLFormElement?} */ (document.querySelector(".finder"));
  const field = /** @type {HTMLInputElement?} */ (document.getElementById("words"));
  const list = document.getElementById("found"), count = document.getElementById("count");
  if (!form || !field || !list || !count) return;
  const { locale } = document.documentElement.dataset;
  const numbers = new Intl.NumberFormat(locale);
  /** @type {(name: string, n?: number) => string} */
  const says = (name, n = 0) => (document.querySelector(`[data-says="${name}"]`)?.textContent || "")
    .replace("{n}", numbers.format(n));
  /** @type {Map<string, string>} */
  const folded = new Map();
  /** @type {(text: string) => string} */
  const foldOnce = (text) => {
    const known = folded.get(text), found = known ?? fold(text);
    if (known === undefined) folded.set(text, found);
    return found;
  };
  /** @type {<K extends keyof HTMLElementTagNameMap>(name: K, text: string, of?: object) => HTMLElementTagNameMap[K]} */
  const element = (name, text, of = {}) => Object.assign(document.createElement(name), { textContent: text }, of);

  /** @type {(week: Week, kind: string, text: string) => HTMLLIElement} */
  const line = ([href, label], kind, text) => {
    const item = document.createElement("li"), where = document.createElement("span"), what = document.createElement("span");
    where.append(href ? element("a", label, { href }) : label);
    what.append(element("bdi", text, { className: "what" }), element("small", says(kind)));
    item.append(where, what);
    return item;
  };

  const look = () => {
    const words = [...new Set(fold(field.value).split(" "))].filter(Boolean);
    /** @type {HTMLLIElement[]} */
    const items = [];
    let found = 0;
    for (const [weeks, texts] of words.length ? years : []) {
      /** @type {[number, Line][]} */
      const hits = [];
      for (const one of texts) {
        const text = foldOnce(one[1]);
        if (words.every((word) => text.includes(word))) for (const place of one[2]) hits.push([place, one]);
      }
      // The last week first, in it the last day first.
      hits.sort(([a], [b]) => (a >> 3) - (b >> 3) || (b & 7) - (a & 7));
      found += hits.length;
      for (const [place, [kind, text]] of hits.slice(0, most - items.length)) items.push(line(weeks[place >> 3], kind, text));
    }
    list.replaceChildren(...items);
    const more = found - items.length;
    count.textContent = !words.length ? "" : [
      found > 1 ? says("many", found) : says(found ? "one" : "none"),
      more ? says("more", more) : "",
    ].filter(Boolean).join(" ");
    const query = field.value.trim();
    // A page opened from a folder may not rename itself in every browser.
    try {
      history.replaceState(null, "", query ? `#${encodeURIComponent(query)}` : location.pathname);
    } catch {}
  };

  form.hidden = false;
  if (typeof served !== "undefined") {
    const way = element("p", "");
    way.append(element("a", says("served"), { href: "/search/" }));
    form.after(way);
  }
  try {
    field.value = decodeURIComponent(location.hash.slice(1));
  } catch {} // no text of ours
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    look();
  });
  let later = 0;
  field.addEventListener("input", () => {
    clearTimeout(later);
    later = setTimeout(look, 120);
  });
  if (field.value) look();
})();
