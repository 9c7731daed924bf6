// Keeps a copy of what is looked at all week, for when the home computer does not answer: this and
// the next week, the month, the start page, the page to enter the week from paper, and what they
// are drawn with. Home is always asked first; a page from the copies says so and of when it is.
//
// Only names of the list below are ever kept: no page of one's own, no sign-in, no marks. What is
// kept goes when the device signs out, and when home does not know it any more.

/**
 * @typedef {object} Site
 * @property {string} key The household, for the name of the copies.
 * @property {string} zone Its time zone: which week is this one is found by the reader's clock.
 * @property {string} lang
 * @property {string} locale For dates and times.
 * @property {string} dir
 * @property {string[]} always Names of files that every page needs.
 * @property {[string, string][]} weeks Names of weeks and their first days, in order.
 * @property {string[]} pages Names of all pages.
 * @property {string} copyOf A sentence with `{time}`, as HTML.
 * @property {string} away Sentences for a page that is not kept, as HTML.
 * @property {string} back
 */

const worker = /** @type {ServiceWorkerGlobalScope} */ (/** @type {unknown} */ (self));
const home = new URL("./", worker.location.href);
const store = `weeksync:${site.key}`;
const PATIENCE = 2000; // ms that home is waited for where there is a copy
const RENEWED = 10 * 60000; // ms after which all copies are asked for anew

let renewedAt = 0;
let awayUntil = 0;
let turn = 0; // rises when the copies are thrown away: what was on its way then is not kept

const dayOfToday = () => new Date().toLocaleDateString("sv", { timeZone: site.zone }); // 2027-03-24

/** The pages of this and of the next week. */
const weekPages = () => {
  const begun = site.weeks.filter(([, first]) => first <= dayOfToday()).length;
  const at = Math.max(begun - 1, 0);
  return site.weeks.slice(at, at + 2).map(([name]) => `${name}.html`);
};

const namesToKeep = () => {
  const weeks = weekPages();
  const pages = [...weeks, `enter-${weeks[0]}`, `${dayOfToday().slice(0, 7)}.html`];
  return [...site.always, ...pages.filter((name) => site.pages.includes(name))];
};

/** @type {(name: string) => string} */
const addressOf = (name) => new URL(name, home).href;

const forget = async () => {
  turn += 1;
  for (const name of await caches.keys()) {
    if (name.startsWith("weeksync:")) await caches.delete(name);
  }
};

/** Whether home sent us to sign in instead of answering. @type {(answer: Response) => boolean} */
const isRefused = (answer) =>
  answer.type === "opaqueredirect" || answer.redirected || answer.status === 401;

/** @type {(name: string, answer: Response, at: number) => Promise<void>} */
const keep = async (name, answer, at) => {
  const headers = new Headers(answer.headers);
  for (const one of ["content-encoding", "content-length", "set-cookie"]) headers.delete(one);
  headers.set("kept", new Date().toISOString());
  const content = await answer.blob();
  if (at !== turn) return;
  const copies = await caches.open(store);
  await copies.put(addressOf(name), new Response(content, { headers }));
};

/** Home's answer; what is to be kept of it is kept. @type {(event: FetchEvent, name: string) => Promise<Response>} */
const ask = async (event, name) => {
  const at = turn;
  const answer = await fetch(event.request, { cache: "no-cache" });
  const isKept = namesToKeep().includes(name);
  if (isRefused(answer)) {
    if (isKept) await forget();
  } else if (answer.ok && isKept) {
    event.waitUntil(keep(name, answer.clone(), at));
    if (event.request.mode === "navigate" && Date.now() - renewedAt > RENEWED) {
      event.waitUntil(renew(name));
    }
  }
  return answer;
};

/** All copies anew, and no others. @type {(except?: string) => Promise<void>} */
const renew = async (except) => {
  renewedAt = Date.now();
  const at = turn;
  const names = namesToKeep();
  let missed = false;
  const copies = await caches.open(store);
  await Promise.all(names.filter((name) => name !== except).map(async (name) => {
    try {
      const answer = await fetch(addressOf(name), { cache: "no-cache" });
      if (isRefused(answer)) await forget();
      else if (answer.ok) await keep(name, answer, at);
      else if (answer.status === 404) await copies.delete(addressOf(name));
    } catch {
      missed = true;
    }
  }));
  if (missed) renewedAt = 0;
  const wanted = names.map(addressOf);
  for (const held of await copies.keys()) {
    if (!missed && !wanted.includes(held.url)) await copies.delete(held);
  }
};

/** The copy of a page, which says that it is one. @type {(kept: Response) => Promise<Response>} */
const asCopy = async (kept) => {
  const at = kept.headers.get("kept") ?? "";
  const time = new Date(at).toLocaleString(site.locale, {
    timeZone: site.zone, dateStyle: "medium", timeStyle: "short",
  });
  const text = await kept.text();
  const when = `<bdi><time datetime="${at}">${time}</time></bdi>`;
  const words = site.copyOf.replace("{time}", when);
  const said = `<p class="stale kept-copy" role="status"><span>${words}</span></p>`;
  return new Response(
    text
      .replace("<html ", `<html data-kept="${at}" `)
      .replace("</head>", '<script src="kept.js" defer></script></head>')
      .replace(/<main[^>]*>/, (main) => main + said),
    { headers: kept.headers },
  );
};

const notKept = () => new Response(
  `<!doctype html><html lang="${site.lang}" dir="${site.dir}"><head><meta charset="utf-8">`
  + '<meta name="viewport" content="width=device-width, initial-scale=1">'
  + '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; style-src \'self\'; '
  + 'script-src \'self\'; connect-src \'self\'">'
  + `<title>${site.away}</title><link rel="stylesheet" href="style.css">`
  + '<script src="kept.js" defer></script></head>'
  + `<body><main id="main"><h1 class="kept-copy">${site.away}</h1><p><a href="index.html">${site.back}</a></p></main></body></html>`,
  { status: 503, headers: { "content-type": "text/html; charset=utf-8" } },
);

/** @type {(event: FetchEvent, name: string) => Promise<Response>} */
const answerTo = async (event, name) => {
  const isPage = event.request.mode === "navigate";
  const copies = await caches.open(store);
  const kept = await copies.match(addressOf(name));
  const copy = () => {
    if (!kept) return isPage ? notKept() : Response.error();
    return isPage ? asCopy(kept) : kept;
  };
  // What belongs to a page from the copies comes from there, too, and at once.
  if (kept && !isPage && Date.now() < awayUntil) return kept;
  const asked = ask(event, name).then(
    (answer) => (kept && answer.status >= 500 ? undefined : answer), // a proxy whose home is away
    () => undefined,
  );
  const tired = new Promise((resolve) => setTimeout(resolve, PATIENCE));
  const answer = /** @type {Response | undefined} */ (await (kept ? Promise.race([asked, tired]) : asked));
  if (answer) return answer;
  event.waitUntil(asked); // a late answer is kept all the same
  awayUntil = Date.now() + 5000;
  return copy();
};

worker.addEventListener("install", (event) => {
  // Pages have no versions, so a new worker can take over pages that are open.
  event.waitUntil(renew().then(() => worker.skipWaiting()));
});

worker.addEventListener("activate", (event) => {
  const others = async () => {
    for (const name of await caches.keys()) {
      if (name.startsWith("weeksync:") && name !== store) await caches.delete(name);
    }
    await worker.clients.claim();
  };
  event.waitUntil(others());
});

worker.addEventListener("fetch", (event) => {
  const { request } = event;
  const address = new URL(request.url);
  if (address.origin !== home.origin || !address.pathname.startsWith(home.pathname)) return;
  const name = address.pathname.slice(home.pathname.length) || "index.html";
  if (request.method === "POST" && name === "sign-out") event.waitUntil(forget());
  if (request.method !== "GET" || request.headers.has("range")) return;
  if (request.mode === "navigate" && name === "index.html" && address.search === "?current") {
    event.respondWith(Response.redirect(addressOf(weekPages()[0] ?? name))); // an installed app begins
    return;
  }
  if (/^[\w-]+\.html$/.test(name)) {
    // A script that asks for a page wants news; a copy would be none.
    event.respondWith(request.mode === "navigate" ? answerTo(event, name) : ask(event, name));
  } else if (site.always.includes(name)) {
    event.respondWith(answerTo(event, name));
  }
});
