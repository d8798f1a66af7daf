// Keys that work on every page; a page's own keys are offered to it first.
(function () {
  "use strict";
  const PAGES = { "?": "/keys", a: "/add", c: "/compare", l: "/limits", r: "/plan", v: "/live" };
  for (const select of document.querySelectorAll(".units select")) {
    select.addEventListener("change", () => select.form.submit());
  }
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented) { return; }
    if (event.target.closest("input, textarea, select, [contenteditable]")) { return; }
    const offered = new CustomEvent("thawline-key", {
      cancelable: true, detail: { key: event.key, shift: event.shiftKey },
    });
    if (!document.dispatchEvent(offered)) { event.preventDefault(); return; }
    if (event.key === "/") {
      const find = document.querySelector("[data-key='/']");
      if (find) { find.focus(); } else { window.location.assign("/"); }
      event.preventDefault();
    } else if (PAGES[event.key]) {
      window.location.assign(PAGES[event.key]);
      event.preventDefault();
    }
  });
})();
