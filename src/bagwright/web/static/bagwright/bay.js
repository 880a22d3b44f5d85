// The entry of a ball: whose turn it is follows the order, also without a link; Enter puts the ball into the queue.
"use strict";
(function () {
  const form = document.getElementById("entry");
  if (!form) return;
  const line = document.getElementById("line"), queue = document.getElementById("queue");
  const club = document.getElementById("entry-club"), swing = document.getElementById("entry-swing");
  const pad = window.bagwrightPad(form, line);
  let chosen = false, drawn = null, mends = null;

  // Carries around those of the club that is entered, in the unit of the form, which need not be the page's.
  function draw() {
    drawn = club.value;
    const of = option(club.value);
    pad.about(of && of.dataset.carry ? Number(of.dataset.carry) : null);
  }
  function option(id) { return document.querySelector("#other-club option[value='" + CSS.escape(id) + "']"); }
  // Also where a page has no secure context, as on a tablet that was paired over the local network.
  function newKey() {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    return "k-" + Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  }
  function clear() {
    pad.clear(); chosen = false; mends = null;
    form.elements.key.value = newKey();
  }
  async function follow() {
    // Whose turn it is: the order as the program last told it, less what waits here to be sent.
    if (chosen) { show(); return; }
    const turn = document.getElementById("turn"), upcoming = document.querySelectorAll("#upcoming li");
    const ahead = (await window.bagwrightQueue.waiting(queue.dataset.visit)).length;
    const next = upcoming[ahead];
    club.value = next ? next.dataset.club : turn.dataset.club;
    swing.value = next ? next.dataset.swing : ahead ? swing.value : turn.dataset.swing;
    if (ahead && next) document.getElementById("next-line").textContent = next.textContent;
    show();
  }
  function show() {
    document.querySelectorAll(".club-key").forEach((one) => one.setAttribute("aria-pressed", String(one.dataset.club === club.value)));
    const other = document.getElementById("swing-key");
    if (other) other.value = swing.value;
    if (drawn !== club.value) draw();
  }
  document.addEventListener("click", function (event) {
    const button = event.target.closest(".club-key");
    if (button) { club.value = button.dataset.club; chosen = true; show(); if (keys()) line.focus(); }
  });
  document.addEventListener("change", function (event) {
    if (event.target.id === "other-club" && event.target.value) { club.value = event.target.value; chosen = true; show(); }
    if (event.target.id === "swing-key") { swing.value = event.target.value; chosen = true; }
  });
  // With a thumb the line is not focused: the keyboard of the screen would cover the pad.
  function keys() { return window.matchMedia("(pointer: fine)").matches; }
  form.addEventListener("submit", async function (event) {
    if (!window.indexedDB) return; // the plain form does
    event.preventDefault();
    if (!line.value.trim()) { line.focus(); return; }
    const of = option(club.value);
    const ball = { key: form.elements.key.value.startsWith("k-") ? form.elements.key.value : newKey(),
      line: line.value.trim(), club: club.value, swing: swing.value, name: of ? of.textContent : "", form: form.elements.form.value, at: Date.now(),
      visit: queue.dataset.visit, address: form.action };
    const instead = mends;
    // The pad is free for the next ball at once; should the browser refuse to keep this one, it comes back.
    clear();
    try { await window.bagwrightQueue.add(ball, instead); } catch (error) { line.value = ball.line; form.elements.key.value = ball.key; form.submit(); return; }
    follow();
    if (keys()) line.focus();
  });
  document.body.addEventListener("htmx:confirm", async function (event) {
    if (!window.indexedDB || !event.target.hasAttribute("data-undo")) return;
    event.preventDefault();
    if (await window.bagwrightQueue.settle(queue.dataset.visit)) event.detail.issueRequest(true);
  });
  document.body.addEventListener("htmx:afterSettle", function (event) { if (event.target.id === "now") follow(); });
  // Without a link the board cannot be worked out: it says so, and comes by itself when the link is back.
  document.body.addEventListener("htmx:sendError", function (event) {
    const board = event.target.closest ? event.target.closest("#board") : null, waits = board && board.querySelector(".soft[data-words-down]");
    if (waits) waits.textContent = waits.dataset.wordsDown;
  });
  document.addEventListener("bagwright:queue", follow);
  // A ball that was refused is typed again as what it was: with its own club and swing, not those of the next one. It
  // stays in the list until the mended one is entered.
  document.addEventListener("bagwright:again", function (event) {
    const ball = event.detail;
    club.value = ball.club; swing.value = ball.swing; chosen = true; mends = ball.id;
    show();
    line.value = ball.line; pad.adopt();
    line.focus();
    select(ball.piece);
  });
  // The piece of the line that could not be read stands selected. The program counts whole characters, the
  // browser counts some of them as two.
  function select(piece) {
    if (!piece) return;
    const letters = Array.from(line.value), upTo = (n) => letters.slice(0, n).join("").length;
    line.setSelectionRange(upTo(piece[0]), upTo(piece[1]));
  }
  draw(); follow();
  if (keys()) line.focus();
})();
