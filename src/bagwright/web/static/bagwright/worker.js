// Opens the bay's page without a link. It keeps the program's own parts (scripts, styles: the list that stands above
// this line when it is served) and one page with data: the bay of the visit in hand, for a day, until the log-out.
// Every other request passes by untouched; a page that cannot come without the link leads back to the bay, which says so.
"use strict";
const SHELF = "bagwright-shell-" + RELEASE, KEPT = "bagwright-bay";
const DAY_MS = 24 * 3600 * 1000;
const PATIENCE_MS = 4000; // a link that hangs is a link that is down
const BAY = /^\/visits\/\d+\/bay\/$/;
const SCREEN = /\/screen\/$/; // the player's display never turns into the bay
const DOORS = ["/login/", "/logout/"];
const STAMP = "X-Kept-At";

self.addEventListener("install", function (event) { event.waitUntil(stock()); });
self.addEventListener("activate", function (event) { event.waitUntil(takeOver()); });

async function stock() {
  const shelf = await caches.open(SHELF);
  await shelf.addAll(SHELL.map((path) => new Request(path, { cache: "reload" })));
  await self.skipWaiting();
}
// A new release takes the place of the old one with all that it kept: its page asks for the old release's parts.
async function takeOver() {
  for (const name of await caches.keys()) if (name.startsWith("bagwright-") && name !== SHELF) await caches.delete(name);
  await self.clients.claim();
}

self.addEventListener("fetch", function (event) {
  const request = event.request, address = new URL(request.url);
  if (address.origin !== self.location.origin) return;
  if (request.mode === "navigate") {
    // Where somebody logs out, or must log in, nothing of a player stays.
    event.waitUntil(DOORS.includes(address.pathname) ? forget() : sweep());
    if (request.method === "GET" && BAY.test(address.pathname)) event.respondWith(page(request, address));
    else if (request.method === "GET" && !SCREEN.test(address.pathname)) event.respondWith(fetch(request).catch(back));
  } else if (request.method === "GET" && SHELL.includes(address.pathname)) {
    event.respondWith(part(request, address.pathname));
  }
});
self.addEventListener("message", function (event) {
  const path = event.data && event.data.keep;
  if (typeof path === "string" && BAY.test(path)) event.waitUntil(fetchAnew(path));
});

function inTime(answer) {
  return Promise.race([answer, new Promise((resolve, reject) => self.setTimeout(() => reject(new Error("late")), PATIENCE_MS))]);
}
async function page(request, address) {
  const asked = fetch(request);
  let answer;
  try { answer = await inTime(asked); } catch (error) { return (await kept(address.pathname)) || asked; }
  // What stands in front of the program answers for it while it is down.
  if (answer.status >= 502 && answer.status <= 504) return (await kept(address.pathname)) || answer;
  if (!address.search) await judge(address.pathname, answer.clone());
  return answer;
}
async function part(request, path) {
  const asked = fetch(request);
  let answer = null;
  try { answer = await inTime(asked); } catch (error) { /* no link: the shelf has it */ }
  if (answer && answer.ok) return answer;
  return (await (await caches.open(SHELF)).match(path)) || answer || asked;
}
async function fetchAnew(path) {
  let answer;
  try { answer = await fetch(path, { credentials: "same-origin", redirect: "manual" }); } catch (error) { return; } // no link: what is kept stays
  await judge(path, answer);
}
// The program says by a header which page may be kept; whoever is not let in any more keeps none.
async function judge(path, answer) {
  if (answer.ok && answer.headers.get("X-Bagwright-Keep") === "bay") await keep(path, answer);
  else if (answer.ok || answer.type === "opaqueredirect" || [401, 403, 404].includes(answer.status)) await forget();
}
async function keep(path, answer) {
  const headers = new Headers(answer.headers);
  headers.set(STAMP, String(Date.now()));
  const copy = new Response(await answer.blob(), { status: 200, headers: headers });
  const cache = await caches.open(KEPT);
  for (const one of await cache.keys()) if (new URL(one.url).pathname !== path) await cache.delete(one);
  await cache.put(path, copy);
}
async function kept(path) {
  await sweep();
  return (await caches.open(KEPT)).match(path);
}
async function sweep() {
  const cache = await caches.open(KEPT);
  for (const one of await cache.keys()) {
    const age = Date.now() - Number((await cache.match(one)).headers.get(STAMP));
    // A clock that was put back must not make a page stay for longer.
    if (!(age >= 0 && age < DAY_MS)) await cache.delete(one);
  }
}
// Where no bay is kept the browser says itself that there is no link.
async function back(error) {
  await sweep();
  const bays = await (await caches.open(KEPT)).keys();
  if (!bays.length) throw error;
  return Response.redirect(new URL(bays[0].url).pathname + "#needs-link");
}
function forget() { return caches.delete(KEPT); }
