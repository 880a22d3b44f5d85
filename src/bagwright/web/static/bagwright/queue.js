// Balls that were entered wait in the browser's own database until the program has them: they survive a lost link,
// a reload and a closed tab, and are sent in order, each once (the program knows each by its key).
"use strict";
window.bagwrightQueue = (function () {
  const NAME = "bagwright", STORE = "balls";
  let opened = null, sending = false, wait = 1000, timer = null;

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

  async function add(ball) { await put(ball); await show(); send(); }

  async function post(ball) {
    const body = new URLSearchParams({ key: ball.key, line: ball.line, club: ball.club, swing: ball.swing, form: ball.form || "" });
    const token = document.querySelector("meta[name=csrf]");
    // An ended log-in answers with the way to the log-in page: that is no ball taken, so it is not followed. A link
    // that hangs is a link that is down.
    return fetch(ball.address, { method: "POST", body: body, redirect: "manual", signal: AbortSignal.timeout(15000), headers: { Accept: "application/json", "X-CSRFToken": token ? token.content : "" } });
  }
  // One tab sends at a time, so that two tabs cannot change the order.
  function send() {
    if (navigator.locks) return navigator.locks.request("bagwright-queue", sendAll);
    return sendAll();
  }
  const next = async () => (await all()).find((one) => !one.refused);
  async function sendAll() {
    if (sending) return;
    sending = true;
    try {
      // Asked anew each time: a ball that is entered while another one is on its way follows it.
      for (let ball = await next(); ball; ball = await next()) {
        let answer;
        try { answer = await post(ball); } catch (error) { later(); return; }
        if (answer.status === 200 || answer.status === 201) {
          await drop(ball.id); wait = 1000;
          document.body.dispatchEvent(new CustomEvent("bagwright:changed"));
        } else if (answer.status === 400 || answer.status === 409 || answer.status === 422 || answer.status === 404) {
          const told = await answer.json().catch(() => null);
          ball.refused = told && told.error ? told.error.message + " " + told.error.next_step : String(answer.status);
          ball.piece = told && told.error && Number.isInteger(told.error.start) ? [told.error.start, told.error.end] : null;
          await put(ball);
          document.dispatchEvent(new CustomEvent("bagwright:refused", { detail: ball }));
        } else { later(); return; }
        await show();
      }
    } finally { sending = false; await show(); }
  }
  function later() {
    window.clearTimeout(timer);
    timer = window.setTimeout(send, wait);
    wait = Math.min(wait * 2, 30000);
  }
  // The piece of the line that could not be read stands selected. The program counts whole characters, the
  // browser counts some of them as two.
  function mark(line, piece) {
    if (!piece) return;
    const letters = Array.from(line.value), upTo = (n) => letters.slice(0, n).join("").length;
    line.setSelectionRange(upTo(piece[0]), upTo(piece[1]));
  }
  async function waiting(visit) { return (await all()).filter((one) => one.visit === visit && !one.refused); }

  async function show() {
    const place = document.getElementById("queue");
    if (!place) return;
    const balls = (await all()).filter((one) => one.visit === place.dataset.visit);
    place.replaceChildren();
    if (!balls.length) { document.dispatchEvent(new CustomEvent("bagwright:queue", { detail: 0 })); return; }
    const times = balls.filter((one) => !one.refused && one.at).map((one) => one.at);
    if (times.length) {
      const state = document.createElement("p");
      const minutes = Math.max(0, Math.floor((Date.now() - Math.min(...times)) / 60000));
      state.textContent = times.length + " " + place.dataset.wordsWaiting + (minutes ? " (" + place.dataset.wordsOldest + " " + minutes + " min)" : "");
      place.appendChild(state);
    }
    const list = document.createElement("ul");
    for (const ball of balls) {
      const item = document.createElement("li");
      item.textContent = ball.name + " " + ball.line + (ball.refused ? " – " + place.dataset.wordsRefused + " " + ball.refused : " – " + place.dataset.wordsWaiting);
      if (ball.refused) {
        for (const [words, again] of [[place.dataset.wordsAgain, true], [place.dataset.wordsDrop, false]]) {
          const button = document.createElement("button");
          button.type = "button"; button.className = "quiet"; button.textContent = words;
          button.addEventListener("click", async function () {
            await drop(ball.id); await show();
            if (again) { document.dispatchEvent(new CustomEvent("bagwright:again", { detail: ball })); mark(document.getElementById("line"), ball.piece); }
          });
          item.appendChild(button);
        }
      }
      list.appendChild(item);
    }
    place.appendChild(list);
    document.dispatchEvent(new CustomEvent("bagwright:queue", { detail: balls.filter((one) => !one.refused).length }));
  }
  window.addEventListener("online", function () { wait = 1000; send(); });
  document.addEventListener("visibilitychange", function () { if (!document.hidden) send(); });
  document.addEventListener("DOMContentLoaded", function () { show(); send(); });
  return { add: add, waiting: waiting, send: send, show: show };
})();
