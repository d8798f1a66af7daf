"""The page in a browser: charts drawn, no errors, no request."""

import shutil

import pytest

from tests.report import morning
from thawline.report.page import set_page

CHROMIUM = shutil.which("chromium")

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="there is no chromium on this machine"),
]

#: Counts canvases and those of them that hold any ink.
INKED = """() => {
  const inside = (root) => [...root.querySelectorAll("*")].flatMap((node) =>
    [node, ...(node.shadowRoot ? inside(node.shadowRoot) : [])]);
  return [...document.querySelectorAll(".plot")].map((plot) => inside(plot).some((canvas) => {
    if (canvas.tagName !== "CANVAS" || !canvas.width || !canvas.height) { return false; }
    const data = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height).data;
    return data.some((value, at) => at % 4 === 3 && value > 0);
  }));
}"""
#: Labels of flow pictures that stick out of their picture.
CUT = """() => [...document.querySelectorAll(".pictures svg")].flatMap((svg) => {
  const frame = svg.getBoundingClientRect();
  return [...svg.querySelectorAll("text")].filter((text) => {
    const box = text.getBoundingClientRect();
    return box.width && (box.left < frame.left - 1 || box.right > frame.right + 1
      || box.top < frame.top - 1 || box.bottom > frame.bottom + 1);
  }).map((text) => text.textContent);
})"""
RANGE = """() => {
  const range = Bokeh.documents[0].get_model_by_name("time");
  return [range.start, range.end];
}"""


@pytest.fixture(scope="module")
def browser():
    sync_api = pytest.importorskip("playwright.sync_api")
    with sync_api.sync_playwright() as driver:
        opened = driver.chromium.launch(
            executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"]
        )
        yield opened
        opened.close()


@pytest.fixture(scope="module")
def file(tmp_path_factory):
    path = tmp_path_factory.mktemp("page") / "morning.html"
    path.write_text(set_page(morning.explained(), morning.prose()), "utf-8")
    return path


def opened(browser, file, width):
    """Open the page; return it with everything that it complained about or asked for."""
    page = browser.new_page(viewport={"width": width, "height": 900})
    noise, requests = [], []

    def hear(message):
        # reading canvases back, as this test does, makes the browser advise; that is no fault
        if message.type in ("error", "warning") and not message.text.startswith("Canvas2D:"):
            noise.append(message.text)

    page.on("console", hear)
    page.on("pageerror", lambda error: noise.append(str(error)))
    page.on("request", lambda request: requests.append(request.url))
    page.goto(file.as_uri())
    page.wait_for_selector("html[data-charts=ready]", timeout=30_000)
    page.wait_for_function(f"({INKED})().every(Boolean)", timeout=30_000)
    return page, noise, requests


@pytest.mark.parametrize("width", [1280, 400])
def test_charts_are_drawn_and_nothing_leaves_the_page(browser, file, width):
    """Every chart holds ink; no error, no warning, no request but the file; nothing sticks out."""
    page, noise, requests = opened(browser, file, width)
    assert page.evaluate(INKED) == [True] * 8
    assert noise == []
    assert requests == [file.as_uri()]
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate(CUT) == []
    page.close()


def test_buttons_and_marks_move_all_charts(browser, file):
    """Closer halves the time shown, Whole recording restores it, a mark shows its moment."""
    page, noise, _ = opened(browser, file, 1280)
    whole = page.evaluate(RANGE)
    assert whole == pytest.approx([-77.0 / 60.0 - 1.2, (3600.0 - 77.0) / 60.0 + 1.2])
    page.click("[data-move=closer]")
    begin, end = page.evaluate(RANGE)
    assert end - begin == pytest.approx((whole[1] - whole[0]) / 2.0)
    page.click("[data-move=all]")
    assert page.evaluate(RANGE) == pytest.approx(whole)
    page.click("#point-6 .mark")
    begin, end = page.evaluate(RANGE)
    assert begin < (1560.0 - 77.0) / 60.0 < end
    assert end - begin == pytest.approx(8.0)
    assert noise == []
    page.close()


def test_the_cursor_reads_the_lines(browser, file):
    """Over a chart a slip appears with the clock and each line's value."""
    page, noise, _ = opened(browser, file, 1280)
    plot = page.locator("figure .plot").first
    plot.scroll_into_view_if_needed()
    box = plot.bounding_box()
    for step in (400, 420):
        page.mouse.move(box["x"] + step, box["y"] + 120)
    slip = page.get_by_text("coolant in", exact=True).last
    slip.wait_for(timeout=10_000)
    assert noise == []
    page.close()
