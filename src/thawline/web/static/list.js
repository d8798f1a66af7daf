// Mornings that nobody looked at yet are asked for one after the other, as they come into view.
(function () {
  "use strict";
  const list = document.querySelector(".mornings");
  if (!list) { return; }
  const wanted = [];
  let busy = false;
  async function next() {
    const row = wanted.shift();
    if (!row || busy) { return; }
    busy = true;
    try {
      const answer = await fetch("/recordings/" + encodeURIComponent(row.dataset.id) + "/glance?longest_s=" + list.dataset.longest);
      const seen = row.querySelector(".seen");
      if (answer.ok) { seen.innerHTML = await answer.text(); } else { seen.textContent = "cannot be read"; }
    } finally {
      row.removeAttribute("data-unseen");
      busy = false;
      next();
    }
  }
  const watch = new IntersectionObserver((entries) => {
    for (const entry of entries) {
      if (entry.isIntersecting) { watch.unobserve(entry.target); wanted.push(entry.target); }
    }
    next();
  });
  for (const row of list.querySelectorAll("[data-unseen]")) { watch.observe(row); }
})();
