"use strict";
// The form of a check-in. What is written is kept in this browser before anything else; where
// weeksync serves the page it is handed over at once, and what home has is kept here no longer.
(() => {
  /** @typedef {Record<string, string>} Entry */
  const form = document.forms[0], data = form.dataset, FIELDS = ["feeling", "energy", "why", "help", "gratitude"];
  const { home, zone } = document.documentElement.dataset;
  const isServed = typeof served !== "undefined";
  const prefix = `weeksync:${home}:check-in:`;
  /** @type {(id: string) => HTMLElement} */
  const part = (id) => /** @type {HTMLElement} */ (document.getElementById(id));
  const day = /** @type {HTMLInputElement} */ (part("day")), list = part("waiting").querySelector("ul");
  const today = () => new Date().toLocaleDateString("sv", { timeZone: zone });
  /** @type {(name: string) => string} */
  const says = (name) => form.querySelector(`[data-says="${name}"]`)?.textContent || "";
  /** @type {(text: string) => void} */
  const say = (text) => {
    part("said").textContent = text;
  };
  /** @type {(tag: string, more: object) => HTMLElement} */
  const make = (tag, more) => Object.assign(document.createElement(tag), more);
  const person = () => data.person || `${new FormData(form).get("person") || ""}`;

  /** @type {() => Entry} */
  const read = () => {
    const all = new FormData(form);
    const said = FIELDS.map((name) => [name, `${all.get(name) || ""}`.trim()]);
    return { day: day.value, person: person(), ...Object.fromEntries(said), seen: data.seen || "" };
  };
  const noEnergy = () => {
    for (const one of form.querySelectorAll("[name=energy]")) /** @type {HTMLInputElement} */ (one).checked = false;
  };
  /** @type {(entry: Entry) => void} */
  const fill = (entry) => {
    noEnergy();
    for (const name of FIELDS) {
      const field = form.elements.namedItem(name);
      if (field && "value" in field) field.value = entry[name] || "";
    }
    data.seen = entry.seen || "";
  };
  /** @type {(entry: Entry) => string} */
  const keyOf = (entry) => `${prefix}${entry.person}:${entry.day}`;
  /** @type {(entry: Entry) => boolean} */
  const keep = (entry) => {
    try {
      localStorage[keyOf(entry)] = JSON.stringify(entry);
      return true;
    } catch {
      return false;
    }
  };
  /** @type {() => Entry[]} */
  const kept = () => {
    try {
      return Object.keys(localStorage).filter((key) => key.startsWith(prefix)).sort()
        .map((key) => JSON.parse(localStorage[key]));
    } catch {
      return [];
    }
  };
  /** @type {(entry: Entry) => void} */
  const forget = (entry) => {
    try {
      // What was written since, on another tab, is not what home has.
      if (localStorage[keyOf(entry)] === JSON.stringify(entry)) localStorage.removeItem(keyOf(entry));
    } catch {} // nothing is kept here
  };
  const mine = () => kept().filter((entry) => entry.person === person());
  const show = () => {
    const all = isServed ? mine() : kept();
    part("waiting").hidden = !all.length;
    part("hand-over").hidden = !isServed;
    list?.replaceChildren(...all.map((entry) => {
      const name = form.querySelector(`[value="${entry.person}"]`)?.parentElement?.textContent;
      return make("li", { textContent: `${entry.day} ${name || ""}` });
    }));
  };

  /** @type {(entry: Entry) => Promise<string>} */
  const hand = async (entry) => {
    const { person: _, ...body } = entry;
    const sent = JSON.stringify({ ...body, energy: +entry.energy || null });
    try {
      const answer = await fetch("/check-ins", { method: "POST", headers: { "Content-Type": "application/json" }, body: sent });
      const found = await answer.json();
      const held = found.held, isHere = entry.day === day.value;
      if (answer.ok || held) {
        forget(entry);
        if (isHere) data.seen = (held || found).seen || "";
        if (isHere && held) {
          for (const one of part("elsewhere").querySelectorAll("dd")) one.textContent = held[`${one.dataset.field}`] ?? "";
        }
        part("elsewhere").hidden = !(isHere && held);
        return found.text || says("saved");
      }
      return [401, 403].includes(answer.status) ? says("locked") : `${found.text || ""} ${says("kept")}`;
    } catch {
      return says("kept"); // home does not answer
    }
  };
  const handAll = async () => {
    for (const entry of mine()) say(await hand(entry));
    show();
  };

  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const entry = read();
    if (!entry.seen && FIELDS.every((name) => !entry[name])) return say(says("empty"));
    const isKept = keep(entry);
    say(isServed ? await hand(entry) : says(isKept ? "kept" : "unkept"));
    blank = read();
    show();
  });
  part("no-energy").onclick = noEnergy;
  part("hand-over").onclick = handAll;
  part("as-file").onclick = () => {
    const text = kept().map((entry) => `${JSON.stringify(entry)}\n`).join("");
    const href = URL.createObjectURL(new Blob([text], { type: "application/x-ndjson" }));
    make("a", { href, download: `check-ins-${today()}.jsonl` }).click();
    say(says("filed"));
  };

  let blank = read();
  const isEdited = () => FIELDS.some((name) => read()[name] !== blank[name]);
  const load = () => {
    const entry = mine().find((one) => one.day === day.value);
    if (entry) fill(entry);
  };
  form.addEventListener("change", ({ target }) => {
    const name = /** @type {HTMLInputElement} */ (target).name;
    if (!["day", "person"].includes(name) || !day.value) return;
    if (isEdited()) data.seen = ""; // it was another day's; home keeps both, should it have one
    else if (isServed && name === "day") location.search = `?day=${day.value}`;
    else {
      fill({});
      load();
    }
    blank = read();
  });
  day.max = today();
  day.value ||= day.max;
  load();
  show();
  for (const one of form.querySelectorAll("[type=submit]")) /** @type {HTMLElement} */ (one).hidden = false;

  // What is locked does not stay on the screen; what is being written waits in this browser.
  const seconds = isServed && served.lockSeconds || 0;
  let idle = 0;
  const leave = () => {
    if (isEdited()) keep(read());
    location.replace("/");
  };
  const again = () => {
    clearTimeout(idle);
    idle = setTimeout(leave, seconds * 1000);
  };
  if (seconds) for (const event of ["pointerdown", "keydown", "focus", "pageshow"]) addEventListener(event, again);
})();
