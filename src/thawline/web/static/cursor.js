// The cursor: mouse, touch and keys move it; it asks why not more, and what a forecast said.
(function () {
  "use strict";
  const root = document.documentElement;
  const recording = document.getElementById("recording");
  if (!recording) { return; }
  const units = "temperature=" + root.dataset.temperature + "&energy=" + root.dataset.energy;
  const here = "/recordings/" + encodeURIComponent(recording.dataset.id);
  const duration = Number(recording.dataset.duration), zero = Number(recording.dataset.zero);
  const slider = document.getElementById("moment"), clock = document.getElementById("clock");
  const line = document.getElementById("now"), answers = document.getElementById("answers");
  const timeline = document.querySelector(".timeline");
  const ahead = document.getElementById("ahead"), forecast = document.getElementById("forecast");
  const expected = document.getElementById("expected");
  const note = document.querySelector("form.note");
  const points = Array.from(document.querySelectorAll(".point"), (point) => Number(point.dataset.t));
  const ASK_MS = 90, LOOK_MS = 700, AGAIN_MS = 500;
  const print = window.matchMedia("print");
  let t = Number(slider.value), charts = null, asking = 0, asked = null, looking = 0, looked = 0;

  function place() {
    const left = 100 * t / Math.max(duration, 1) + "%";
    line.setAttribute("x1", left);
    line.setAttribute("x2", left);
    slider.value = String(t);
    if (!charts) { return; }
    for (const model of charts._all_models.values()) {
      if (model.name === "pin") { model.setv({ location: (t - zero) / 60, visible: !print.matches }); }
    }
  }
  async function ask() {
    if (asked) { asked.abort(); }
    asked = new AbortController();
    try {
      const answer = await fetch(here + "/at?t=" + t + "&" + units, { signal: asked.signal });
      const told = await answer.json();
      if (!answer.ok) { answers.textContent = told.problem; return; }
      clock.textContent = told.clock + " ";
      const minutes = document.createElement("span");
      minutes.className = "faint";
      minutes.textContent = told.minutes + " min";
      clock.append(minutes);
      clock.dataset.t = String(told.t_s);
      slider.setAttribute("aria-valuetext", told.clock + ", " + told.minutes + " minutes");
      answers.innerHTML = told.html;
      for (const reading of document.querySelectorAll("[data-line]")) {
        reading.textContent = told.values[reading.dataset.line] || "";
      }
    } catch (error) {
      if (error.name !== "AbortError") { throw error; }
    }
  }
  async function look() {
    const turn = ++looked;
    if (!ahead.open) { expected.textContent = ""; return; }
    const answer = await fetch(here + "/forecast?t=" + t + "&" + units);
    const told = await answer.json();
    if (turn !== looked) { return; }
    if (told.state === "done") {
      forecast.innerHTML = told.html;
      expected.innerHTML = told.strip;
      forecast.dataset.at = String(told.at_s);
    } else if (!answer.ok || told.state === "failed") {
      forecast.textContent = told.problem || told.error;
    } else {
      if (!forecast.querySelector("progress")) {
        const wait = document.createElement("progress");
        forecast.prepend(wait);
      }
      looking = window.setTimeout(look, AGAIN_MS);
    }
  }
  function move(to) {
    t = Math.min(Math.max(Math.round(to * 10) / 10, 0), duration);
    place();
    window.clearTimeout(asking);
    asking = window.setTimeout(ask, ASK_MS);
    window.clearTimeout(looking);
    looking = window.setTimeout(look, LOOK_MS);
  }
  function step(by) {
    const next = by > 0 ? points.find((point) => point > t + 0.5)
      : points.filter((point) => point < t - 0.5).pop();
    if (next !== undefined) { move(next); }
  }
  function momentAt(event) {
    const box = timeline.getBoundingClientRect();
    return duration * (event.clientX - box.left) / box.width;
  }

  slider.addEventListener("input", () => move(Number(slider.value)));
  timeline.addEventListener("pointerdown", (event) => {
    const point = event.target.closest(".point");
    move(point ? Number(point.dataset.t) : momentAt(event));
    if (!point && event.pointerType === "mouse") { timeline.setPointerCapture(event.pointerId); }
  });
  timeline.addEventListener("pointermove", (event) => {
    if (timeline.hasPointerCapture(event.pointerId)) { move(momentAt(event)); }
  });
  for (const button of document.querySelectorAll("[data-point]")) {
    button.addEventListener("click", () => step(Number(button.dataset.point)));
  }
  for (const mark of document.querySelectorAll("[data-minute]")) {
    mark.addEventListener("click", () => move(Number(mark.dataset.minute) * 60 + zero));
  }
  print.addEventListener("change", place);
  ahead.addEventListener("toggle", look);
  document.addEventListener("charts", (event) => {
    charts = event.detail;
    for (const model of charts._all_models.values()) {
      if (model.x_range && model.on_event) {
        model.on_event("tap", (tap) => move(tap.x * 60 + zero));
      }
    }
    place();
    ask();
  });
  const whereNote = document.querySelector("[data-here]");
  if (whereNote) {
    whereNote.hidden = false;
    whereNote.addEventListener("click", () => { note.elements.at.value = String(t); });
  }
  const press = (name) => { const found = document.querySelector("[data-move=" + name + "]"); if (found) { found.click(); } };
  document.addEventListener("thawline-key", (event) => {
    const { key, shift } = event.detail;
    const moves = {
      ArrowLeft: () => move(t - (shift ? 60 : 10)),
      ArrowRight: () => move(t + (shift ? 60 : 10)),
      n: () => step(1), p: () => step(-1),
      "+": () => press("closer"), "-": () => press("wider"), 0: () => press("all"),
      f: () => { if (!ahead.hidden) { ahead.open = !ahead.open; } },
      m: () => { if (note) { note.elements.at.value = String(t); note.elements.text.focus(); } },
    };
    if (moves[key]) { moves[key](); event.preventDefault(); }
  });
  if (window.matchMedia("(max-width: 44rem)").matches) { document.getElementById("why").open = false; }
  place();
})();
