// The entry pad: keys write the same line that can be typed; whose turn it is follows the order, also without a link.
"use strict";
(function () {
  const form = document.getElementById("entry");
  if (!form) return;
  const line = document.getElementById("line"), pad = form.querySelector(".pad");
  const club = document.getElementById("entry-club"), swing = document.getElementById("entry-swing");
  const words = { mark: "", carry: "", side: "" };
  let chosen = false, drawn = null;

  const order = pad.dataset.order.split(",");

  function compose() {
    const parts = order.map((name) => name === "carry_m" ? words.carry : name === "offline_m" ? words.side : "");
    while (parts.length && !parts[parts.length - 1]) parts.pop();
    const text = parts.map((part) => part || "-").join(" ");
    line.value = (text + " " + words.mark).trim();
  }
  function key(text, press, usual) {
    const button = document.createElement("button");
    button.type = "button"; button.className = usual ? "quiet usual" : "quiet"; button.textContent = text;
    button.setAttribute("aria-pressed", "false");
    button.addEventListener("click", function () {
      button.parentElement.querySelectorAll("button").forEach((one) => one.setAttribute("aria-pressed", String(one === button)));
      press(); compose();
    });
    return button;
  }
  function group(title, unit) {
    const heading = document.createElement("p");
    heading.className = "strong pad-title";
    heading.textContent = title + " (" + unit + ")";
    const keys = document.createElement("div");
    keys.className = "keys"; keys.setAttribute("role", "group"); keys.setAttribute("aria-label", title);
    pad.append(heading, keys);
    return keys;
  }
  function draw() {
    drawn = club.value;
    pad.replaceChildren();
    // Carries around those of the club that is entered, in the unit of the form, which need not be the page's.
    const of = document.querySelector("#other-club option[value='" + CSS.escape(club.value) + "']");
    const usual = of && of.dataset.carry ? Number(of.dataset.carry) : null;
    if (order.includes("carry_m") && usual !== null) {
      const keys = group(pad.dataset.wordsCarry, pad.dataset.carryUnit);
      for (let n = Math.max(1, usual - 17); n <= usual + 12; n += 1) keys.append(key(String(n), () => { words.carry = String(n); }, n === usual));
    }
    if (order.includes("offline_m")) {
      const keys = group(pad.dataset.wordsSide, pad.dataset.sideUnit);
      const signed = pad.dataset.signed === "1";
      for (const n of [-25, -20, -16, -13, -10, -8, -6, -4, -2, 0, 2, 4, 6, 8, 10, 13, 16, 20, 25]) {
        const shown = n === 0 ? "0" : Math.abs(n) + (n < 0 ? pad.dataset.left : pad.dataset.right);
        keys.append(key(shown, () => { words.side = signed ? String(n) : shown; }, n === 0));
      }
    }
  }
  form.querySelectorAll(".mark-key").forEach(function (button) {
    button.addEventListener("click", function () {
      const on = button.getAttribute("aria-pressed") !== "true";
      form.querySelectorAll(".mark-key").forEach((one) => one.setAttribute("aria-pressed", "false"));
      button.setAttribute("aria-pressed", String(on));
      const bare = line.value.split(/\s+/).filter((word) => word && word !== words.mark).join(" ");
      words.mark = on ? button.dataset.word : "";
      line.value = (bare + " " + words.mark).trim();
    });
  });
  // Also where a page has no secure context, as on a tablet that was paired over the local network.
  function newKey() {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    return "k-" + Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  }
  function clear() {
    words.mark = words.carry = words.side = ""; line.value = ""; chosen = false;
    form.querySelectorAll("[aria-pressed=true]").forEach((one) => one.setAttribute("aria-pressed", "false"));
    form.elements.key.value = newKey();
  }
  async function follow() {
    // Whose turn it is: the order as the program last told it, less what waits here to be sent.
    if (chosen) { show(); return; }
    const turn = document.getElementById("turn"), upcoming = document.querySelectorAll("#upcoming li");
    const ahead = (await window.bagwrightQueue.waiting(document.getElementById("queue").dataset.visit)).length;
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
    if (button) { club.value = button.dataset.club; chosen = true; show(); line.focus(); }
  });
  document.addEventListener("change", function (event) {
    if (event.target.id === "other-club" && event.target.value) { club.value = event.target.value; chosen = true; show(); }
    if (event.target.id === "swing-key") { swing.value = event.target.value; chosen = true; }
  });
  function nameOf(id) {
    const option = document.querySelector("#other-club option[value='" + CSS.escape(id) + "']");
    return option ? option.textContent : "";
  }
  form.addEventListener("submit", async function (event) {
    if (!window.indexedDB) return; // the plain form does
    event.preventDefault();
    if (!line.value.trim()) { line.focus(); return; }
    const ball = { key: form.elements.key.value.startsWith("k-") ? form.elements.key.value : newKey(),
      line: line.value.trim(), club: club.value, swing: swing.value, name: nameOf(club.value), form: form.elements.form.value, at: Date.now(),
      visit: document.getElementById("queue").dataset.visit, address: form.action };
    // The pad is free for the next ball at once; should the browser refuse to keep this one, it comes back.
    clear();
    try { await window.bagwrightQueue.add(ball); } catch (error) { line.value = ball.line; form.elements.key.value = ball.key; form.submit(); return; }
    follow();
    if (window.matchMedia("(pointer: fine)").matches) line.focus();
  });
  document.body.addEventListener("htmx:afterSettle", function (event) { if (event.target.id === "now") follow(); });
  document.addEventListener("bagwright:queue", follow);
  // A ball that was refused is typed again as what it was: with its own club and swing, not those of the next one.
  document.addEventListener("bagwright:again", function (event) {
    const ball = event.detail;
    line.value = ball.line; club.value = ball.club; swing.value = ball.swing; chosen = true;
    show(); line.focus();
  });
  draw(); follow();
  if (window.matchMedia("(pointer: fine)").matches) line.focus();
})();
