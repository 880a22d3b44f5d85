// The address holds what is ticked, so that a reload or a link brings the same bag; paper shows what is folded away.
"use strict";
(function () {
  const form = document.getElementById("ticks");
  if (form) {
    form.addEventListener("change", function () {
      const ticked = new URLSearchParams(new FormData(form));
      window.history.replaceState(window.history.state, "", window.location.pathname + "?" + ticked + "#live");
    });
  }
  let opened = [];
  window.addEventListener("beforeprint", function () {
    opened = Array.from(document.querySelectorAll("details#said:not([open])"));
    opened.forEach(function (one) { one.open = true; });
  });
  window.addEventListener("afterprint", function () {
    opened.forEach(function (one) { one.open = false; });
    opened = [];
  });
})();
