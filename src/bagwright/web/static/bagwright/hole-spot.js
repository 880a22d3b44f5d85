// A spot on a hole's picture, pointed at, tapped or reached with keys: what to play from there.
"use strict";
(function () {
  const form = document.getElementById("spot-form"), source = document.getElementById("hole-data");
  if (!form || !source) return;
  const data = JSON.parse(source.textContent);
  const stage = window.bagwrightStage(document.getElementById("stage"), data, document.getElementById("stage-said"));
  const field = form.elements.namedItem("at");

  function ask() {
    window.htmx.ajax("GET", form.dataset.ask + "?at=" + encodeURIComponent(field.value), { target: "#spot", swap: "innerHTML" });
  }
  stage.cursor(data.words.cursor, data.words.add, data.start, function (m) {
    field.value = m.map(function (x) { return String(Math.round(x / data.factor * 10) / 10); }).join(" ");
    stage.say(stage.words(m));
    ask();
  });
  form.addEventListener("submit", function (event) { event.preventDefault(); ask(); });
})();
