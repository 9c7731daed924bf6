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

  // What a mark is for: the page writes each date once, every script finds it on its element.
  const stampDates = (day) => {
    for (const head of all("th[data-date]")) {
      const at = head.cellIndex + 1;
      for (const one of head.closest("table").querySelectorAll(
        `tbody td:nth-child(${at}), tbody td:nth-child(${at}) .break`,
      )) one.dataset.date = head.dataset.date;
    }
    const days = [...all(".day")].map((one) => one.dataset.date);
    for (const task of all(".task[data-id]")) {
      const own = task.closest(".day");
      if (own) task.dataset.date = own.dataset.date;
      else if (days.length) {
        const last = days[days.length - 1];
        task.dataset.date = day < days[0] ? days[0] : day > last ? last : day;
      }
    }
  };

  const markToday = (day) => {
    stampDates(day);
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
