"""Pages in a browser: when an hour's recording can be read, and how long a zoom takes.

Run from the project's folder: ``python -m benchmarks.browse``. It drives Chromium against
a server of its own. The rival is a plain Bokeh page (``file_html``) that embeds every sample
of the same lines and zooms in the browser alone.
"""

from __future__ import annotations

import argparse
import shutil
import statistics
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import uvicorn
from bokeh.embed import file_html
from bokeh.models import Range1d
from bokeh.plotting import figure
from bokeh.resources import INLINE
from playwright.sync_api import Browser, sync_playwright

from tests.report import morning
from thawline.cli.browse import listen
from thawline.library.add import add_recording
from thawline.library.library import open_library
from thawline.recording.recording import Channel, Recording
from thawline.web.door import door
from thawline.web.settings import Settings

FLAGS = [
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip
PATHS = (
    "Powertrain.TractionBattery.Temperature.Min",
    "Powertrain.TractionBattery.Temperature.Max",
    "Powertrain.TractionBattery.StateOfCharge.Current",
    "Powertrain.TractionBattery.Limits.ChargePower",
    "Powertrain.TractionBattery.Limits.RegenerationPower",
)
UNITS = ("degC", "degC", "percent", "kW", "kW")
RATE_HZ = 100.0
ZOOMS = 20
PAINT = """() => {
  const [paint] = performance.getEntriesByName("first-contentful-paint");
  return paint ? paint.startTime : null;
}"""


def large(points: int) -> Recording:
    """Make a recording of so many samples: five channels, a hundred a second, with noise."""
    rng = np.random.default_rng(1)
    t = np.arange(points // len(PATHS)) / RATE_HZ
    share = t / t[-1]
    courses = (-9 + 16 * share, -7 + 16 * share, 40 + 3 * share, 50 * share, 60 * share)
    channels = {
        path: Channel(path, unit, t, course + rng.normal(0, 0.05, len(t)), period_s=1 / RATE_HZ)
        for path, unit, course in zip(PATHS, UNITS, courses, strict=True)
    }
    base = morning.explained().recording
    return replace(
        base, id="large-20310114-0640", duration_s=float(t[-1]), channels=channels, gaps=()
    )


@contextmanager
def served(folder: Path, *recordings: Recording) -> Iterator[str]:
    """Serve recordings; nothing is looked at before it is asked for."""
    library = open_library(folder)
    for recording in recordings:
        add_recording(library, recording, recording.id)
    listening = listen("127.0.0.1", 0)
    app = door(library, Settings(is_apart=False))
    server = uvicorn.Server(uvicorn.Config(app, log_level="error", lifespan="off"))
    thread = threading.Thread(target=server.run, args=([listening],), daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{listening.getsockname()[1]}/recordings/"
    server.should_exit = True
    thread.join(20)


def opened(browser: Browser, address: str) -> tuple[Any, float, float]:
    """Open a page; return it with the first paint and the charts' being there [ms]."""
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    page.set_default_timeout(300_000)
    began = time.perf_counter()
    page.goto(address)
    page.wait_for_selector(".lead p")
    page.wait_for_function("() => performance.getEntriesByName('first-contentful-paint').length")
    paint = float(page.evaluate(PAINT))
    page.wait_for_selector("html[data-charts=ready]")
    return page, paint, 1000.0 * (time.perf_counter() - began)


def zooms(page: Any) -> list[float]:
    """Zoom again and again; from asking the server to the frame that shows it [ms]."""
    page.evaluate("document.getElementById('charts').scrollIntoView()")
    whole = page.evaluate("""() => {
      const range = Bokeh.documents[0].get_model_by_name("time");
      return [range.start, range.end];
    }""")
    rng, took = np.random.default_rng(2), []
    for number in range(1, ZOOMS + 1):
        wide = (whole[1] - whole[0]) * 10.0 ** rng.uniform(-3.0, -0.3)
        begin = rng.uniform(whole[0], whole[1] - wide)
        page.evaluate(
            "([a, b]) => Bokeh.documents[0].get_model_by_name('time').setv({start: a, end: b})",
            [begin, begin + wide],
        )
        page.wait_for_function(
            "(n) => Number(document.getElementById('recording').dataset.zooms) >= n", arg=number
        )
        took.append(float(page.evaluate("document.getElementById('recording').dataset.zoomMs")))
    return took


def rival(
    browser: Browser, recording: Recording, folder: Path
) -> tuple[float, float, float, float]:
    """Embed everything: seconds to write, megabytes, seconds to draw, and a zoom [ms]."""
    began = time.perf_counter()
    x_range = Range1d(0.0, recording.duration_s)
    chart = figure(width=1000, height=300, x_range=x_range, name="chart")
    for channel in recording.channels.values():
        chart.line(channel.t, channel.values)
    path = folder / "plain.html"
    path.write_text(file_html(chart, INLINE, "plain"), "utf-8")
    wrote, size = time.perf_counter() - began, path.stat().st_size / 1e6
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    page.set_default_timeout(300_000)
    began = time.perf_counter()
    page.goto(path.as_uri(), timeout=300_000)
    page.wait_for_function(
        "() => window.Bokeh && Bokeh.documents.length && Bokeh.documents[0].is_idle"
    )
    drew = time.perf_counter() - began
    took = page.evaluate("""async (end) => {
      const all = [...Bokeh.documents[0]._all_models.values()];
      const range = all.find((model) => model.type === "Range1d" && model.end === end);
      const next = (go) => requestAnimationFrame(() => requestAnimationFrame(go));
      const took = [];
      for (let i = 0; i < 5; i += 1) {
        const began = performance.now();
        range.setv({ start: end * 0.1 * i, end: end * (0.1 * i + 0.05) });
        await new Promise(next);
        took.push(performance.now() - began);
      }
      return took;
    }""", recording.duration_s)  # fmt: skip
    page.close()
    return wrote, size, drew, statistics.median(took)


def main() -> None:
    """Print what was measured."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--points", type=float, default=1e7, help="samples of the large recording")
    parser.add_argument(
        "--rival", type=float, default=1e6, help="samples of the plain page; 0: none"
    )
    asked = parser.parse_args()
    chromium = shutil.which("chromium")
    if chromium is None:
        raise SystemExit("there is no chromium on this machine")
    with sync_playwright() as driver, tempfile.TemporaryDirectory() as folder:
        browser = driver.chromium.launch(executable_path=chromium, args=FLAGS)
        hour = morning.explained().recording
        other = replace(hour, id="other-20310114-0640")
        with served(Path(folder) / "hour", hour, other) as address:
            for name, recording in (("first of all", other), ("not seen yet", hour),
                                    ("again", hour)):  # fmt: skip
                page, paint, charts = opened(browser, address + recording.id)
                print(f"an hour, {name:<16} first paint {paint:6.0f} ms, charts {charts:6.0f} ms")
                page.close()
        recording = large(int(asked.points))
        with served(Path(folder) / "large", recording) as address:
            page, paint, charts = opened(browser, address + recording.id)
            print(
                f"{asked.points:.0e} points          charts after {charts / 1000:.1f} s (all of it)"
            )
            page.close()
            page, paint, charts = opened(browser, address + recording.id)
            print(
                f"{asked.points:.0e} points, again   first paint {paint:6.0f} ms, "
                f"charts {charts:6.0f} ms"
            )
            took = zooms(page)
            print(
                f"{asked.points:.0e} points, {ZOOMS} zooms  first {took[0]:.0f} ms, median "
                f"{statistics.median(took):.0f} ms, worst of the rest {max(took[1:]):.0f} ms"
            )
            page.close()
        if asked.rival:
            wrote, size, drew, zoom = rival(browser, large(int(asked.rival)), Path(folder))
            print(
                f"plain page, {asked.rival:.0e} points: written in {wrote:.1f} s, {size:.0f} MB, "
                f"drawn in {drew:.1f} s, a zoom {zoom:.0f} ms"
            )
            print(f"  a zoom of ours at {asked.points:.0e} points takes "
                  f"{statistics.median(took) / zoom:.2f} of that")  # fmt: skip
        browser.close()


if __name__ == "__main__":
    main()
