// Balls that were entered wait in the browser's own database until the program has them: they survive a lost link,
// an ended log-in, a reload and a closed tab, and are sent in order, each once (the program knows each by its key).
"use strict";
window.bagwrightQueue = (function () {
  const NAME = "bagwright", STORE = "balls", WAIT_MS = 1000, LONGEST_WAIT_MS = 30000;
  const TOKEN = /(?:^|; )(?:__Host-csrf|csrftoken)=([^;]+)/;
  const link = window.bagwrightLink;
  let opened = null, sending = false, wait = WAIT_MS, timer = null;
  const shut = new Map(); // visit -> "login" or "away": why its balls are kept and not sent

  function open() {
    opened = opened || new Promise(function (resolve, reject) {
      const asked = indexedDB.open(NAME, 1);
      asked.onupgradeneeded = function () { asked.result.createObjectStore(STORE, { keyPath: "id", autoIncrement: true }); };
      asked.onsuccess = function () { resolve(asked.result); };
      asked.onerror = function () { reject(asked.error); };
    });
    return opened;
  }
  async function run(mode, work) {
    const base = await open();
    return new Promise(function (resolve, reject) {
      const change = base.transaction(STORE, mode);
      const asked = work(change.objectStore(STORE));
      change.oncomplete = function () { resolve(asked.result); };
      change.onerror = change.onabort = function () { reject(change.error); };
    });
  }
  const all = () => run("readonly", (store) => store.getAll());
  const put = (ball) => run("readwrite", (store) => store.put(ball));
  const drop = (id) => run("readwrite", (store) => store.delete(id));

  // A ball that mends a refused one takes its place in one step: neither is lost between.
  async function add(ball, mends) {
    await run("readwrite", function (store) { if (mends) store.delete(mends); return store.put(ball); });
    await show(); send();
  }
  // The token of now, not of when the page was loaded: a log-in meanwhile has changed it.
  function token() {
    const cookie = TOKEN.exec(document.cookie), page = document.querySelector("meta[name=csrf]");
    return cookie ? cookie[1] : page ? page.content : "";
  }
  function post(ball) {
    const body = new URLSearchParams({ key: ball.key, line: ball.line, club: ball.club, swing: ball.swing, form: ball.form || "" });
    // An ended log-in answers with the way to the log-in page: that is no ball taken, so it is not followed. A link
    // that hangs is a link that is down.
    return fetch(ball.address, { method: "POST", body: body, redirect: "manual", signal: AbortSignal.timeout(15000), headers: { Accept: "application/json", "X-CSRFToken": token() } });
  }
  // One tab sends at a time, so that two tabs cannot change the order.
  function send() {
    if (navigator.locks) return navigator.locks.request("bagwright-queue", sendAll);
    return sendAll();
  }
  async function sendAll() {
    if (sending) return;
    sending = true;
    shut.clear();
    try {
      // Asked anew each time: a ball that is entered while another one is on its way follows it. A visit that is
      // shut to this screen does not hold up the balls of another one.
      const next = async () => (await all()).find((one) => !one.refused && !shut.has(one.visit));
      for (let ball = await next(); ball; ball = await next()) {
        let answer;
        try { answer = await post(ball); } catch (error) { link.say("down"); later(); return; }
        if (!(await settled(ball, answer))) { later(); return; }
        await show();
      }
      if (shut.size) later();
    } finally { sending = false; await show(); }
  }
  // What became of a ball; false where it has to be sent again.
  async function settled(ball, answer) {
    if (answer.status === 200 || answer.status === 201) {
      await drop(ball.id); wait = WAIT_MS;
      link.say("up");
      document.body.dispatchEvent(new CustomEvent("bagwright:changed"));
    } else if (answer.type === "opaqueredirect" || answer.status === 401 || answer.status === 403) {
      shut.set(ball.visit, "login");
    } else if (answer.status === 404) {
      shut.set(ball.visit, "away"); // another account, or a screen that was cut off: the ball is good all the same
    } else if ([400, 409, 413, 422].includes(answer.status)) {
      const told = await answer.json().catch(() => null);
      ball.refused = told && told.error ? told.error.message + " " + told.error.next_step : String(answer.status);
      ball.piece = told && told.error && Number.isInteger(told.error.start) ? [told.error.start, told.error.end] : null;
      await put(ball);
      document.dispatchEvent(new CustomEvent("bagwright:refused", { detail: ball }));
    } else { return false; }
    return true;
  }
  function later() {
    window.clearTimeout(timer);
    timer = window.setTimeout(send, wait);
    wait = Math.min(wait * 2, LONGEST_WAIT_MS);
  }
  function again() { wait = WAIT_MS; window.clearTimeout(timer); send(); }
  // Undo means the last ball that was entered. While balls wait the program knows only earlier ones, so they are sent
  // first; where they cannot be, the last of them is thrown away here. True where the program has all and may undo.
  async function settle(visit) {
    await send();
    while (sending) await new Promise((ready) => window.setTimeout(ready, 50));
    const ball = (await waiting(visit)).pop();
    if (!ball) return true;
    await discard(ball, document.getElementById("queue"));
    return false;
  }
  async function discard(ball, place) {
    if (!window.confirm(place.dataset.wordsSure.replace("{ball}", ball.name + " " + ball.line))) return;
    await drop(ball.id); await show();
  }
  async function waiting(visit) { return (await all()).filter((one) => one.visit === visit && !one.refused); }

  // The state in words, always in sight.
  function words(place, n, oldest) {
    const said = place.dataset, reason = shut.get(said.visit), counted = (one, many) => (n === 1 ? one : many).replace("{n}", n);
    if (n && reason === "login") return ["login", counted(said.wordsLoginOne, said.wordsLogin)];
    if (n && reason === "away") return ["away", counted(said.wordsAwayOne, said.wordsAway)];
    if (link.state() === "shut") return ["login", said.wordsShut];
    const minutes = n ? Math.max(0, Math.floor((Date.now() - oldest) / 60000)) : 0;
    const age = minutes ? " " + said.wordsOldest.replace("{n}", minutes) : "";
    if (link.state() === "down") return ["down", n ? counted(said.wordsDownOne, said.wordsDown) + age : said.wordsDownNone.replace("{time}", link.clock(link.since()))];
    return n ? ["waiting", said.wordsWaiting.replace("{n}", n) + age] : ["sent", said.wordsSent];
  }
  function button(text, press) {
    const one = document.createElement("button");
    one.type = "button"; one.className = "quiet"; one.textContent = text;
    one.addEventListener("click", press);
    return one;
  }
  function line(ball, place) {
    const item = document.createElement("li"), text = document.createElement("p");
    text.textContent = ball.name + " " + ball.line + (ball.refused ? " – " + place.dataset.wordsRefused + " " + ball.refused : "");
    item.append(text);
    if (ball.refused) item.append(button(place.dataset.wordsAgain, () => document.dispatchEvent(new CustomEvent("bagwright:again", { detail: ball }))));
    item.append(button(ball.refused ? place.dataset.wordsDrop : place.dataset.wordsBack, () => discard(ball, place)));
    return item;
  }
  function fill(id, balls, place) {
    const list = document.getElementById(id);
    list.replaceChildren(...balls.map((ball) => line(ball, place)));
    return list;
  }
  function fold(id, balls, place, title) {
    const list = fill(id, balls, place), box = list.closest("details");
    box.hidden = !balls.length;
    box.querySelector("summary").textContent = title.replace("{n}", balls.length);
  }
  async function show() {
    const place = document.getElementById("queue");
    if (!place) return;
    const stored = await all(), balls = stored.filter((one) => one.visit === place.dataset.visit);
    const wait = balls.filter((one) => !one.refused), refused = balls.filter((one) => one.refused).reverse();
    const [state, text] = words(place, wait.length, Math.min(...wait.map((one) => one.at || Date.now())));
    const told = document.getElementById("queue-state");
    if (told.textContent !== text) told.textContent = text;
    place.dataset.state = state;
    document.getElementById("queue-login").hidden = state !== "login";
    unfold(wait, place);
    // The newest refusal stands open; what was refused before it is counted and folded away.
    fill("queue-refused", refused.slice(0, 1), place).hidden = !refused.length;
    fold("queue-older", refused.slice(1), place, place.dataset.wordsOlder);
    elsewhere(stored.filter((one) => one.visit !== place.dataset.visit), place);
    document.dispatchEvent(new CustomEvent("bagwright:queue", { detail: wait.length }));
  }
  // The key that shows them stands in the line of the state, where room is kept for it: nothing moves for a ball
  // that is on its way for a moment.
  function unfold(balls, place) {
    const key = document.getElementById("queue-show"), list = fill("queue-waiting", balls, place);
    if (!balls.length) key.setAttribute("aria-expanded", "false");
    key.hidden = !balls.length;
    list.hidden = key.getAttribute("aria-expanded") !== "true";
  }
  function elsewhere(balls, place) {
    const told = document.getElementById("queue-elsewhere");
    told.hidden = !balls.length;
    if (!balls.length) return;
    const way = document.createElement("a");
    way.href = place.dataset.otherBay.replace("/0/", "/" + balls[0].visit + "/");
    way.textContent = place.dataset.wordsElsewhere.replace("{n}", balls.length);
    told.replaceChildren(way);
  }
  window.addEventListener("online", again);
  document.addEventListener("visibilitychange", function () { if (!document.hidden) again(); });
  document.addEventListener("bagwright:link", function () { show(); if (link.state() === "up") again(); });
  document.addEventListener("DOMContentLoaded", function () {
    const key = document.getElementById("queue-show");
    if (key) key.addEventListener("click", function () { key.setAttribute("aria-expanded", String(key.getAttribute("aria-expanded") !== "true")); show(); });
    show(); send();
  });
  window.setInterval(show, 30000); // how long the oldest has waited
  return { add: add, waiting: waiting, settle: settle, send: send, show: show };
})();
