// The pad for a thumb: the figures of the form one after another, each from a strip of likely values or from the
// keypad. It writes the same line that can be typed; whichever was used last counts.
"use strict";
window.bagwrightPad = (function () {
  const BEFORE = 13, AFTER = 10; // carries beside the usual one; 24 keys are four rows on a phone
  const SIDES = [-30, -25, -20, -16, -13, -10, -8, -6, -4, -2, 0, 2, 4, 6, 8, 10, 13, 16, 20, 25];
  const HAND = "bagwright-pad-hand";
  const FIGURE = /^[>≥]?[+\-−]?[\d.,]*[\p{L}/°]{0,12}$/u;

  return function (form, line) {
    const pad = form.querySelector(".pad"), said = pad.dataset;
    const order = said.order.split(","), names = said.names.split("|"), units = said.units.split("|");
    const signed = said.signed === "1", marks = Array.from(form.querySelectorAll(".mark-key"), (one) => one.dataset.word);
    let values = {}, rest = [], mark = "", at = 0, fresh = true, usual = null, hand = "right";

    function compose() {
      const parts = order.map((name) => values[name] || "");
      while (parts.length && !parts[parts.length - 1]) parts.pop();
      line.value = [...parts.map((part) => part || "-"), ...rest, mark].filter(Boolean).join(" ");
      show();
    }
    // What was typed by hand is taken over, so that a key changes its own figure and nothing else.
    function adopt() {
      const pieces = line.value.split(/\s+/).filter(Boolean);
      values = {}; rest = []; mark = "";
      if (pieces.length && marks.includes(pieces[pieces.length - 1])) mark = pieces.pop();
      for (const name of order) {
        if (!pieces.length || !FIGURE.test(pieces[0]) || (!/\d/.test(pieces[0]) && pieces[0] !== "-")) break;
        const piece = pieces.shift();
        values[name] = piece === "-" ? "" : piece;
        if (name === "offline_m" && [said.left, said.right].includes(pieces[0])) values[name] += pieces.shift();
      }
      rest = pieces;
      fresh = true;
      show();
    }
    function key(text, press, name) {
      const one = document.createElement("button");
      one.type = "button"; one.className = "quiet"; one.textContent = text;
      if (name) one.setAttribute("aria-label", name);
      one.addEventListener("click", function () { press(); });
      return one;
    }
    function group(className, name) {
      const one = document.createElement("div");
      one.className = className; one.setAttribute("role", "group"); one.setAttribute("aria-label", name);
      return one;
    }
    function go(n) { at = Math.max(0, Math.min(n, order.length - 1)); fresh = true; draw(); }
    function set(name, value, move) {
      values[name] = value;
      fresh = true;
      if (move) go(order.indexOf(name) + 1);
      compose();
    }

    function steps() {
      const row = group("pad-steps", said.wordsFigures);
      order.forEach(function (name, i) {
        const one = key("", () => { go(i); show(); });
        one.dataset.figure = name;
        row.append(one);
      });
      return row;
    }
    function strip() {
      const name = order[at], keys = group("keys strip", names[at]);
      if (name === "carry_m" && usual !== null) {
        for (let n = Math.max(1, usual - BEFORE); n < Math.max(1, usual - BEFORE) + BEFORE + AFTER + 1; n += 1) {
          const one = key(String(n), () => set(name, String(n), true));
          one.dataset.value = String(n);
          if (n === usual) one.classList.add("usual");
          keys.append(one);
        }
      } else if (name === "offline_m") {
        for (const n of SIDES) {
          const shown = n === 0 ? "0" : Math.abs(n) + (n < 0 ? said.left : said.right);
          const value = signed ? String(n) : shown, one = key(shown, () => set(name, value, false));
          one.dataset.value = value;
          if (n === 0) one.classList.add("usual");
          keys.append(one);
        }
      } else {
        const none = document.createElement("p");
        none.className = "soft"; none.textContent = said.wordsNoStrip;
        keys.append(none);
      }
      return keys;
    }
    function digit(text) {
      const name = order[at], before = fresh ? "" : values[name] || "";
      values[name] = before + text;
      fresh = false;
      compose();
    }
    function erase() {
      const name = order[at];
      values[name] = (values[name] || "").slice(0, -1);
      fresh = false;
      compose();
    }
    // A side's word behind its figure or before it: both are read.
    function side(word, other) {
      const place = order.indexOf("offline_m"), move = place !== at;
      if (move) { at = place; fresh = true; }
      const figure = move ? "" : (values.offline_m || "").replace(word, "").replace(other, "").replace(/^[+\-−]/, "");
      values.offline_m = signed ? (word === said.left ? "-" : "") + figure : figure ? figure + word : word;
      fresh = false;
      if (move) draw();
      compose();
    }
    function prefix(sign) {
      const name = order[at], now = values[name] || "";
      values[name] = now.startsWith(sign) ? now.slice(sign.length) : sign + now;
      fresh = false;
      compose();
    }
    function keypad() {
      const keys = group("keypad", said.wordsKeypad);
      const sides = order.includes("offline_m");
      const more = [
        key(said.left, () => side(said.left, said.right), said.wordsLeft), key(said.right, () => side(said.right, said.left), said.wordsRight),
        order[at] === "carry_m" ? key(">", () => prefix(">"), said.wordsLeast) : key("−", () => prefix("-"), said.wordsMinus),
        key(said.wordsNext, () => { go(at + 1 < order.length ? at + 1 : 0); show(); }),
      ];
      more[0].disabled = more[1].disabled = !sides;
      const rows = [["7", "8", "9"], ["4", "5", "6"], ["1", "2", "3"], [said.decimal, "0", "⌫"]];
      rows.forEach(function (row, i) {
        const digits = row.map((text) => text === "⌫" ? key(text, erase, said.wordsErase) : key(text, () => digit(text), text === said.decimal ? said.wordsDecimal : ""));
        more[i].classList.add("beside");
        keys.append(...(hand === "left" ? [more[i], ...digits] : [...digits, more[i]]));
      });
      return keys;
    }
    function draw() {
      pad.dataset.hand = hand;
      pad.replaceChildren(steps(), strip(), keypad());
      show();
    }
    function show() {
      pad.querySelectorAll(".pad-steps button").forEach(function (one, i) {
        one.textContent = names[i] + (values[order[i]] ? " " + values[order[i]] : "") + (values[order[i]] ? "" : " (" + units[i] + ")");
        one.setAttribute("aria-pressed", String(i === at));
      });
      pad.querySelectorAll(".strip button").forEach((one) => one.setAttribute("aria-pressed", String(one.dataset.value === values[order[at]])));
      form.querySelectorAll(".mark-key").forEach((one) => one.setAttribute("aria-pressed", String(one.dataset.word === mark)));
    }
    // The hand that holds this device, kept on it; nobody else's business, and not the player's hand.
    const toggle = document.getElementById("pad-hand");
    try { hand = window.localStorage.getItem(HAND) === "left" ? "left" : "right"; } catch (error) { toggle.hidden = true; } // the browser was told to keep nothing
    function mirror() {
      toggle.setAttribute("aria-pressed", String(hand === "left"));
      draw();
    }
    toggle.addEventListener("click", function () {
      hand = hand === "left" ? "right" : "left";
      window.localStorage.setItem(HAND, hand);
      mirror();
    });
    form.querySelectorAll(".mark-key").forEach((one) => one.addEventListener("click", function () {
      mark = mark === one.dataset.word ? "" : one.dataset.word;
      compose();
    }));
    line.addEventListener("input", adopt);
    mirror();
    return {
      /** The pad for a club whose balls usually carry so far, in the unit of the form; null: not known. */
      about: function (carry) { usual = carry; at = 0; draw(); },
      clear: function () { values = {}; rest = []; mark = ""; at = 0; line.value = ""; draw(); },
      adopt: adopt,
    };
  };
})();
