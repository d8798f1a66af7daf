(function () {
  "use strict";
  const root = document.documentElement;
  const narrow = window.matchMedia("(max-width: 44rem)");
  const dark = window.matchMedia("(prefers-color-scheme: dark)");
  const print = window.matchMedia("print");
  const coarse = window.matchMedia("(pointer: coarse)");
  const PLAIN = ["text_color", "line_color", "axis_line_color", "major_tick_line_color",
    "major_label_text_color", "grid_line_color"];
  const GLYPH = ["line_color", "fill_color", "hatch_color", "text_color"];

  function colour(name) {
    return getComputedStyle(root).getPropertyValue("--" + name).trim();
  }
  function models(charts) {
    return Array.from(charts._all_models ? charts._all_models.values() : []);
  }
  function paint(charts) {
    for (const model of models(charts)) {
      const name = (model.tags || [])[0];
      if (name === undefined) { continue; }
      const isGlyph = "fill_color" in model || model.type.endsWith("Line") || model.type === "Text" || model.type === "VSpan";
      if (name === "disc") {
        model.fill_color = { value: colour("paper") };
        model.line_color = { value: colour(model.tags[1] || "ink") };
      } else if (isGlyph) {
        for (const key of GLYPH) {
          if (key in model && model[key] && model[key].value) { model[key] = { value: colour(name) }; }
        }
      } else {
        for (const key of PLAIN) {
          if (key in model && model[key]) { model[key] = colour(name); }
        }
        if (model.background_fill_color) { model.background_fill_color = colour("paper"); }
      }
    }
  }
  function fit(charts) {
    const isNarrow = narrow.matches;
    for (const model of models(charts)) {
      if ("min_border_right" in model && model.x_range) {
        model.min_border_right = isNarrow ? 12 : {{ right }};
        model.min_border_left = isNarrow ? 40 : {{ left }};
        if (coarse.matches) { model.toolbar.active_drag = null; }
      }
    }
  }
  function steer(range) {
    const whole = [range.start, range.end];
    function show(begin, end) {
      const wide = Math.min(end - begin, whole[1] - whole[0]);
      const from = Math.min(Math.max(begin, whole[0]), whole[1] - wide);
      range.setv({ start: from, end: from + wide });
    }
    const moves = {
      all: () => show(whole[0], whole[1]),
      closer: (b, e) => show(b + (e - b) / 4, e - (e - b) / 4),
      wider: (b, e) => show(b - (e - b) / 2, e + (e - b) / 2),
      earlier: (b, e) => show(b - (e - b) / 2, e - (e - b) / 2),
      later: (b, e) => show(b + (e - b) / 2, e + (e - b) / 2),
    };
    for (const button of document.querySelectorAll("[data-move]")) {
      button.addEventListener("click", () => moves[button.dataset.move](range.start, range.end));
    }
    for (const mark of document.querySelectorAll("[data-minute]")) {
      mark.addEventListener("click", () => {
        const here = Number(mark.dataset.minute);
        show(here - 4, here + 4);
      });
    }
  }
  function ready() {
    const charts = window.Bokeh && window.Bokeh.documents && window.Bokeh.documents[0];
    if (!charts) { window.setTimeout(ready, 40); return; }
    paint(charts);
    fit(charts);
    const range = charts.get_model_by_name("time");
    if (range) { steer(range); }
    narrow.addEventListener("change", () => fit(charts));
    for (const media of [dark, print]) { media.addEventListener("change", () => paint(charts)); }
    root.dataset.charts = "ready";
  }
  let opened = [];
  window.addEventListener("beforeprint", () => {
    opened = Array.from(document.querySelectorAll("details:not([open])"));
    for (const one of opened) { one.open = true; }
  });
  window.addEventListener("afterprint", () => {
    for (const one of opened) { one.open = false; }
  });
  if (document.querySelector(".plot")) { ready(); }
})();
