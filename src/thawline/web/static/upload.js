// Sends logs with their progress, then follows the reading of them.
(function () {
  "use strict";
  const form = document.querySelector("form.add");
  const problem = document.getElementById("problem"), progress = document.getElementById("progress");
  const bar = progress.querySelector("progress"), words = progress.querySelector("span");
  const AGAIN_MS = 250;
  const megabytes = (bytes) => (bytes / 1e6).toFixed(1) + " MB";

  function say(text) {
    problem.textContent = text;
    problem.hidden = !text;
    if (text) { progress.hidden = true; problem.scrollIntoView({ block: "center" }); }
    for (const button of form.querySelectorAll("button")) { button.disabled = false; }
  }
  function show(text, done, total) {
    progress.hidden = false;
    words.textContent = text;
    if (total) { bar.max = total; bar.value = done; } else { bar.removeAttribute("value"); }
  }
  async function follow(job) {
    const answer = await fetch("/jobs/" + encodeURIComponent(job), { headers: { Accept: "application/json" } });
    const told = await answer.json();
    if (told.state === "done") { window.location.assign(told.then); return; }
    if (told.state === "failed" || !answer.ok) { say(told.error || told.problem); return; }
    show(told.title + (told.total ? ": " + megabytes(told.done) + " of " + megabytes(told.total) : ""), told.done, told.total);
    window.setTimeout(() => follow(job), AGAIN_MS);
  }
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    say("");
    const body = new FormData(form);
    let size = 0;
    for (const value of body.values()) { size += value.size || 0; }
    const limit = Number(form.dataset.limit);
    if (size > limit) {
      say("the upload (=" + megabytes(size) + ") must be at most " + megabytes(limit) +
        "; nothing was kept. Add it with `thawline add`, or start the pages with a larger --upload-limit");
      return;
    }
    for (const button of form.querySelectorAll("button")) { button.disabled = true; }
    const request = new XMLHttpRequest();
    request.open("POST", "/add");
    request.setRequestHeader("Accept", "application/json");
    request.upload.addEventListener("progress", (sent) => show("sending: " + megabytes(sent.loaded) + " of " + megabytes(sent.total), sent.loaded, sent.total));
    request.addEventListener("error", () => say("the pages were ended, or refused the upload; nothing was kept"));
    request.addEventListener("load", () => {
      let told = {};
      try { told = JSON.parse(request.responseText); } catch { told = { problem: request.responseText }; }
      if (told.work) { follow(told.work); } else { say(told.problem || "that did not work"); }
    });
    request.send(body);
  });
})();
