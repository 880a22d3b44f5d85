// The bay's page has itself kept by the worker, anew after every change, so that it opens without a link.
"use strict";
(function () {
  const place = document.querySelector("[data-worker]");
  // No worker without a secure context, as on a tablet that was paired over the local network: there an open page goes on.
  if (!place || !("serviceWorker" in navigator)) return;
  let timer = null;
  // The worker led back here from a page that cannot come without the link.
  if (window.location.hash === "#needs-link") {
    window.history.replaceState(null, "", window.location.pathname);
    const words = document.getElementById("words-needs-link"), trouble = document.getElementById("trouble");
    trouble.replaceChildren(words.content.cloneNode(true));
    trouble.dataset.about = "link"; // app.js takes it away when the link is back
  }
  function keep() {
    window.clearTimeout(timer);
    timer = window.setTimeout(async function () {
      const ready = await navigator.serviceWorker.ready;
      ready.active.postMessage({ keep: window.location.pathname });
    }, 700);
  }
  navigator.serviceWorker.addEventListener("controllerchange", keep);
  document.body.addEventListener("bagwright:changed", keep);
  navigator.serviceWorker.register(place.dataset.worker, { scope: "/" }).then(keep, function (error) {
    // The browser was told to keep nothing: the page works, but it does not open without a link.
    document.body.dataset.worker = error.name;
  });
})();
