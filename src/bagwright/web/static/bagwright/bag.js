// Clubs can be dragged into the bag and out of it; the same buttons work by press and by keyboard without this.
"use strict";
(function () {
  const START = 8; // pixels before a press becomes a drag
  let held = null;

  function zoneAt(x, y) {
    const under = document.elementFromPoint(x, y);
    return under ? under.closest("[data-zone]") : null;
  }
  function mark(zone) {
    document.querySelectorAll("[data-zone].over").forEach(function (one) { if (one !== zone) one.classList.remove("over"); });
    if (zone) zone.classList.add("over");
  }
  function lift(event) {
    const ghost = held.button.cloneNode(true);
    ghost.removeAttribute("id");
    ghost.setAttribute("aria-hidden", "true");
    ghost.tabIndex = -1;
    ghost.classList.add("ghost");
    document.body.appendChild(ghost);
    held.ghost = ghost;
    held.button.classList.add("dragged");
    held.button.setPointerCapture(event.pointerId);
  }
  function drop() {
    if (!held) return;
    if (held.ghost) held.ghost.remove();
    held.button.classList.remove("dragged");
    mark(null);
    held = null;
  }

  document.addEventListener("pointerdown", function (event) {
    const button = event.target.closest("[data-zone] button");
    if (!button || button.disabled || event.button !== 0) return;
    held = { button: button, from: button.closest("[data-zone]"), x: event.clientX, y: event.clientY, ghost: null };
  });
  document.addEventListener("pointermove", function (event) {
    if (!held) return;
    if (!held.ghost && Math.hypot(event.clientX - held.x, event.clientY - held.y) < START) return;
    if (!held.ghost) lift(event);
    held.ghost.style.setProperty("transform", "translate(" + (event.clientX + 6) + "px," + (event.clientY + 6) + "px)");
    const zone = zoneAt(event.clientX, event.clientY);
    mark(zone && zone !== held.from ? zone : null);
  });
  document.addEventListener("pointerup", function (event) {
    if (!held) return;
    const dragged = held.ghost !== null, button = held.button, from = held.from;
    const zone = dragged ? zoneAt(event.clientX, event.clientY) : null;
    drop();
    if (!dragged) return;
    // The press that ends a drag is no press of the button; dropping on the other side is.
    button.addEventListener("click", swallow, { capture: true, once: true });
    window.setTimeout(function () {
      button.removeEventListener("click", swallow, { capture: true });
      if (zone && zone !== from) button.click();
    }, 0);
  });
  function swallow(event) { event.preventDefault(); event.stopImmediatePropagation(); }
  // Going back brings the page from the server, not from a copy in the browser: its charts are drawn anew.
  ["htmx:historyRestore", "htmx:historyCacheMissLoad"].forEach(function (name) {
    document.addEventListener(name, function () {
      window.setTimeout(function () { document.dispatchEvent(new CustomEvent("bagwright:charts")); }, 0);
    });
  });
  document.addEventListener("pointercancel", drop);
  document.addEventListener("keydown", function (event) { if (event.key === "Escape") drop(); });
})();
