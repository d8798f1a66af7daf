// The live page: asks once a second, and writes notes at a key press.
(function () {
  "use strict";
  const place = document.getElementById("live");
  if (!place) { return; }
  const root = document.documentElement;
  const here = "/live/" + encodeURIComponent(place.dataset.id);
  const units = "temperature=" + root.dataset.temperature + "&energy=" + root.dataset.energy;
  const soFar = document.getElementById("so-far");
  const beat = document.getElementById("beat"), problem = document.getElementById("problem");
  const AGAIN_MS = 1000;
  function say(text) { problem.textContent = text; problem.hidden = !text; }
  async function again() {
    try {
      const answer = await fetch(here + "/now?" + units, { headers: { Accept: "application/json" } });
      const told = await answer.json();
      if (told.became) { window.location.replace(told.became); return; }
      if (told.beat) { beat.innerHTML = told.beat; }
      if (told.html) { place.innerHTML = told.html; soFar.innerHTML = told.so_far; }
      say(told.problem || "");
      place.dataset.updates = String(Number(place.dataset.updates || 0) + 1);
    } catch {
      say("The pages do not answer any more.");
    }
    window.setTimeout(again, AGAIN_MS);
  }
  async function note(form, text) {
    const body = new URLSearchParams({ text });
    const answer = await fetch(form.action, { method: "POST", body, headers: { Accept: "application/json" } });
    const told = await answer.json();
    say(told.problem || "");
  }
  for (const form of document.querySelectorAll("form.note")) {
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      const field = form.elements.text;
      const text = event.submitter && event.submitter.value ? event.submitter.value : field.value;
      note(form, text);
      if (!(event.submitter && event.submitter.value)) { form.reset(); }
    });
  }
  document.addEventListener("thawline-key", (event) => {
    const button = document.querySelector("[data-digit='" + CSS.escape(event.detail.key) + "']");
    if (button) { button.click(); event.preventDefault(); }
    if (event.detail.key === "m") { document.querySelector("[data-key=m]").focus(); event.preventDefault(); }
  });
  again();
})();
