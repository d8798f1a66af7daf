"""Compare, limits, static files, faults, and what the documents say of the pages."""

import json
import re
import time

import pytest

from tests.house.reading import ROOT
from tests.web.conftest import FIRST, HOSTILE, SECOND
from thawline.web.desk import in_page


def test_two_mornings_are_compared(client):
    """What differs, the reasons, and charts as data that no browser runs."""
    page = client.get("/compare", params={"a": FIRST, "b": SECOND, "tariff": "0.30"})
    assert page.status_code == 200 and "Minutes to each turning point" in page.text
    data = re.search(r'<script type="application/json" id="charts-data">(.*?)</script>', page.text)
    assert json.loads(data[1])["items"]
    other = client.get("/compare", params={"a": FIRST, "b": SECOND, "temperature": "degF"}).text
    assert "°F" in other and not re.search(r"\d\s°C", other.split('id="reading"')[0])


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ({"a": FIRST, "b": FIRST}, "are the same recording"),
        ({"a": FIRST, "b": "petrel"}, "there is no recording"),
        ({"a": FIRST, "b": SECOND, "tariff": "-1"}, "must be a price of 0 or more"),
        ({"a": FIRST, "b": SECOND, "tariff": "nan"}, "must be a price of 0 or more"),
    ],
)
def test_what_cannot_be_compared_is_told(client, query, words):
    """The form comes back with the reason."""
    answer = client.get("/compare", params=query)
    assert answer.status_code == 400 and words in answer.text and "<form" in answer.text


def test_limits_are_learned_and_then_shown(client):
    """First the work, then the page; a wrong name is told with the nearest."""
    assert "Gannet" in client.get("/limits").text
    for _ in range(600):
        page = client.get("/limits?vehicle=Gannet")
        if "Margin to lithium plating" in page.text:
            break
        time.sleep(0.05)
    assert "what its cells allow" in page.text and 'id="charts-data"' in page.text
    wrong = client.get("/limits?vehicle=Gannett")
    assert wrong.status_code == 404 and "Gannet" in wrong.text


def test_styles_and_scripts_come_from_here(client):
    """Our own, the reports', the charting library's from its wheel; nothing else."""
    for name in ("web.css", "report.css", "page.js", "charts.js", "cursor.js", "bokeh.min.js"):
        answer = client.get(f"/static/0.1.0/{name}")
        assert answer.status_code == 200 and len(answer.content) > 500
        assert "max-age" in answer.headers["cache-control"]
    for name in ("..%2Fdoor.py", "%2e%2e/door.py", "door.py", "web.css.map"):
        assert client.get(f"/static/0.1.0/{name}").status_code == 404


def test_faults_of_ours_show_no_insides(client, monkeypatch, capsys):
    """The page says that it is ours; the window in which it was started says what."""
    from thawline.web import recordings

    def broken(*_, **__):
        raise ZeroDivisionError("inside")

    monkeypatch.setattr(recordings, "listing", broken)
    with pytest.raises(ZeroDivisionError):
        client.get("/")
    assert "ZeroDivisionError" in capsys.readouterr().err


def test_other_ways_of_asking_are_told(client):
    """A wrong path or a wrong verb gets an answer in words."""
    assert client.get("/nowhere").status_code == 404
    assert client.get("/docs").status_code == client.get("/openapi.json").status_code == 404
    assert client.delete("/", headers={"Origin": "http://127.0.0.1:8737"}).status_code in (405, 413)


def test_a_form_is_bounded(client):
    """Only uploads may be large."""
    headers = {"Origin": "http://127.0.0.1:8737"}
    big = client.post(f"/recordings/{FIRST}/notes", data={"text": "x" * 2_000_000}, headers=headers)
    assert big.status_code == 413

    def pieces():
        yield b"text=x"

    chunked = client.post(f"/recordings/{FIRST}/notes", content=pieces(), headers=headers)
    assert chunked.status_code == 413


def test_data_in_a_page_end_no_element():
    """JSON in a page holds no mark that HTML acts on, and reads back the same."""
    written = str(in_page({HOSTILE: [HOSTILE, "\u2028", 1.5, None]}))
    assert not set("<>&\u2028") & set(written)
    assert json.loads(written) == {HOSTILE: [HOSTILE, "\u2028", 1.5, None]}


def test_every_page_is_in_the_documents(client):
    """docs/pages.md names each address that is served."""
    text = (ROOT / "docs" / "pages.md").read_text("utf-8")

    def paths(router):
        for route in router.routes:
            if hasattr(route, "path"):
                yield route.path
            elif hasattr(route, "original_router"):
                yield from paths(route.original_router)

    app = client.app
    served = set(paths(app.router))
    assert len(served) > 15
    for path in served:
        shown = re.sub(r"\{(\w+)\}", lambda m: {"name": ""}.get(m[1], m[1]), path)
        parts = [part for part in shown.split("/") if part and not part[0].isdigit()]
        assert all(part in text for part in parts), path


def test_the_page_that_documents_keys_names_every_key(client):
    """What the scripts listen for is what the page lists."""
    listed = client.get("/keys").text
    for key in ("?", "/", "a", "c", "l", "n p", "f", "m", "0"):
        assert f"<kbd>{key}</kbd>" in listed
