// A live page hears of changes by a stream while it is looked at; by asking where a stream cannot be kept. A quiet
// stream says every three seconds that it is there: a radio link that fades breaks nothing, it only falls silent.
"use strict";
(function () {
  const place = document.querySelector("[data-live]");
  if (!place) return;
  const link = window.bagwrightLink;
  const SILENT_MS = 8000, ASK_MS = 2000, STREAM_AGAIN = 15;
  let stream = null, timer = null, seen = Number(place.dataset.seen), failures = 0, asked = 0, looking = false, heard = 0;

  function changed(revision) {
    if (revision <= seen) return;
    seen = revision;
    document.body.dispatchEvent(new CustomEvent("bagwright:changed"));
  }
  function listen() {
    if (stream || document.hidden) return;
    stream = new EventSource(place.dataset.live + "?seen=" + seen);
    heard = Date.now();
    stream.addEventListener("open", function () { heard = Date.now(); failures = 0; stopAsking(); link.say("up"); });
    stream.addEventListener("here", function () { heard = Date.now(); });
    stream.addEventListener("changed", function (event) { heard = Date.now(); changed(Number(event.lastEventId)); });
    stream.addEventListener("error", function () {
      failures += 1;
      look(); // why it broke is known at once, not at the third time
      // A stream that was refused is closed for good and tells so once; one that broke tries again by itself.
      if (!stream || stream.readyState === EventSource.CLOSED || failures >= 3) { hush(); ask(); }
    });
  }
  function hush() { if (stream) { stream.close(); stream = null; } }
  function ask() { if (!timer) timer = window.setInterval(look, ASK_MS); }
  function stopAsking() { if (timer) { window.clearInterval(timer); timer = null; } }
  async function look() {
    if (document.hidden || looking) return;
    looking = true;
    try { await lookOnce(); } finally { looking = false; }
  }
  async function lookOnce() {
    let answer;
    // An ended log-in answers with the way to the log-in page: that is not followed.
    try { answer = await fetch(place.dataset.revisionAt, { headers: { Accept: "application/json" }, redirect: "manual", signal: AbortSignal.timeout(5000) }); } catch (error) {
      asked = STREAM_AGAIN - 1; // the first answer after this brings the stream back
      link.say("down");
      return;
    }
    if (answer.type === "opaqueredirect" || answer.status === 404) { link.say("shut"); return; }
    if (!answer.ok) { if (answer.status >= 502 && answer.status <= 504) link.say("down"); return; }
    const told = await answer.json();
    link.say("up");
    changed(told.revision);
    asked += 1;
    // Where streams do not come through, asking goes on; a stream is tried again now and then.
    if (asked % STREAM_AGAIN === 0) { failures = 0; listen(); }
  }
  // HTTP/1.1 gives a browser six streams: a page that nobody looks at gives its own back.
  document.addEventListener("visibilitychange", function () { if (document.hidden) { hush(); } else { look(); listen(); } });
  window.addEventListener("pagehide", hush);
  window.addEventListener("online", function () { look(); listen(); });
  window.addEventListener("offline", look);
  window.setInterval(function () {
    if (stream && !document.hidden && Date.now() - heard > SILENT_MS) { hush(); look(); ask(); }
  }, SILENT_MS / 4);
  listen();
})();
