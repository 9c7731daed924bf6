"use strict";
// Forms, quicker: what is sent is what a browser without scripts would send, the answer takes
// the place of the page's main part, and what is typed is kept in this tab until home has it.
(() => {
  // Opened as https://name:password@… to get by a proxy: nothing can be sent from such a page.
  if (new URL(document.baseURI).username) location.replace(location.href);

  const { home } = document.documentElement.dataset;
  const prefix = `weeksync:${home}:typed:`;
  /** @type {(name: string) => string} */
  const says = (name) => document.querySelector(`[data-says="${name}"]`)?.textContent || "";
  /** @type {(id: string) => HTMLElement?} */
  const part = (id) => document.getElementById(id);
  const main = () => /** @type {HTMLElement} */ (document.querySelector("main"));
  /** @type {() => HTMLFormElement[]} */
  const forms = () => [...main().querySelectorAll("form")].filter((one) => one.hasAttribute("data-keep"));
  let isSending = false;

  /** @type {(text: string) => void} */
  const complain = (text) => {
    const place = part("sent");
    if (!place) return;
    place.hidden = !text;
    place.textContent = text;
  };

  // What was typed, by the address of the form: digests and tokens are the page's, not the hand's.
  /** @type {(form: HTMLFormElement) => string} */
  const keyOf = (form) => prefix + form.getAttribute("action") + location.search;
  /** @type {(form: HTMLFormElement) => string} */
  const typed = (form) => {
    const hidden = [...form.querySelectorAll("[type=hidden]")].map((one) => one.getAttribute("name"));
    return JSON.stringify([...new FormData(form)].filter(([name]) => !hidden.includes(name)));
  };
  /** @type {WeakMap<HTMLFormElement, string>} */
  const saved = new WeakMap();
  /** @type {(form: HTMLFormElement) => boolean} */
  const isEdited = (form) => saved.get(form) !== typed(form);
  /** @type {(form: HTMLFormElement) => void} */
  const keep = (form) => {
    try {
      if (isEdited(form)) sessionStorage[keyOf(form)] = typed(form);
      else sessionStorage.removeItem(keyOf(form));
    } catch {} // this browser keeps nothing; then the question before leaving has to do
  };
  /** @type {(form: HTMLFormElement, text: string) => void} */
  const fill = (form, text) => {
    /** @type {[string, string][]} */
    const pairs = JSON.parse(text);
    for (const one of form.elements) {
      const field = /** @type {HTMLInputElement} */ (one);
      const values = pairs.filter(([name]) => name === field.name).map(([, value]) => value);
      if (/checkbox|radio/.test(field.type)) field.checked = values.includes(field.value);
      else if (field.name && field.type !== "hidden" && values.length) field.value = values[0];
    }
    for (const one of form.querySelectorAll("details")) one.open = true;
  };

  const away = () => complain(says(forms().some(isEdited) ? "away" : "unsent"));

  /** Remembers what the page came with, and puts back what was typed into it before. */
  const begin = () => {
    for (const form of forms()) {
      saved.set(form, typed(form));
      try {
        const text = sessionStorage[keyOf(form)];
        if (!text || text === typed(form)) continue;
        fill(form, text);
        const line = Object.assign(document.createElement("p"), { className: "said", textContent: `${says("restored")} ` });
        const button = Object.assign(document.createElement("button"), { type: "button", textContent: says("forget") });
        button.onclick = () => {
          fill(form, saved.get(form) || "[]");
          keep(form);
          line.remove();
        };
        line.append(button);
        form.before(line);
      } catch {} // nothing is kept here
    }
  };

  /** @type {(answer: Response, asked: Document, had: Element?) => void} */
  const show = (answer, asked, had) => {
    const came = asked.querySelector("main"), from = location.pathname;
    if (!came) throw new Error("no page");
    const at = scrollY, id = had?.id;
    main().replaceWith(document.adoptNode(came));
    document.title = asked.title;
    const heading = asked.querySelector("#heading");
    if (heading) part("heading")?.replaceChildren(...heading.childNodes);
    if (answer.redirected) history.pushState(null, "", answer.url);
    const { pathname, hash } = location, isSame = pathname === from;
    const target = part("wrong") || (isSame && id && part(id)) || (hash && part(hash.slice(1)))
      || part("said") || part("heading");
    const news = document.querySelector("#wrong li, #wrong h2") || part("said") || document.querySelector(".undo bdi");
    part("announced")?.replaceChildren(news?.textContent || "");
    if (isSame && target !== part("wrong")) scrollTo(0, at);
    else target?.scrollIntoView({ block: "center" });
    target?.focus({ preventScroll: true });
    begin();
    document.dispatchEvent(new Event("weeksync:page"));
  };

  /** @type {(form: HTMLFormElement, button: HTMLElement?) => Promise<void>} */
  const send = async (form, button) => {
    const body = new URLSearchParams(/** @type {any} */ (new FormData(form, button)));
    const had = document.activeElement;
    isSending = true;
    button?.setAttribute("aria-disabled", "true");
    part("announced")?.replaceChildren(says("sending"));
    complain("");
    keep(form);
    try {
      const answer = await fetch(form.action, { method: "POST", body, signal: AbortSignal.timeout(30000) });
      const asked = new DOMParser().parseFromString(await answer.text(), "text/html");
      const isTaken = answer.ok, isPage = isTaken || [409, 422].includes(answer.status);
      if (!isPage || !asked.querySelector("main") || !asked.body.matches(".page-form")) {
        complain(says([401, 403].includes(answer.status) || answer.redirected ? "locked" : "refused"));
        return;
      }
      if (isTaken) sessionStorage.removeItem(keyOf(form));
      show(answer, asked, had);
      if (!isTaken) for (const one of forms()) sessionStorage[keyOf(one)] = typed(one);
    } catch {
      away();
    } finally {
      isSending = false;
      button?.removeAttribute("aria-disabled");
    }
  };

  document.addEventListener("submit", (event) => {
    const form = /** @type {HTMLFormElement} */ (event.target);
    if (form.method !== "post" || event.defaultPrevented) return;
    event.preventDefault();
    if (!isSending) send(form, event.submitter);
  });
  // A mistake on top leads to its field, wherever a browser puts the focus by itself.
  document.addEventListener("click", (event) => {
    const link = /** @type {Element} */ (event.target).closest(".wrong a");
    const field = link && part((link.getAttribute("href") ?? "").slice(1));
    if (!field) return;
    event.preventDefault();
    field.closest("details")?.setAttribute("open", "");
    field.scrollIntoView({ block: "center" });
    field.focus();
  });
  // While home does not answer a link leads to a browser's error page: first asked, then followed.
  document.addEventListener("click", (event) => {
    const link = /** @type {HTMLAnchorElement?} */ (/** @type {Element} */ (event.target).closest('a:not([href^="#"])'));
    if (!link || event.defaultPrevented || event.ctrlKey || event.metaKey || (navigator.onLine && part("sent")?.hidden)) return;
    event.preventDefault();
    fetch(link.href).then(() => location.assign(link.href), away);
  });
  document.addEventListener("input", ({ target }) => {
    const { form } = /** @type {HTMLInputElement} */ (target);
    if (form && saved.has(form)) keep(form);
  });
  addEventListener("beforeunload", (event) => {
    if (forms().some(isEdited)) event.preventDefault();
  });
  // Who goes back to the common pages locks their own, as page.js does.
  for (const one of document.querySelectorAll('.turn [href="/"]')) one.addEventListener("click", (event) => {
    event.preventDefault();
    fetch("/own/lock", { method: "POST", redirect: "manual" }).catch(() => {}).then(() => location.assign("/"));
  });
  addEventListener("popstate", () => location.reload());
  begin();
})();
