// Correcting a hole on its picture. Everything ends up as figures in the form, which also works by itself.
"use strict";
(function () {
  const form = document.getElementById("correct-form"), source = document.getElementById("hole-data");
  if (!form || !source) return;
  const data = JSON.parse(source.textContent);
  const stage = window.bagwrightStage(document.getElementById("stage"), data, document.getElementById("stage-said"));
  const field = form.elements.namedItem("points"), what = form.elements.namedItem("do");
  const area = form.elements.namedItem("source"), lie = form.elements.namedItem("lie");
  const over = document.getElementById("start-over");
  let points = [];

  function shown(x) { return String(Math.round(x / data.factor * 10) / 10); }
  function write() { field.value = points.map(function (m) { return shown(m[0]) + " " + shown(m[1]); }).join("\n"); }
  function read() {
    return field.value.split(/[\n;]/).map(function (line) {
      return line.trim().split(/\s+/).map(function (one) { return parseFloat(one.replace(",", ".")) * data.factor; });
    }).filter(function (m) { return m.length === 2 && m.every(Number.isFinite); });
  }
  function middle() { return [(data.tee[0] + data.pin[0]) / 2, (data.tee[1] + data.pin[1]) / 2]; }

  function one(label, at) {
    points = [at];
    stage.handle(label, data.words.help, at, function (m) { points = [m]; write(); });
  }

  // Where a new corner goes: into the side of the edge that is nearest to it.
  function place(m) {
    if (points.length < 3) return points.length;
    let best = points.length, least = Infinity;
    points.forEach(function (a, i) {
      const b = points[(i + 1) % points.length];
      const dx = b[0] - a[0], dy = b[1] - a[1], long = dx * dx + dy * dy || 1e-9;
      const t = Math.min(Math.max(((m[0] - a[0]) * dx + (m[1] - a[1]) * dy) / long, 0), 1);
      const off = Math.hypot(a[0] + t * dx - m[0], a[1] + t * dy - m[1]);
      if (off < least) { least = off; best = i + 1; }
    });
    return best;
  }

  function edged(at, focus) {
    stage.clear();
    points.forEach(function (m, i) {
      const made = stage.handle(data.words.corner + " " + (i + 1), data.words.drop, m, function (to) {
        points[i] = to;
        stage.edge(points, points.length > 2);
        write();
      }, function () { points.splice(i, 1); write(); edged(m, Math.min(i, points.length - 1)); });
      if (focus === i) made.node.focus();
    });
    const cross = stage.cursor(data.words.cursor, data.words.add, at || middle(), function (m) {
      if (what.value === "add-tee") points = [m]; else points.splice(what.value === "mark" ? points.length : place(m), 0, m);
      write();
      edged(m, "cursor");
    });
    if (focus === "cursor" || (focus === -1 && !points.length)) cross.node.focus();
    stage.edge(points, points.length > 2);
  }

  function begin(keep) {
    const mode = what.value;
    form.querySelectorAll("[data-for]").forEach(function (part) {
      part.hidden = part.getAttribute("data-for").split(" ").indexOf(mode) < 0;
    });
    stage.clear();
    points = keep ? read() : [];
    if (mode === "tee" || mode === "pin") {
      one(data.words[mode], points[0] || data[mode]);
    } else {
      if (mode === "redraw" && !points.length && area.value) {
        points = data.areas[area.value].map(function (m) { return m.slice(); });
        lie.value = area.selectedOptions[0].dataset.lie;
      }
      edged();
    }
    write();
  }

  what.addEventListener("change", function () { begin(false); });
  area.addEventListener("change", function () { begin(false); });
  field.addEventListener("change", function () { begin(true); });
  over.hidden = false;
  over.addEventListener("click", function () { begin(false); });
  begin(Boolean(field.value.trim()));
})();
