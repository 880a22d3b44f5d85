// A layer over a hole's picture: handles that are dragged or moved with keys, and a cursor that points at places.
"use strict";
window.bagwrightStage = (function () {
  const SVG = "http://www.w3.org/2000/svg";
  const STEP = 1, LEAP = 10;
  const TURNS = { ArrowUp: [1, 0], ArrowDown: [-1, 0], ArrowRight: [0, 1], ArrowLeft: [0, -1] };

  function el(name, attributes, parent) {
    const made = document.createElementNS(SVG, name);
    Object.entries(attributes).forEach(function (pair) { made.setAttribute(pair[0], String(pair[1])); });
    if (parent) parent.appendChild(made);
    return made;
  }

  return function (stage, data, said) {
    const view = data.view;
    const layer = el("svg", { viewBox: "0 0 " + data.size[0] + " " + data.size[1], "class": "handles" }, stage);
    const shape = el("path", { "class": "edge", d: "" }, layer);
    let placed = null;

    function pixel(m) { return [view.left + (m[1] - view.y0) * view.scale, view.top + (view.x1 - m[0]) * view.scale]; }
    function held(m) { return [Math.min(Math.max(m[0], view.x0), view.x1), Math.min(Math.max(m[1], view.y0), view.y1)]; }
    function metres(event) {
      const box = layer.getBoundingClientRect();
      const x = (event.clientX - box.left) * data.size[0] / box.width, y = (event.clientY - box.top) * data.size[1] / box.height;
      return [view.x1 - (y - view.top) / view.scale, view.y0 + (x - view.left) / view.scale];
    }
    function inside(m) { return m[0] >= view.x0 && m[0] <= view.x1 && m[1] >= view.y0 && m[1] <= view.y1; }
    function words(m) {
      const along = Math.round(m[0] / data.factor), side = Math.round(m[1] / data.factor), w = data.words;
      return along + " " + data.unit + " " + w.on + ", " + Math.abs(side) + " " + (side < 0 ? w.left : w.right);
    }
    function say(text) { if (said) said.textContent = text; }
    // One step is one of the reader's units; with Shift ten of them.
    function stepped(event, m) {
      const turn = TURNS[event.key];
      if (!turn) return null;
      const by = (event.shiftKey ? LEAP : STEP) * data.factor;
      return held([m[0] + turn[0] * by, m[1] + turn[1] * by]);
    }

    // A ring that is dragged by pointer or finger and moved by keys. `moved(place)`; `dropped()` takes it out.
    function handle(label, help, at, moved, dropped) {
      let m = at, drag = null;
      const g = el("g", { "class": "handle", tabindex: 0, role: "button" }, layer);
      const grip = el("circle", { "class": "grip", r: 26 }, g), ring = el("circle", { "class": "ring", r: 9 }, g);
      function draw() {
        const p = pixel(m);
        [grip, ring].forEach(function (one) { one.setAttribute("cx", p[0]); one.setAttribute("cy", p[1]); });
        g.setAttribute("aria-label", label + ", " + words(m) + ". " + help);
      }
      function move(to) { m = held(to); draw(); moved(m); }
      g.addEventListener("pointerdown", function (event) { drag = event.pointerId; g.setPointerCapture(drag); event.stopPropagation(); });
      g.addEventListener("pointermove", function (event) { if (drag === event.pointerId) move(metres(event)); });
      ["pointerup", "pointercancel"].forEach(function (kind) {
        g.addEventListener(kind, function (event) { if (drag === event.pointerId) { drag = null; say(label + ": " + words(m)); } });
      });
      g.addEventListener("click", function (event) { event.stopPropagation(); });
      g.addEventListener("keydown", function (event) {
        const to = stepped(event, m);
        if (to) { event.preventDefault(); move(to); say(label + ": " + words(m)); }
        if (dropped && (event.key === "Delete" || event.key === "Backspace")) { event.preventDefault(); dropped(); }
      });
      draw();
      return { node: g };
    }

    // A cross that the keyboard moves; Enter, a click or a tap call `chosen(place)`.
    function cursor(label, help, at, chosen) {
      let m = at;
      const g = el("g", { "class": "cursor", tabindex: 0, role: "button" }, layer);
      const plate = el("circle", { "class": "plate", r: 13 }, g), cross = el("path", { "class": "cross" }, g);
      function draw() {
        const p = pixel(m);
        plate.setAttribute("cx", p[0]); plate.setAttribute("cy", p[1]);
        cross.setAttribute("d", "M" + (p[0] - 11) + " " + p[1] + "h22M" + p[0] + " " + (p[1] - 11) + "v22");
        g.setAttribute("aria-label", label + ", " + words(m) + ". " + help);
      }
      g.addEventListener("keydown", function (event) {
        const to = stepped(event, m);
        if (to) { event.preventDefault(); m = to; draw(); say(words(m)); }
        if (event.key === "Enter" || event.key === " ") { event.preventDefault(); chosen(m); }
      });
      placed = function (to) { m = to; draw(); chosen(m); };
      draw();
      return { node: g };
    }

    layer.addEventListener("click", function (event) {
      const m = metres(event);
      if (placed && inside(m)) placed(m);
    });

    return {
      handle: handle, cursor: cursor, say: say, words: words,
      edge: function (points, closed) {
        shape.setAttribute("d", points.length ? "M" + points.map(function (m) { return pixel(m).join(" "); }).join("L") + (closed ? "Z" : "") : "");
      },
      clear: function () {
        placed = null;
        layer.querySelectorAll(".handle, .cursor").forEach(function (one) { one.remove(); });
        shape.setAttribute("d", "");
      },
    };
  };
})();
