"""The list: finding, filtering, and mornings at a glance."""

import re

import pytest

from tests.web.conftest import ATTACKED, FIRST, HOSTILE, SECOND, client_of, hostile
from thawline.errors import RequestError
from thawline.library.library import open_library
from thawline.web.recordings import day_of


def shown(client, **query):
    return re.findall(r'data-id="([^"]+)"', client.get("/", params=query).text)


def test_the_latest_comes_first(client):
    """All recordings, the newest on top."""
    assert shown(client) == [SECOND, FIRST]


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ({"text": "20310116"}, [SECOND]),
        ({"text": "GANNET"}, [SECOND, FIRST]),
        ({"text": "nothing"}, []),
        ({"vehicle": "gannet"}, [SECOND, FIRST]),
        ({"vehicle": "Petrel"}, []),
        ({"since": "2031-01-15"}, [SECOND]),
        ({"until": "2031-01-14"}, [FIRST]),
        ({"since": "2031-01-14", "until": "2031-01-16"}, [SECOND, FIRST]),
        ({"page": "99"}, [SECOND, FIRST]),
    ],
)
def test_recordings_are_found_by_words_vehicle_and_day(client, query, found):
    """Days count whole, in UTC; upper and lower case are the same."""
    assert shown(client, **query) == found


def test_a_day_that_is_none_is_told(client):
    """A wrong date gets the right form in the answer."""
    answer = client.get("/", params={"since": "yesterday"})
    assert answer.status_code == 400 and "write it as 2026-01-17" in answer.text.lower()
    with pytest.raises(RequestError):
        day_of("2031-02-30")


def test_a_glance_is_lanes_and_one_sentence(client):
    """A strip with its lanes in words for those who cannot see it, and one sentence."""
    glance = client.get(f"/recordings/{FIRST}/glance", params={"longest_s": 3600}).text
    assert glance.count("<svg") == 1 and 'role="img" aria-label="' in glance
    assert "−12.5 °C in the coldest cell" in glance.replace("\u00a0", " ")
    other = client.get(
        f"/recordings/{FIRST}/glance", params={"longest_s": 3600, "temperature": "degF"}
    )
    assert "9.5 °F in the coldest cell" in other.text.replace("\u00a0", " ")


def test_an_empty_library_says_what_to_do(tmp_path):
    """The first page of all leads to the second."""
    with client_of(open_library(tmp_path)) as client:
        assert "Add a log" in client.get("/").text
        assert client.get("/compare").status_code == client.get("/limits").status_code == 200


def test_hostile_names_are_text_on_every_page(tmp_path):
    """A vehicle, a signal, a recording and a warning that attack the page are only read."""
    from urllib.parse import quote

    with client_of(hostile(tmp_path)) as client:
        name = ATTACKED
        client.post(f"/recordings/{name}/notes", data={"text": HOSTILE},
                    headers={"Origin": "http://127.0.0.1:8737"})  # fmt: skip
        pages = ["/", "/add", "/compare", "/limits", f"/recordings/{name}",
                 f"/?text={quote(HOSTILE)}", f"/compare?a={quote(HOSTILE)}&b=x",
                 f"/limits?vehicle={quote('<img src=x onerror=alert(3)>')}",
                 f"/units/{quote(HOSTILE, safe='')}", f"/recordings/{name}/glance?longest_s=1",
                 f"/keys?x={quote(HOSTILE)}"]  # fmt: skip
        for path in pages:
            text = client.get(path).text
            assert "<script>alert" not in text, path
            assert "<img src=x" not in text, path
        for part in ("charts", "at?t=300"):
            answer = client.get(f"/recordings/{name}/{part}")
            if answer.headers["content-type"].startswith("application/json"):
                html = answer.json().get("html", "")
                assert "<img src=x" not in html and "<script>alert" not in html
        page = client.get(f"/recordings/{name}")
        assert page.status_code == 200 and "&lt;/script&gt;" in page.text
        assert "{{7*7}}" in page.text and "49" not in page.text.split("<h1>")[1][:200]
        labels = client.get(f"/recordings/{name}/charts").json()["html"]
        assert "&lt;img src=x" in labels  # the signal is there, and only read
