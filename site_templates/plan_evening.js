"use strict";
// Placing tasks by the keyboard: Enter on a chosen task goes to the table of days, arrows move in
// it, a digit goes to that day, Escape goes back. Without this script it is a form like any other.
(() => {
  /** @type {() => HTMLFormElement?} */
  const form = () => /** @type {HTMLFormElement?} */ (document.getElementById("place"));
  /** @type {(event: Event) => HTMLElement} */
  const at = ({ target }) => /** @type {HTMLElement} */ (target);
  /** @type {() => HTMLInputElement?} */
  const chosen = () => document.querySelector("input[form=place]:checked");
  /** @type {(button: Element) => HTMLButtonElement[][]} */
  const rowsOf = (button) => [...(button.closest("tbody")?.rows || [])]
    .map((row) => [...row.querySelectorAll("button")]).filter((row) => row.length);

  const tell = () => {
    const task = chosen(), place = form()?.querySelector("[data-chosen]");
    if (!place) return;
    const words = /** @type {HTMLElement} */ (place);
    words.dataset.asks ||= words.textContent || "";
    words.textContent = task?.closest("label")?.querySelector(".what")?.textContent || words.dataset.asks;
  };

  /** Arrows go on in the reading direction: to the left where a page runs from right to left.
   * @type {(event: KeyboardEvent, button: HTMLElement) => HTMLButtonElement | undefined} */
  const next = ({ key }, button) => {
    const rows = rowsOf(button), y = rows.findIndex((row) => row.includes(/** @type {any} */ (button)));
    if (y < 0) return undefined;
    const x = rows[y].indexOf(/** @type {any} */ (button)), on = document.dir === "rtl" ? -1 : 1;
    if (/^[1-9]$/.test(key)) return rows[y][+key - 1];
    switch (key) {
      case "ArrowRight": return rows[y][x + on];
      case "ArrowLeft": return rows[y][x - on];
      case "ArrowDown": return rows[y + 1]?.[x];
      case "ArrowUp": return rows[y - 1]?.[x];
      case "Home": return rows[y][0];
      case "End": return rows[y][rows[y].length - 1];
    }
    return undefined;
  };

  document.addEventListener("keydown", (event) => {
    const target = at(event);
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    if (target.matches("input[form=place]") && event.key === "Enter") {
      event.preventDefault();
      /** @type {HTMLElement?} */ (form()?.querySelector("tbody button"))?.focus();
    } else if (target.matches(".pad button")) {
      const button = next(event, target);
      if (button) {
        event.preventDefault();
        button.focus();
      } else if (event.key === "Escape" && form()?.contains(target)) chosen()?.focus();
    }
  });
  document.addEventListener("change", (event) => {
    if (at(event).matches("input[form=place]")) tell();
  });
  document.addEventListener("reset", () => {
    const task = chosen();
    setTimeout(() => {
      tell();
      task?.focus();
    });
  });
  document.addEventListener("weeksync:page", () => {
    tell();
    const step = /** @type {HTMLElement?} */ (document.querySelector(".step[data-at]"));
    if (step && !document.getElementById("wrong")) {
      document.getElementById(step.dataset.at || "")?.focus({ preventScroll: true });
    }
  });
  tell();
})();
