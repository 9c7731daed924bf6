"use strict";
// On a page that the service worker took from its copies: once home answers, the page is loaded
// anew, unless somebody is typing. A copy that stays open would show a week of its own.
setInterval(async () => {
  if (document.activeElement?.matches("input, textarea, select, dialog *")) return;
  try {
    const answer = await fetch("status.js", { method: "HEAD", cache: "no-store" });
    if (answer.ok) location.reload();
  } catch {
    // Home still does not answer.
  }
}, 20000);
