// A spot on a hole's picture, pointed at, tapped or reached with keys: what to play from there.
"use strict";
(function () {
  const form = document.getElementById("spot-form"), source = document.getElementById("hole-data");
  if (!form || !source) return;
  const data = JSON.parse(source.textContent);
  const stage = window.bagwrightStage(document.getElementById("stage"), data, document.getElementById("stage-said"));
  const field = form.elements.namedItem("at");
  const panel = document.getElementById("spot-panel"), answer = document.getElementById("spot"), close = document.getElementById("spot-close");
  const ROOM = 24;
  let asked = 0;

  // The answer stands over the foot of the window, wherever the page is scrolled to; the page ends below it.
  function raise() {
    panel.classList.add("sheet", "raised");
    close.hidden = false;
    document.body.style.paddingBottom = panel.offsetHeight + "px";
  }
  function lower() {
    panel.classList.remove("sheet", "raised");
    answer.replaceChildren();
    close.hidden = true;
    document.body.style.paddingBottom = "";
    stage.edge([], false);
  }
  // A spot that the answer would cover is brought above it.
  function uncover() {
    const box = cross.node.getBoundingClientRect(), low = panel.getBoundingClientRect();
    if (box.bottom > low.top - ROOM && box.right > low.left) window.scrollBy({ top: box.bottom - low.top + ROOM });
  }
  function ask() {
    const mine = asked += 1, waits = document.createElement("p");
    waits.textContent = data.words.working;
    waits.className = "soft";
    stage.edge([], false);
    answer.replaceChildren(waits);
    raise();
    window.htmx.ajax("GET", form.dataset.ask + "?at=" + encodeURIComponent(field.value), { source: answer, target: "#spot", swap: "innerHTML" }).then(function () {
      if (mine !== asked) return;
      if (answer.contains(waits)) { lower(); return; }
      const choices = document.getElementById("spot-choices");
      if (choices && choices.dataset.arrow) {
        const m = choices.dataset.arrow.split(" ").map(Number);
        stage.edge([[m[0], m[1]], [m[2], m[3]]], false);
      }
      raise();
      uncover();
    }, lower);
  }
  const cross = stage.cursor(data.words.cursor, data.words.add, data.start, function (m) {
    field.value = m.map(function (x) { return String(Math.round(x / data.factor * 10) / 10); }).join(" ");
    stage.say(stage.words(m));
    ask();
  });
  form.addEventListener("submit", function (event) { event.preventDefault(); ask(); });
  close.addEventListener("click", function () { lower(); cross.node.focus({ preventScroll: true }); });
  document.addEventListener("keydown", function (event) {
    if (event.key === "Escape" && panel.classList.contains("raised")) { lower(); cross.node.focus({ preventScroll: true }); }
  });
})();
