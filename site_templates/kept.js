"use strict";
// On a page that the service worker took from its copies: once home answers, the page is loaded
// anew, unless somebody is typing. A copy that stays open would show a week of its own; once its
// content has been replaced, it is none any more.
setInterval(async () => {
  if (!document.querySelector(".kept-copy")) return;
  if (document.querySelector("main[data-keep], dialog[open]")) return; // half entered
  if (document.activeElement?.matches("input, textarea, select")) return;
  try {
    const answer = await fetch("status.js", { method: "HEAD", cache: "no-store" });
    if (answer.status < 500) location.reload(); // also where it sends us to sign in
  } catch {
    // Home still does not answer.
  }
}, 20000);
