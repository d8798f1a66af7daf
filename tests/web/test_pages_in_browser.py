"""All pages in a browser: they are driven as a person does; no error, no request elsewhere."""

from __future__ import annotations

import shutil
import threading
from urllib.parse import urlsplit

import pytest
import uvicorn

from tests.recording.making import lines, write
from tests.report.test_page_in_browser import CUT, INKED
from tests.web.conftest import FIRST, HOSTILE, SECOND, filled, hostile
from thawline.cli.browse import listen
from thawline.library.listing import listing
from thawline.library.notes import notes
from thawline.web.door import door
from thawline.web.settings import Settings

CHROMIUM = shutil.which("chromium")
FLAGS = [
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="there is no chromium on this machine"),
]
#: A figure's frame in the page, to aim the mouse at.
RANGE = """() => {
  const range = Bokeh.documents[0].get_model_by_name("time");
  return [range.start, range.end];
}"""
POINTS = """(path) => Bokeh.documents[0].get_model_by_name("line:" + path).data.x.length"""


def serve(library):
    """Serve a library on any free port, in a thread."""
    listening = listen("127.0.0.1", 0)
    port = listening.getsockname()[1]
    app = door(library, Settings(port=port, is_apart=False))
    server = uvicorn.Server(uvicorn.Config(app, log_level="error", ws="none"))
    thread = threading.Thread(target=server.run, args=([listening],), daemon=True)
    thread.start()
    return server, thread, f"http://127.0.0.1:{port}"


@pytest.fixture(scope="module")
def library(tmp_path_factory):
    return filled(tmp_path_factory.mktemp("library"))


@pytest.fixture(scope="module")
def site(library):
    server, thread, address = serve(library)
    yield address
    server.should_exit = True
    thread.join(20)


@pytest.fixture(scope="module")
def browser():
    sync_api = pytest.importorskip("playwright.sync_api")
    with sync_api.sync_playwright() as driver:
        opened = driver.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield opened
        opened.close()


@pytest.fixture
def page(browser, site):
    """A page; in the end it must have complained of nothing and asked nobody else."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    opened = context.new_page()
    noise = []

    def hear(message):
        if message.type in ("error", "warning") and not message.text.startswith("Canvas2D:"):
            noise.append(message.text)

    opened.on("console", hear)
    opened.on("pageerror", lambda error: noise.append(f"page error: {error}"))
    opened.on("dialog", lambda dialog: (noise.append("a dialog"), dialog.dismiss()))

    def asked(request):
        there = urlsplit(request.url)
        if there.scheme not in ("data", "blob") and there.hostname != "127.0.0.1":
            noise.append(f"asked {request.url}")

    opened.on("request", asked)
    opened.set_default_timeout(30_000)
    yield opened
    assert noise == []
    context.close()


def charts_drawn(page):
    page.wait_for_selector("html[data-charts=ready]")
    page.wait_for_function(f"() => ({INKED})().every(Boolean)")


def clock(page):
    return float(page.get_attribute("#clock", "data-t"))


def moved(page, to, within=0.6):
    page.wait_for_function(
        "([t, d]) => Math.abs(Number(document.getElementById('clock').dataset.t) - t) <= d",
        arg=[to, within],
    )


@pytest.mark.parametrize("width", [1280, 400])
@pytest.mark.parametrize("path", ["/", "/add", f"/recordings/{FIRST}", "/compare",
                                  f"/compare?a={FIRST}&b={SECOND}", "/limits",
                                  "/limits?vehicle=Gannet", "/live", "/keys",
                                  "/nowhere"])  # fmt: skip
def test_every_page_is_whole_and_fits(page, site, path, width):
    """Nothing sticks out at either width; every chart holds ink; every field has a name."""
    page.set_viewport_size({"width": width, "height": 900})
    if path == "/nowhere":  # the browser itself notes an answer of 404
        assert page.request.get(site + path).status == 404
        return
    page.goto(site + path)
    page.wait_for_selector("h1")
    if path.startswith("/limits?"):
        page.wait_for_selector("#tables")
    if page.query_selector(".plot"):
        charts_drawn(page)
    if path == "/":
        page.wait_for_function("() => !document.querySelector('[data-unseen]')")
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate(CUT) == []
    nameless = page.evaluate("""() => [...document.querySelectorAll("input, select, textarea")]
      .filter((one) => one.type !== "hidden" && !one.labels.length && !one.ariaLabel)
      .map((one) => one.outerHTML)""")
    assert nameless == []


def test_a_log_is_added_and_its_story_read(page, site, library, tmp_path):
    """From the file on the disk to the sentences, without leaving the pages."""
    log, database, vehicle = write(tmp_path, lines(120.0))
    page.goto(site)
    page.keyboard.press("a")
    page.wait_for_url("**/add")
    page.set_input_files("[name=logs]", log)
    page.set_input_files("[name=databases]", database)
    page.set_input_files("[name=vehicle]", vehicle)
    page.click("button.main")
    page.wait_for_url("**/recordings/gannet-20260117-*")
    assert "Gannet" in page.text_content(".lead")
    assert any(entry.id.startswith("gannet-20260117") for entry in listing(library))


def test_a_bad_upload_says_what_the_command_says(page, site, tmp_path):
    """The reason and the cure, on the page with the form still filled."""
    bad = tmp_path / "letter.log"
    bad.write_text("Dear reader,\n", "utf-8")
    _, database, vehicle = write(tmp_path)
    page.goto(f"{site}/add")
    page.set_input_files("[name=logs]", bad)
    page.set_input_files("[name=databases]", database)
    page.set_input_files("[name=vehicle]", vehicle)
    page.click("button.main")
    page.wait_for_selector("#problem:not([hidden])")
    assert page.text_content("#problem").startswith("letter.log")
    assert page.is_enabled("button.main")


def test_the_cursor_moves_by_mouse_touch_and_keys(page, site):
    """A click on the time line, a click in a chart, arrow keys, the slider, the next point."""
    page.goto(f"{site}/recordings/{FIRST}")
    charts_drawn(page)
    before = page.text_content("#answers")
    box = page.query_selector(".timeline").bounding_box()
    page.mouse.click(box["x"] + box["width"] * 0.75, box["y"] + box["height"] / 2)
    moved(page, 2700.0, 6.0)
    page.wait_for_function("(old) => document.getElementById('answers').textContent !== old",
                           arg=before)  # fmt: skip
    here = clock(page)
    page.keyboard.press("ArrowRight")
    moved(page, here + 10.0)
    page.keyboard.press("Shift+ArrowLeft")
    moved(page, here - 50.0)
    page.keyboard.press("p")
    page.keyboard.press("p")
    page.keyboard.press("n")
    moved(page, float(page.get_attribute("#clock", "data-t")))
    page.focus("#moment")
    page.keyboard.press("Home")
    moved(page, 0.0)
    page.keyboard.press("ArrowRight")
    moved(page, 1.0)
    frame = page.query_selector("#plot-pack-temperature")
    frame.scroll_into_view_if_needed()
    page.evaluate(
        "document.getElementById('plot-pack-temperature').scrollIntoView({block: 'center'})"
    )
    box = frame.bounding_box()
    page.mouse.click(box["x"] + 52 + (box["width"] - 188) / 2, box["y"] + 60)
    moved(page, 1800.0, 10.0)
    reading = page.text_content("[data-line='Powertrain.TractionBattery.Temperature.Min']")
    assert reading.endswith("°C")


def test_every_control_is_reached_by_tab(page, site):
    """The skip link comes first and leads past the navigation; focus can be seen."""
    page.goto(f"{site}/recordings/{FIRST}")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    assert page.evaluate("location.hash") == "#main"
    page.keyboard.press("Tab")
    assert page.evaluate("document.getElementById('main').contains(document.activeElement)")
    style = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
    assert style != "none"


def test_looking_closer_brings_every_sample(page, site):
    """A drag across a chart asks the server for the stretch, and all charts follow."""
    page.goto(f"{site}/recordings/{FIRST}")
    charts_drawn(page)
    path = "Powertrain.TractionBattery.StateOfCharge.Current"  # ten samples a second
    whole = page.evaluate(RANGE)
    assert page.evaluate(POINTS, path) < 3000
    page.evaluate(
        "document.getElementById('plot-pack-temperature').scrollIntoView({block: 'center'})"
    )
    box = page.query_selector("#plot-pack-temperature").bounding_box()
    page.mouse.move(box["x"] + 400, box["y"] + 60)
    page.mouse.down()
    page.mouse.move(box["x"] + 430, box["y"] + 70, steps=4)
    page.mouse.up()
    page.wait_for_function("() => Number(document.getElementById('recording').dataset.zooms) >= 1")
    begin, end = page.evaluate(RANGE)
    assert end - begin < 0.1 * (whole[1] - whole[0])
    assert page.evaluate(POINTS, path) == pytest.approx((end - begin) * 600, abs=4)
    page.keyboard.press("0")
    page.wait_for_function(
        "(w) => Math.abs(Bokeh.documents[0].get_model_by_name('time').start - w) < 1e-6",
        arg=whole[0],
    )


def test_a_forecast_is_shown_beside_what_came(page, site):
    """Asked for with a key, it appears when it is made, with its strip on the time line."""
    page.goto(f"{site}/recordings/{FIRST}")
    page.keyboard.press("f")
    page.wait_for_selector("#forecast table", timeout=60_000)
    assert "Waiting from now" in page.text_content("#forecast")
    assert page.query_selector("#expected svg") is not None


def test_notes_are_written_at_the_cursor(page, site, library):
    """A key goes to the note with the cursor's moment; the note stands on the page."""
    page.goto(f"{site}/recordings/{FIRST}")
    page.keyboard.press("m")
    page.keyboard.type("Scraped the windscreen.")
    page.click("form.note [type=submit]")
    page.wait_for_url(f"**/recordings/{FIRST}#notes")
    assert "Scraped the windscreen." in page.text_content("#notes")
    assert [note.at_s for note in notes(library, FIRST)] == [pytest.approx(clock(page))]


def test_two_mornings_are_chosen_and_compared(page, site):
    """From the form to the reasons and the charts."""
    page.goto(f"{site}/compare")
    page.select_option("[name=a]", FIRST)
    page.select_option("[name=b]", SECOND)
    page.click("form[action='/compare'] button")
    charts_drawn(page)
    assert "two mornings" in page.text_content("h1")
    assert page.query_selector("#figures table") is not None


def test_units_are_chosen_and_stay(page, site):
    """°F from the list at the top reaches sentences and axes, on this page and the next."""
    page.goto(f"{site}/recordings/{FIRST}")
    page.select_option("[name=temperature]", "degF")
    page.wait_for_selector("html[data-temperature=degF]")
    charts_drawn(page)
    assert "°F" in page.text_content(".lead") and "°C" not in page.text_content(".lead")
    assert "°F" in page.text_content("#drawn figure h3")
    page.goto(site)
    assert page.get_attribute("html", "data-temperature") == "degF"


def test_printing_gives_the_report(page, site, tmp_path):
    """On paper there are story, charts and accounts, and no controls."""
    page.goto(f"{site}/recordings/{FIRST}")
    charts_drawn(page)
    page.emulate_media(media="print")
    for hidden in (".door", ".moment", "form.note", ".buttons", "nav"):
        assert not page.is_visible(hidden), hidden
    for shown in (".lead", ".timeline", "#chronicle", "#ledgers table", "#plot-pack-temperature"):
        assert page.is_visible(shown), shown
    assert len(page.pdf()) > 20_000


def test_hostile_names_do_nothing(browser, tmp_path):
    """Signals, vehicle, notes that attack the page are words on it, also in the charts."""
    server, thread, address = serve(hostile(tmp_path))
    try:
        context = browser.new_context()
        page = context.new_page()
        seen = []
        page.on("dialog", lambda dialog: (seen.append("dialog"), dialog.dismiss()))
        page.on("pageerror", lambda error: seen.append(str(error)))
        page.on("console", lambda m: seen.append(m.text) if m.type == "error" else None)
        page.goto(address)
        page.wait_for_function("() => !document.querySelector('[data-unseen]')")
        page.click(".when a")
        charts_drawn(page)
        assert HOSTILE in page.text_content("h1")
        page.click(".timeline")
        page.wait_for_timeout(300)
        assert page.query_selector("img") is None and seen == []
        context.close()
    finally:
        server.should_exit = True
        thread.join(20)
