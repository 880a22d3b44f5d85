// Whether the program can be reached ("up"), cannot ("down"), or does not let this screen in any more ("shut"):
// one answer for all that a page does, told as `bagwright:link`.
"use strict";
window.bagwrightLink = (function () {
  // What the browser thinks of its network says nothing: in a bay the program often runs on this very machine.
  let state = "up", since = Date.now();
  function say(now) {
    if (now === state) return;
    const before = state;
    state = now; since = Date.now();
    show();
    document.dispatchEvent(new CustomEvent("bagwright:link", { detail: state }));
    // Whatever happened meanwhile is fetched once.
    if (now === "up" && before === "down" && document.body) document.body.dispatchEvent(new CustomEvent("bagwright:changed"));
  }
  function clock(time) {
    return new Date(time).toLocaleTimeString(document.documentElement.lang, { hour: "2-digit", minute: "2-digit" });
  }
  function show() {
    const place = document.getElementById("link-state");
    if (place) place.textContent = state === "up" ? "" : (state === "down" ? place.dataset.wordsDown : place.dataset.wordsShut).replace("{time}", clock(since));
  }
  document.addEventListener("DOMContentLoaded", show);
  return { say: say, clock: clock, state: function () { return state; }, since: function () { return since; } };
})();
