// The scanned code stands in the fragment of the address, which no server ever sees: it is taken
// out, so that it stays in no history, and posted as if it had been typed in.
(() => {
  "use strict";
  const code = decodeURIComponent(location.hash.slice(1));
  const field = /** @type {HTMLInputElement} */ (document.getElementById("code"));
  if (!code) return;
  history.replaceState(null, "", location.pathname);
  field.value = code;
  if (!document.querySelector(".said")) field.form?.requestSubmit();
})();
