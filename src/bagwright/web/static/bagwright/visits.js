// The order of balls by keyboard: arrow keys on a block's buttons move it; the focus stays with the block.
"use strict";
(function () {
  document.addEventListener("keydown", function (event) {
    if (event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) return;
    const step = { ArrowUp: "up-", ArrowDown: "down-" }[event.key];
    const block = event.target.closest ? event.target.closest("#order [data-block]") : null;
    if (!step || !block || event.target.tagName !== "BUTTON") return;
    const button = document.getElementById(step + block.dataset.block);
    if (!button || button.disabled) return;
    event.preventDefault();
    button.focus();
    button.click();
  });
  let held = null;
  document.addEventListener("htmx:beforeSwap", function (event) {
    if (!event.detail.target || event.detail.target.id !== "order") return;
    const block = document.activeElement ? document.activeElement.closest("[data-block]") : null;
    const places = Array.from(document.querySelectorAll("#order [data-block]"));
    held = block ? { id: document.activeElement.id, block: block.dataset.block, place: places.indexOf(block) } : null;
  });
  document.addEventListener("htmx:afterSettle", function () {
    if (!held) return;
    // The block may have joined another one, or gone: then its neighbour at the same place takes the focus.
    const same = document.getElementById(held.id);
    const blocks = Array.from(document.querySelectorAll("#order [data-block]"));
    const block = document.querySelector('#order [data-block="' + held.block + '"]') || blocks[Math.min(held.place, blocks.length - 1)];
    const target = same && !same.disabled ? same : block ? block.querySelector("button:not([disabled])") : document.getElementById("undo-plan");
    if (target) target.focus();
    held = null;
  });
})();
