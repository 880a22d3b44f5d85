// Draws every figure.chart of the page from the definition beside it. No eval: definitions are read by an
// interpreter, as the page's security policy asks. Words and table stand beside the picture in any case.
"use strict";
(function () {
  const NARROW = 560; // below this many pixels a legend beside the picture takes its room
  const LEAST_PLOT = 200, MOST_PLOT = 640;
  const LEAST_SCALE = 0.85; // smaller, and letters of 12 px cannot be read: then the picture is scrolled
  const MOST_SCALE = 1.35;
  const drawn = new Map();
  const watcher = new ResizeObserver(function (entries) {
    for (const entry of entries) refit(entry.target);
  });

  function tip() {
    let place = document.getElementById("chart-tip");
    if (!place) {
      place = document.createElement("div");
      place.id = "chart-tip";
      place.hidden = true;
      place.setAttribute("role", "status");
      (document.querySelector("main") || document.body).appendChild(place);
    }
    return place;
  }

  function hideTip() {
    const place = document.getElementById("chart-tip");
    if (place) place.hidden = true;
  }

  function tooltip(handler, event, item, value) {
    const place = tip();
    place.hidden = value === null || value === undefined || value === "";
    if (place.hidden) return;
    place.textContent = typeof value === "object" ? Object.entries(value).map(([k, v]) => k + ": " + v).join("\n") : String(value);
    place.style.setProperty("left", Math.max(0, Math.min(event.clientX + 14, window.innerWidth - 240)) + "px");
    place.style.setProperty("top", event.clientY + 14 + "px");
  }

  function refuse() { return Promise.reject(new Error("charts load nothing")); }

  // On a narrow screen legends go below the picture, and long ones into rows. The bag's picture leaves its
  // figures to the table, which stands below it: beside the marks they would be cut off.
  function laidOut(spec, narrow, name) {
    if (narrow && name === "distances") spec = Object.assign({}, spec, { marks: spec.marks.filter((mark) => mark.type !== "text" || !JSON.stringify(mark).includes("said")) });
    if (!narrow || !spec.legends) return spec;
    const legends = spec.legends.map(function (legend) {
      const beside = ["right", "left", undefined].includes(legend.orient);
      return Object.assign({}, legend, { columns: 2 }, beside ? { orient: "bottom", offset: 10 } : {});
    });
    return Object.assign({}, spec, { legends: legends });
  }

  async function draw(figure) {
    const source = document.getElementById(figure.dataset.spec);
    const canvas = figure.querySelector(".canvas");
    if (!source || !canvas || drawn.has(figure)) return;
    const held = { canvas: canvas, view: null, narrow: figure.clientWidth < NARROW, width: 0 };
    drawn.set(figure, held);
    try {
      const spec = laidOut(JSON.parse(source.textContent), held.narrow, figure.dataset.chart);
      const place = canvas.firstElementChild || canvas;
      place.replaceChildren(); // a page from the browser's history still holds its old picture
      held.view = new vega.View(vega.parse(spec, null, { ast: true }), {
        expr: vegaInterpreter.expressionInterpreter, renderer: "svg", container: place, hover: true, tooltip: tooltip,
        loader: { load: refuse, sanitize: refuse, http: refuse, file: refuse },
      });
      held.view.logLevel(0);
      await held.view.runAsync();
      await fit(figure, held);
      if (drawn.get(figure) !== held) return;
      figure.dataset.state = "drawn";
      watcher.observe(figure);
    } catch (error) {
      // The words and the table stand below: the page loses a picture, not what it says.
      forget(figure);
      drawn.set(figure, { canvas: canvas, view: null, narrow: held.narrow, width: 0 });
      figure.dataset.state = "failed";
    }
  }

  async function fit(figure, held) {
    const room = held.canvas.clientWidth;
    if (!room || held.width === room) return;
    held.width = room;
    const view = held.view, svg = held.canvas.querySelector("svg");
    if (figure.dataset.fit === "width") {
      const around = svg.viewBox.baseVal.width - view.width();
      await view.width(Math.round(Math.max(LEAST_PLOT, Math.min(MOST_PLOT, room - around)))).runAsync();
    }
    const natural = svg.viewBox.baseVal.width;
    const scale = Math.max(LEAST_SCALE, Math.min(figure.dataset.fit === "width" ? 1 : MOST_SCALE, room / natural));
    svg.style.setProperty("max-width", "none");
    svg.style.setProperty("width", Math.floor(natural * scale) + "px");
    // What must be scrolled must be reached by the keyboard.
    if (natural * scale > room + 1) held.canvas.tabIndex = 0; else held.canvas.removeAttribute("tabindex");
  }

  function refit(figure) {
    const held = drawn.get(figure);
    if (!held || !held.view || !figure.isConnected) return;
    if (figure.clientWidth < NARROW !== held.narrow) { forget(figure); draw(figure); return; }
    fit(figure, held).catch(function () { figure.dataset.state = "failed"; });
  }

  function forget(figure) {
    const held = drawn.get(figure);
    drawn.delete(figure);
    watcher.unobserve(figure);
    if (held && held.view) held.view.finalize();
  }

  function drawAll() {
    for (const figure of Array.from(drawn.keys())) if (!figure.isConnected) forget(figure);
    document.querySelectorAll("figure.chart").forEach(draw);
    hideTip(); // the mark that it told of may be gone
  }

  for (const event of ["DOMContentLoaded", "htmx:afterSettle", "htmx:historyRestore", "bagwright:charts"]) {
    document.addEventListener(event, drawAll);
  }
  document.addEventListener("keydown", function (event) { if (event.key === "Escape") hideTip(); });
  if (document.readyState !== "loading") drawAll();
})();
