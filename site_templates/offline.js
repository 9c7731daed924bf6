"use strict";
// Pages that weeksync serves over https can be installed, and the browser keeps a copy of them;
// elsewhere the page says that it cannot. Pages that nobody has built for long say how old they are.
(() => {
  const { lang, dataset } = document.documentElement;
  /** @type {(place: string, name: string, text: string) => void} */
  const say = (place, name, text) => {
    const line = document.createElement("p");
    line.className = name;
    line.append(text);
    document.querySelector(place)?.prepend(line);
  };
  const cannot = () => say("footer", "cannot", words.cannot);

  if (typeof built !== "undefined" && Date.now() - Date.parse(built) > 1296e5) { // 36 hours
    say("main", "kept-copy", words.from.replace("{time}", new Date(built).toLocaleDateString(
      `${lang}-u-nu-latn`, { timeZone: dataset.zone, dateStyle: "medium" })));
  }
  const week = /** @type {HTMLAnchorElement?} */ (document.getElementById("current"));
  if (week && location.hash === "#current") location.replace(week.href); // how an installed app begins

  if (dataset.tree === "own") return; // kept nowhere
  if (typeof served === "undefined" || !navigator.serviceWorker) return cannot();
  document.head.insertAdjacentHTML("beforeend",
    '<link rel="manifest" crossorigin="use-credentials" href="manifest.webmanifest">');
  navigator.serviceWorker.register("service-worker.js").catch(cannot);
})();
