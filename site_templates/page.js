"use strict";
// What only the reader's clock and hand know: which day is today, how old a copy is, one day by
// itself, and whose lines are shown. Without this script the pages say everything else.
(() => {
  // Opened as https://name:password@… to get by a proxy: nothing can be sent from such a page.
  if (new URL(document.baseURI).username) location.replace(location.href);

  const root = document.documentElement;
  const zone = root.dataset.zone;
  const language = root.dataset.locale; // with the calendar, clock and digits of the page
  /** @type {(selector: string, within?: ParentNode) => HTMLElement[]} */
  const all = (selector, within = document) => Array.from(within.querySelectorAll(selector));
  const [first] = all(".day").map((one) => one.dataset.date ?? "");
  const last = all(".day").pop()?.dataset.date ?? "";

  // As 2027-03-24: that is how Swedish writes a date (CLDR).
  const today = () => new Date().toLocaleDateString("sv", { timeZone: zone });

  // What a mark is for: the page writes each date once, every script finds it on its element.
  /** @type {(day: string) => void} */
  const stampDates = (day) => {
    for (const head of /** @type {HTMLTableCellElement[]} */ (all("th[data-date]"))) {
      const cells = `tbody td:nth-child(${head.cellIndex + 1})`;
      for (const one of all(`${cells}, ${cells} .break`, head.closest("table") ?? root)) {
        one.dataset.date = head.dataset.date;
      }
    }
    for (const month of all("[data-from]")) {
      const from = Date.parse(month.dataset.from ?? "");
      all("td", month).forEach((one, at) => {
        one.dataset.date = new Date(from + at * 864e5).toISOString().slice(0, 10);
      });
    }
    for (const task of all(".task[data-id]")) {
      const own = /** @type {HTMLElement?} */ (task.closest(".day"));
      if (own) task.dataset.date = own.dataset.date;
      else task.dataset.date = first && day < first ? first : last && day > last ? last : day;
    }
  };

  /** @type {(day: string) => void} */
  const markToday = (day) => {
    stampDates(day);
    for (const one of all("[data-date]")) {
      const is = one.dataset.date === day;
      one.classList.toggle("today", is && !one.matches(".task, .break"));
      one.ariaCurrent = is && one.id ? "date" : null;
    }
    const here = document.getElementById(`d-${day}`);
    for (const link of all("a.to-today")) {
      link.hidden = !here;
      if (here) link.setAttribute("href", `#d-${day}`);
    }
  };

  /** @type {(day: string) => void} */
  const leadToCurrentWeek = (day) => {
    const current = document.getElementById("current");
    for (const week of all("[data-first]")) {
      const { first: from = "", last: to = "" } = week.dataset;
      const is = from <= day && day <= to;
      week.classList.toggle("today", is);
      const link = week.querySelector("a");
      if (!is || !current || !link) continue;
      current.setAttribute("href", link.getAttribute("href") ?? "");
      current.replaceChildren(...link.cloneNode(true).childNodes);
    }
  };

  /** @type {(time: HTMLTimeElement) => string} */
  const age = (time) => {
    const words = new Intl.RelativeTimeFormat(language, { numeric: "auto" });
    const minutes = (Date.parse(time.dateTime) - Date.now()) / 60000, far = Math.abs(minutes);
    time.classList.toggle("old", minutes < -2160); // 36 hours: a night was missed
    /** @type {[number, Intl.RelativeTimeFormatUnit]} */
    const [one, unit] = far < 90 ? [1, "minute"] : far < 2160 ? [60, "hour"] : [1440, "day"];
    return words.format(Math.round(minutes / one), unit);
  };

  const sayAges = () => {
    for (const one of /** @type {HTMLTimeElement[]} */ (all("time[data-age]"))) {
      let said = one.nextElementSibling;
      if (!said) {
        said = document.createElement("span");
        said.className = "age";
        one.after(" ", said);
      }
      said.textContent = `(${age(one)})`;
    }
  };

  const sayWhenPulled = () => {
    if (typeof lastGood === "undefined") return;
    const form = new Intl.DateTimeFormat(language, {
      timeZone: zone, dateStyle: "medium", timeStyle: "short",
    });
    for (const one of all("[data-source]")) {
      const from = lastGood[one.dataset.source ?? ""];
      if (!from) continue;
      const time = document.createElement("time");
      time.dateTime = from;
      time.textContent = form.format(new Date(from));
      one.append(" ", time);
    }
  };

  /** @type {(selector: string, within?: ParentNode) => void} */
  const unfold = (selector, within) => {
    for (const fold of all(selector, within)) fold.setAttribute("open", "");
  };

  // One day: the style sheet shows the day that is aimed at by itself; here it is unfolded.
  const showDay = () => {
    const day = document.getElementById(location.hash.slice(1));
    if (!day?.matches(".day")) return;
    unfold("details", day);
    all("h2 a", day)[0]?.focus({ preventScroll: true });
    scrollTo(0, 0);
  };

  // Whose lines are shown, of which areas; a line that is nobody's is everybody's.
  const filter = () => {
    const [box] = all(".filter");
    const legend = all(".legend > span").filter((one) => one.querySelector("i"));
    if (!box || !legend.length) return;
    const [said] = all("[role=status]", box), [everything] = all(".everything", box);
    const key = `weeksync:${root.dataset.home}:shown`;
    /** @type {Set<string>} */
    let shown = new Set();
    try {
      shown = new Set(JSON.parse(sessionStorage.getItem(key) ?? "[]"));
    } catch { /* nothing was kept, or nothing can be */ }
    /** @type {(mark: Element) => string} */
    const name = (mark) => `${mark.className[0]} ${mark.getAttribute("aria-label")}`;

    const apply = () => {
      const of = ["a", "p"].map((kind) => [...shown].filter((one) => one[0] === kind));
      /** @type {(line: HTMLElement) => boolean} */
      const out = (line) => of.some((chosen, at) => {
        const marks = all(at ? ".p" : ".a", line).filter((one) => !one.closest(".meet"));
        return chosen.length && marks.length && !marks.some((one) => shown.has(name(one)));
      });
      let count = 0, open = 0;
      for (const line of all(".event, .ribbon, .task, .pencil, .load, .habits tbody tr")) {
        const is = shown.size > 0 && out(line);
        line.classList.toggle("left-out", is);
        count += +is;
        open += +(is && (line.matches(".overdue") || !!line.querySelector(".clash")));
      }
      for (const chip of chips) {
        chip.ariaPressed = String(shown.has(chip.value));
      }
      const { only = "", out: left = "", open: decide = "" } = box.dataset;
      const what = [...shown].map((one) => one.slice(2)).join(", ");
      said.textContent = shown.size ? [
        only.replace("{what}", () => what), left.replace("{count}", String(count)),
        ...open ? [decide.replace("{count}", String(open))] : [],
      ].join(" · ") : "";
      everything.hidden = !shown.size;
      try {
        sessionStorage.setItem(key, JSON.stringify([...shown]));
      } catch { /* kept as long as the page is open */ }
    };

    const chips = legend.map((one) => {
      const chip = document.createElement("button");
      chip.type = "button";
      chip.value = name(all("i", one)[0]);
      chip.append(...one.cloneNode(true).childNodes);
      chip.addEventListener("click", () => {
        if (!shown.delete(chip.value)) shown.add(chip.value);
        apply();
      });
      return chip;
    });
    all(".chips", box)[0].append(...chips);
    shown = new Set([...shown].filter((one) => chips.some((chip) => chip.value === one)));
    everything.addEventListener("click", () => {
      shown.clear();
      apply();
      all("summary", box)[0].focus();
    });
    box.hidden = false;
    apply();
    document.addEventListener("weeksync:page", apply);
  };

  let marked = "";
  const refresh = () => {
    const day = today();
    sayAges();
    if (day === marked) return;
    marked = day;
    markToday(day);
    leadToCurrentWeek(day);
  };
  // Served, each page leads to those of one's own and back; from a folder there is no way.
  for (const [href, text] of (typeof served !== "undefined" && served.links) || []) {
    const link = Object.assign(document.createElement("a"), { href, textContent: text });
    const here = link.pathname === location.pathname || (href === "/" && !location.pathname.startsWith("/own/"));
    if (!here) document.querySelector(".turn")?.append(link);
    // Who leaves their own pages on a tablet of all locks them; where home is away they are locked
    // with it, or by time.
    if (href === "/") link.onclick = (event) => {
      event.preventDefault();
      fetch("/own/lock", { method: "POST", redirect: "manual" }).catch(() => {}).then(() => location.assign("/"));
    };
  }
  // Served, the household's own tasks, lessons and appointments lead to their forms.
  const leadToForms = () => {
    if (typeof served === "undefined") return;
    for (const one of all("[data-edit]:not(:has(.edit))")) {
      const ariaLabel = `${served.edit} ${one.querySelector("bdi")?.textContent}`;
      all(".what, .a, .p:not(.meet *)", one).pop()?.after(Object.assign(document.createElement("a"), {
        className: "edit", href: `/edit/${one.dataset.edit}`, textContent: "\u270e", ariaLabel,
      }));
    }
  };
  leadToForms();
  sayWhenPulled();
  refresh();
  filter();
  showDay();
  addEventListener("hashchange", showDay);
  addEventListener("keydown", ({ key, defaultPrevented: is }) => {
    if (key === "Escape" && !is && document.querySelector(".day:target")) location.hash = "days";
  });
  addEventListener("beforeprint", () => unfold(".decisions details"));
  // A rebuilt page has taken the place of this one's main part (marks.js).
  document.addEventListener("weeksync:page", () => {
    marked = "";
    leadToForms();
    refresh();
    if (location.hash) location.replace(location.hash); // :target belonged to what is gone
  });
  setInterval(refresh, 60000); // a tablet on the wall stays open over midnight
})();
