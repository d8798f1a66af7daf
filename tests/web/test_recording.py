"""The page of a recording: its parts, its notes, its report; other units."""

import re

import pytest

from tests.web.conftest import FIRST, OURS, SECOND, client_of, filled
from thawline.library.notes import notes


def text_of(html):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html)).replace("\u00a0", " ")


def test_the_story_comes_first(client):
    """Sentences, time line, moment, chronicle, charts, accounts, notes: in that order."""
    page = client.get(f"/recordings/{FIRST}").text
    order = ['class="lead"', 'id="timeline"', 'class="moment"', 'id="chronicle"', 'id="charts"',
             'id="ledgers"', 'id="charge"', 'id="not-told"', 'id="log"', 'id="notes"',
             'id="cautions"']  # fmt: skip
    places = [page.index(part) for part in order]
    assert places == sorted(places)
    assert "Gannet stood with the coldest cell at −12.5 °C" in text_of(page)


def test_the_beginning_of_a_name_leads_to_the_whole(client):
    """An address that a person typed ends at the recording's own."""
    led = client.get("/recordings/gannet-20310116")
    assert led.headers["location"] == f"/recordings/{SECOND}"


@pytest.mark.parametrize("name", ["petrel", "%2e%2e", "..%2F..%2Fetc%2Fpasswd", "%00", "a" * 3000])
def test_what_is_not_kept_is_not_there(client, name):
    """No path leads out of the library; a wrong name is told with near ones."""
    for part in ("", "/at?t=1", "/charts", "/report", "/samples?path=x&from=0&to=1"):
        answer = client.get(f"/recordings/{name}{part}")
        assert answer.status_code in (400, 404), (name, part)
        assert "root:" not in answer.text


def test_other_units_reach_sentences_tables_and_pictures(client):
    """°F and MJ by cookie or by address, everywhere."""
    client.get("/units?temperature=degF&energy=MJ&back=/")
    try:
        page = text_of(client.get(f"/recordings/{FIRST}").text)
        assert "coldest cell at 9.5 °F" in page
        assert "Electrical account, in MJ" in page
        body = page.split("Cautions")[0]
        assert not re.search(r"\d\s°C", body) and not re.search(r"\d\s*kWh", body)
        assert "°C" in text_of(client.get(f"/recordings/{FIRST}?temperature=degC").text)
        charts = client.get(f"/recordings/{FIRST}/charts").json()["html"]
        assert "°F" in charts and not re.search(r"\d\s°C", text_of(charts))
    finally:
        client.cookies.clear()


def test_a_note_is_written_and_shown_as_it_was_said(tmp_path):
    """Its words are not converted, not interpreted, and stand at their moment."""
    library = filled(tmp_path)
    with client_of(library) as client:
        words = "<b>−5 °C</b> on the porch, 3 kWh left"
        led = client.post(
            f"/recordings/{FIRST}/notes", data={"text": words, "at": "120.5"}, headers=OURS
        )
        assert led.headers["location"] == f"/recordings/{FIRST}#notes"
        assert [(note.at_s, note.text) for note in notes(library, FIRST)] == [(120.5, words)]
        page = client.get(f"/recordings/{FIRST}?temperature=degF&energy=MJ").text
        assert page.count("&lt;b&gt;−5 °C&lt;/b&gt; on the porch, 3 kWh left") == 2


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ({"text": " "}, "a note must say something"),
        ({"text": "x", "at": "later"}, "is no number"),
        ({"text": "x", "at": "1e9"}, "must be in the recording"),
        ({"text": "x", "at": "nan"}, "must be in the recording"),
        ({"text": "x" * 5000}, "characters"),
    ],
)
def test_a_note_that_cannot_be_is_told_and_not_lost(client, library, sent, words):
    """The page comes back with the reason and with what was typed."""
    answer = client.post(f"/recordings/{FIRST}/notes", data=sent, headers=OURS)
    assert answer.status_code == 400 and words in answer.text
    assert sent["text"].strip()[:50] in answer.text
    assert notes(library, FIRST) == []


def test_the_report_is_a_file_of_its_own(client):
    """It is handed over as a file, so that its scripts never run under the pages' name."""
    answer = client.get(f"/recordings/{FIRST}/report")
    assert answer.headers["content-disposition"].startswith("attachment; filename*=UTF-8''")
    assert "works without a network" in answer.text


def test_printing_leaves_the_controls_out(client):
    """The print style hides what only a screen needs."""
    style = client.get("/static/0.1.0/web.css").text
    printed = style[style.index("@media print") :]
    assert all(part in printed for part in (".moment", ".door", ".note"))
