// The player's screen says when its figure was last new; that it has lost its link is said above it.
"use strict";
(function () {
  const MINUTE_MS = 60000;
  function show() {
    const place = document.querySelector("[data-new-at]");
    if (!place) return;
    const at = Date.parse(place.dataset.newAt), minutes = Math.floor((Date.now() - at) / MINUTE_MS);
    const text = place.dataset.words.replace("{time}", window.bagwrightLink.clock(at)) + (minutes > 0 ? " " + place.dataset.wordsAgo.replace("{n}", minutes) : "");
    if (place.textContent !== text) place.textContent = text;
  }
  document.body.addEventListener("htmx:afterSettle", show);
  window.setInterval(show, MINUTE_MS / 6);
  show();
})();
