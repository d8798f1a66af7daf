// Waits for long work and then goes on.
(function () {
  "use strict";
  const place = document.getElementById("work");
  if (!place) { return; }
  const bar = place.querySelector("progress");
  const AGAIN_MS = 400;
  async function again() {
    const answer = await fetch("/jobs/" + encodeURIComponent(place.dataset.job), { headers: { Accept: "application/json" } });
    const told = await answer.json();
    if (told.state === "done" || told.state === "failed" || !answer.ok) {
      const then = place.dataset.then;
      window.location.replace(then.startsWith("/jobs/") && told.state === "done" ? told.then : then);
      return;
    }
    if (told.total) { bar.max = told.total; bar.value = told.done; }
    window.setTimeout(again, AGAIN_MS);
  }
  again();
})();
