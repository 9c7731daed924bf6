"use strict";
// Three things that only the reader's clock knows: which day is today, which week is current,
// and how old a copy is. Without this script the pages say everything else.
(() => {
  const root = document.documentElement;
  const zone = root.dataset.zone;
  const language = `${root.lang}-u-nu-latn`; // the digits of the rest of the page
  const all = (selector) => document.querySelectorAll(selector);

  const today = () => {
    const parts = new Intl.DateTimeFormat("en", {
      timeZone: zone, calendar: "gregory", numberingSystem: "latn",
      year: "numeric", month: "2-digit", day: "2-digit",
    }).formatToParts(new Date());
    const part = (type) => parts.find((one) => one.type === type).value;
    return `${part("year").padStart(4, "0")}-${part("month")}-${part("day")}`;
  };

  const markToday = (day) => {
    for (const one of all("[data-date]")) {
      const is = one.dataset.date === day;
      one.classList.toggle("today", is);
      if (is && one.id) one.setAttribute("aria-current", "date");
      else one.removeAttribute("aria-current");
    }
    const link = document.querySelector(".to-today");
    const here = document.getElementById(`d-${day}`);
    if (link) {
      link.hidden = !here;
      if (here) link.href = `#d-${day}`;
    }
  };

  const leadToCurrentWeek = (day) => {
    const current = document.getElementById("current");
    for (const week of all("[data-first]")) {
      const is = week.dataset.first <= day && day <= week.dataset.last;
      week.classList.toggle("today", is);
      const link = week.querySelector("a");
      if (!is || !current) continue;
      current.href = link.getAttribute("href");
      current.replaceChildren(...[...link.childNodes].map((node) => node.cloneNode(true)));
    }
  };

  const age = (from) => {
    const words = new Intl.RelativeTimeFormat(language, { numeric: "auto" });
    const minutes = (new Date(from) - Date.now()) / 60000;
    if (Math.abs(minutes) < 90) return words.format(Math.round(minutes), "minute");
    if (Math.abs(minutes) < 36 * 60) return words.format(Math.round(minutes / 60), "hour");
    return words.format(Math.round(minutes / 1440), "day");
  };

  const sayAges = () => {
    for (const one of all("time[data-age]")) {
      let said = one.nextElementSibling;
      if (!said) {
        said = document.createElement("span");
        said.className = "age";
        one.after(" ", said);
      }
      said.textContent = `(${age(one.dateTime)})`;
    }
  };

  const sayWhenPulled = () => {
    if (typeof lastGood === "undefined") return;
    const form = new Intl.DateTimeFormat(language, {
      timeZone: zone, dateStyle: "medium", timeStyle: "short",
    });
    for (const one of all("[data-source]")) {
      const from = lastGood[one.dataset.source];
      if (!from) continue;
      const time = document.createElement("time");
      time.dateTime = from;
      time.textContent = form.format(new Date(from));
      one.append(" ", time);
    }
  };

  let shown = "";
  const refresh = () => {
    const day = today();
    sayAges();
    if (day === shown) return;
    shown = day;
    markToday(day);
    leadToCurrentWeek(day);
  };
  sayWhenPulled();
  refresh();
  setInterval(refresh, 60000); // a tablet on the wall stays open over midnight
})();
