// Charts: embeds them without evaluating code, and brings finer samples when they are zoomed.
(function () {
  "use strict";
  const root = document.documentElement;
  const recording = document.getElementById("recording");
  const units = "temperature=" + root.dataset.temperature + "&energy=" + root.dataset.energy;
  const two = (n) => String(n).padStart(2, "0");
  const REST_MS = 25;

  function tickText(tick, base, dated) {
    const whole = Math.round(Math.abs(tick) * 60);
    const minutes = Math.floor(whole / 60), seconds = whole % 60;
    let text = minutes + " min";
    if (seconds) { text = (minutes ? text + " " : "") + seconds + " s"; }
    else if (minutes >= 120 && minutes % 60 === 0) { text = minutes / 60 + " h"; }
    if (tick < 0 && whole) { text = "\u2212" + text; }
    if (!dated) { return text; }
    const at = new Date(Math.round(base / 1000 + tick * 60) * 1000);
    const left = at.getUTCSeconds() ? ":" + two(at.getUTCSeconds()) : "";
    return text + "\n" + two(at.getUTCHours()) + ":" + two(at.getUTCMinutes()) + left;
  }
  function writeTicks() {
    const made = window.Bokeh.Models.get("BasicTickFormatter").prototype;
    const usual = made.doFormat;
    made.doFormat = function (ticks, options) {
      const [kind, base, dated] = this.tags || [];
      if (kind === "hours") {
        return ticks.map((tick) => {
          const minutes = ((Math.round(tick * 60) % 1440) + 1440) % 1440;
          return two(Math.floor(minutes / 60)) + ":" + two(minutes % 60);
        });
      }
      if (kind !== "clock") { return usual.call(this, ticks, options); }
      return ticks.map((tick) => tickText(tick, base, dated));
    };
  }
  function unpack(body) {
    const length = new DataView(body).getUint32(0, true);
    const head = JSON.parse(new TextDecoder().decode(new Uint8Array(body, 4, length)));
    let at = 4 + length;
    return head.lines.map((line) => {
      const t = new Float32Array(body, at, line.count);
      const y = new Float32Array(body, at + 4 * line.count, line.count);
      at += 8 * line.count;
      const x = new Float64Array(line.count);
      for (let i = 0; i < line.count; i += 1) { x[i] = (head.from_s + t[i] - zero) / 60; }
      return { path: line.path, x, y };
    });
  }
  const zero = recording ? Number(recording.dataset.zero) : 0;

  function follow(charts) {
    const range = charts.get_model_by_name("time");
    if (!range || !recording) { return; }
    const sources = new Map();
    for (const model of charts._all_models.values()) {
      if (typeof model.name === "string" && model.name.startsWith("line:")) {
        sources.set(model.name.slice(5), model);
      }
    }
    const whole = [range.start, range.end];
    const first = new Map();
    for (const [path, source] of sources) { first.set(path, source.data); }
    const window_ = document.getElementById("window");
    let waiting = 0, asked = null;

    async function bring() {
      if (asked) { asked.abort(); }
      asked = new AbortController();
      const began = performance.now();
      const from = range.start * 60 + zero, to = range.end * 60 + zero;
      if (range.start <= whole[0] && range.end >= whole[1]) {
        for (const [path, source] of sources) { source.data = first.get(path); }
        return;
      }
      const paths = Array.from(sources.keys(), (path) => "path=" + encodeURIComponent(path));
      const width = Math.round(document.getElementById("drawn").clientWidth * Math.min(window.devicePixelRatio || 1, 2));
      const address = "/recordings/" + encodeURIComponent(recording.dataset.id) + "/samples?" + paths.join("&") +
        "&from=" + from + "&to=" + to + "&width=" + width + "&" + units;
      try {
        const answer = await fetch(address, { signal: asked.signal });
        if (!answer.ok) { return; }
        for (const line of unpack(await answer.arrayBuffer())) {
          sources.get(line.path).data = { x: line.x, y: line.y };
        }
        requestAnimationFrame(() => {
          recording.dataset.zoomMs = (performance.now() - began).toFixed(1);
          recording.dataset.zooms = String(Number(recording.dataset.zooms || 0) + 1);
        });
      } catch (error) {
        if (error.name !== "AbortError") { throw error; }
      }
    }
    range.change.connect(() => {
      const wide = Number(recording.dataset.duration) || 1;
      const left = Math.max(range.start * 60 + zero, 0), right = Math.min(range.end * 60 + zero, wide);
      if (window_) {
        window_.setAttribute("x", 100 * left / wide + "%");
        window_.setAttribute("width", Math.max(100 * (right - left) / wide, 0) + "%");
      }
      document.getElementById("drawn").classList.toggle("zoomed", range.start > whole[0] || range.end < whole[1]);
      window.clearTimeout(waiting);
      waiting = window.setTimeout(bring, REST_MS);
    });
  }
  async function embed(told) {
    writeTicks();
    await window.Bokeh.embed.embed_items(told.docs, told.items);
    const charts = window.Bokeh.documents[0];
    if (!charts) { return; }
    follow(charts);
    document.dispatchEvent(new CustomEvent("charts", { detail: charts }));
  }
  async function begin() {
    const kept = document.getElementById("charts-data");
    if (kept) {
      const told = JSON.parse(kept.textContent);
      if (told.items.length) { await embed(told); }
      return;
    }
    const place = document.getElementById("drawn");
    if (!place || !recording) { return; }
    const answer = await fetch("/recordings/" + encodeURIComponent(recording.dataset.id) + "/charts?" + units);
    const told = await answer.json();
    if (!answer.ok) { place.textContent = told.problem; return; }
    place.innerHTML = told.html;
    if (told.items.length) { await embed(told); }
  }
  begin();
})();
