// What every page needs: htmx told to keep to the page's security policy, the token of forms, errors shown.
"use strict";
(function () {
  // The token of now: a log-in in another tab, or after a lost link, has changed the one that the page came with.
  document.addEventListener("htmx:configRequest", function (event) {
    const cookie = /(?:^|; )(?:__Host-csrf|csrftoken)=([^;]+)/.exec(document.cookie), page = document.querySelector("meta[name=csrf]");
    if (cookie || page) event.detail.headers["X-CSRFToken"] = cookie ? cookie[1] : page.content;
  });
  // An error of ours comes as a fragment: show it where the page has a place for it.
  document.addEventListener("htmx:beforeSwap", function (event) {
    const status = event.detail.xhr.status;
    if (status === 400 || status === 409 || status === 422) {
      event.detail.shouldSwap = true;
      event.detail.isError = false;
      const place = document.getElementById("trouble");
      if (place && event.detail.xhr.getResponseHeader("X-Bagwright-Part") === "trouble") {
        delete place.dataset.about;
        event.detail.target = place;
        event.detail.swapOverride = "innerHTML";
      }
    }
  });
  // A part of a page that is brought anew keeps what was folded open in it.
  let unfolded = [];
  document.addEventListener("htmx:beforeSwap", function (event) {
    unfolded = Array.from(event.detail.target ? event.detail.target.querySelectorAll("details[id][open]") : [], function (one) { return one.id; });
  });
  document.addEventListener("htmx:afterSwap", function () {
    unfolded.forEach(function (id) { const one = document.getElementById(id); if (one) one.open = true; });
  });
  document.addEventListener("htmx:sendError", function () {
    const place = document.getElementById("trouble");
    const words = document.getElementById("words-offline");
    // The bay says it beside its line, where nothing moves under the thumb.
    if (place && words && !document.getElementById("queue")) { place.replaceChildren(words.content.cloneNode(true)); place.dataset.about = "link"; }
  });
  // What was said of the link is over when it is back; what else stands there stays.
  document.addEventListener("bagwright:link", function (event) {
    const place = document.getElementById("trouble");
    if (event.detail === "up" && place && place.dataset.about === "link") { place.replaceChildren(); delete place.dataset.about; }
  });
  // A field that keeps itself (data-again) is sent anew until the link is back; then what was said is over.
  const again = new Set();
  document.addEventListener("htmx:sendError", function (event) {
    if (event.detail.elt && event.detail.elt.hasAttribute("data-again")) again.add(event.detail.elt);
  });
  function resend() {
    const waiting = Array.from(again);
    again.clear();
    waiting.forEach(function (one) { if (one.isConnected) htmx.trigger(one, "change"); });
  }
  window.addEventListener("online", resend);
  setInterval(resend, 4000);
  document.addEventListener("htmx:afterRequest", function (event) {
    const place = document.getElementById("trouble");
    if (event.detail.successful && place && place.dataset.about === "link" && !document.getElementById("queue")) { place.replaceChildren(); delete place.dataset.about; }
  });
  // A wide table on a small screen shows on which sides it goes on.
  function mark(one) {
    const start = one.scrollLeft > 4, end = one.scrollLeft + one.clientWidth < one.scrollWidth - 4;
    const more = start && end ? "both" : start ? "start" : end ? "end" : "";
    if (!more) delete one.dataset.more; else if (one.dataset.more !== more) one.dataset.more = more;
  }
  const watch = new ResizeObserver((changes) => changes.forEach((change) => mark(change.target.closest(".scroll"))));
  function markAll() {
    document.querySelectorAll(".scroll").forEach(function (one) {
      watch.observe(one);
      if (one.firstElementChild) watch.observe(one.firstElementChild);
      one.onscroll = function () { mark(one); };
    });
  }
  document.addEventListener("DOMContentLoaded", markAll);
  document.addEventListener("htmx:afterSettle", markAll);
  // data-confirm asks before a grave step; a dialog of our own would need no more than this.
  document.addEventListener("submit", function (event) {
    const words = event.target.getAttribute && event.target.getAttribute("data-confirm");
    if (words && !window.confirm(words)) event.preventDefault();
  });
  // A form on its way is not sent again by an impatient second press; its button says that it is at work.
  function rest() {
    document.querySelectorAll("form[data-sent]").forEach(function (form) { delete form.dataset.sent; });
    document.querySelectorAll("button[aria-busy]").forEach(function (button) { button.removeAttribute("aria-busy"); });
  }
  document.addEventListener("submit", function (event) {
    const form = event.target;
    if (form.method !== "post" || form.target) return;
    if (form.dataset.sent) { event.preventDefault(); return; }
    setTimeout(function () {
      if (event.defaultPrevented) return; // a script sends it, or a question was answered with no
      form.dataset.sent = "1";
      if (event.submitter) event.submitter.setAttribute("aria-busy", "true");
      setTimeout(rest, 20000);
    });
  });
  window.addEventListener("pageshow", rest);
  // The step that is shown stands in sight, however long the line of steps is.
  document.addEventListener("DOMContentLoaded", function () {
    const here = document.querySelector(".steps [aria-current]"), line = here && here.closest(".steps");
    if (line) line.scrollLeft = here.offsetLeft - (line.clientWidth - here.offsetWidth) / 2;
  });
})();
