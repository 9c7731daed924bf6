"use strict";
// Pages that weeksync serves over https can be installed, and the browser keeps a copy of them;
// elsewhere the page says that it cannot. Pages that nobody has built for long say how old they are.
(() => {
  const { dataset } = document.documentElement;
  /** @type {(name: string, text: string) => HTMLElement} */
  const line = (className, textContent) =>
    Object.assign(document.createElement("p"), { className, textContent });
  const cannot = () => document.querySelector("footer")?.append(line("cannot", words.cannot));

  if (typeof built !== "undefined" && Date.now() - Date.parse(built) > 1296e5) { // 36 hours
    const day = new Date(built).toLocaleDateString(dataset.locale, {
      timeZone: dataset.zone, dateStyle: "medium",
    });
    document.querySelector("main")?.prepend(line("stale kept-copy", words.from.replace("{time}", day)));
  }
  if (dataset.tree === "own") return; // kept nowhere
  if (typeof served === "undefined" || !navigator.serviceWorker) return cannot();
  document.head.insertAdjacentHTML("beforeend",
    '<link rel="manifest" crossorigin="use-credentials" href="manifest.webmanifest">');
  navigator.serviceWorker.register("service-worker.js").catch(cannot);
})();
