// Draws every figure.chart of the page from the definition beside it. No eval: definitions are read by an
// interpreter, as the page's security policy asks.
"use strict";
(function () {
  const drawn = new WeakMap();

  function tooltip(handler, event, item, value) {
    let place = document.getElementById("chart-tip");
    if (!place) {
      place = document.createElement("div");
      place.id = "chart-tip";
      place.setAttribute("role", "status");
      document.body.appendChild(place);
    }
    if (value === null || value === undefined || value === "") { place.hidden = true; return; }
    place.textContent = typeof value === "object" ? Object.entries(value).map(([k, v]) => k + ": " + v).join("\n") : String(value);
    place.hidden = false;
    place.style.setProperty("left", Math.min(event.clientX + 14, window.innerWidth - 240) + "px");
    place.style.setProperty("top", event.clientY + 14 + "px");
  }

  async function draw(figure) {
    const source = document.getElementById(figure.dataset.spec);
    const canvas = figure.querySelector(".canvas");
    if (!source || !canvas || drawn.has(figure)) return;
    try {
      const spec = JSON.parse(source.textContent);
      const runtime = vega.parse(spec, null, { ast: true });
      const view = new vega.View(runtime, {
        expr: vegaInterpreter.expressionInterpreter, renderer: "svg", container: canvas, hover: true, tooltip: tooltip,
        loader: { load: refuse, sanitize: refuse, http: refuse, file: refuse },
      });
      view.logLevel(0);
      drawn.set(figure, view);
      await view.runAsync();
      figure.dataset.state = "drawn";
    } catch (error) {
      // The words and the table stand below: the page loses a picture, not what it says.
      figure.dataset.state = "failed";
    }
  }

  function refuse() { return Promise.reject(new Error("charts load nothing")); }

  function drawAll() { document.querySelectorAll("figure.chart").forEach(draw); }

  document.addEventListener("DOMContentLoaded", drawAll);
  document.addEventListener("htmx:afterSettle", drawAll);
  document.addEventListener("bagwright:charts", drawAll);
  document.addEventListener("htmx:beforeCleanupElement", function (event) {
    const figure = event.target;
    if (drawn.has(figure)) { drawn.get(figure).finalize(); drawn.delete(figure); }
  });
  if (document.readyState !== "loading") drawAll();
})();
