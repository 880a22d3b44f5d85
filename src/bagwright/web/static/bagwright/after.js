// A gauge in one hand: Enter moves on instead of sending; data-enter="column" goes down to the next club.
"use strict";
(function () {
  document.addEventListener("keydown", function (event) {
    if (event.key !== "Enter" || event.isComposing) return;
    const form = event.target.closest("form[data-enter]");
    if (!form || !event.target.matches("input, select")) return;
    event.preventDefault();
    const all = Array.from(form.querySelectorAll("input:not([type=hidden]), select, textarea"));
    const kind = event.target.dataset.gauge;
    const down = form.dataset.enter === "column" && kind;
    const places = down ? all.filter(function (one) { return one.dataset.gauge === kind; }) : all;
    let next = places[places.indexOf(event.target) + (event.shiftKey ? -1 : 1)];
    // After the last club the next column begins; after the last column comes the button.
    if (!next && down && !event.shiftKey) {
      const kinds = Array.from(new Set(all.map(function (one) { return one.dataset.gauge; })));
      const following = kinds[kinds.indexOf(kind) + 1];
      next = all.find(function (one) { return following && one.dataset.gauge === following; });
    }
    if (!next && !event.shiftKey) next = form.querySelector("button.main");
    if (!next) return;
    next.focus();
    if (next.select) next.select();
  });
})();
