"""The live page: a log played at speed, its countdown, a note, and what it became."""

import subprocess
import sys
import time

import numpy as np
import pytest

from tests.recording.making import lines, write
from tests.web.conftest import HOSTILE, OURS, client_of
from thawline.forecast.forecast import Fan, Forecast, PointAhead
from thawline.library.library import open_library
from thawline.library.notes import notes
from thawline.live.running import recording_of, running
from thawline.report.moments import Moments
from thawline.web.live import waits_of


def ahead(kind, p10, p50, p90, never=0.0, is_past=False):
    return PointAhead(kind, p10, p50, p90, never, None, is_past, "", np.empty(0))


def test_the_countdown_goes_by_the_clock_not_by_the_forecast():
    """Minutes left are those from now; what is due is any moment; the past is not waited for."""
    points = (
        ahead("charging-begins", 500.0, 700.0, None, never=0.2),
        ahead("coldest-cell-thaws", 300.0, 350.0, 400.0),
        ahead("plugged-in", 1.0, 1.0, 1.0, is_past=True),
    )
    fan = Fan(*(np.empty(0) for _ in range(4)))
    found = Forecast("x", 200.0, 9000.0, "", points, fan, ())
    first, second = waits_of(found, 400.0, Moments(1_768_630_320.0, 0.0, True))
    assert (first.left, first.band, first.never) == ("5 min", "1 min 40 s to later", "20%")
    assert first.clock == "06:23" and first.title == "Charging begins"
    assert second.left == "any moment" and second.never == ""


@pytest.fixture
def played(tmp_path):
    """A minute and a half of a car, played at thirty times its speed."""
    log, database, vehicle = write(tmp_path, lines(240.0))
    library = open_library(tmp_path / "library")
    words = ["watch", "--play", log, "--database", database, "--vehicle", vehicle, "--speed", "24",
             "--library", library.folder, "--json"]  # fmt: skip
    program = subprocess.Popen(
        [sys.executable, "-c", "from thawline.cli.app import main; main()", *map(str, words)],
        stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    yield library
    program.kill()
    program.wait()
    program.stdin.close()


def until(asked, wanted, seconds=40.0):
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        found = asked()
        if wanted(found):
            return found
        time.sleep(0.2)
    raise AssertionError(found)


def test_a_growing_recording_has_its_pages(played):
    """It is listed, told each second, noted on, shown as a recording, and becomes one."""
    (session,) = until(lambda: running(played), bool)
    with client_of(played) as client:
        assert f"/live/{session.id}" in client.get("/live").text
        page = client.get(f"/live/{session.id}")
        assert page.status_code == 200 and "Whoever drives does not read a screen" in page.text
        told = until(lambda: client.get(f"/live/{session.id}/now").json(), lambda d: d.get("html"))
        assert "listening" in told["beat"] and "The whole page" in told["so_far"]
        later = until(
            lambda: client.get(f"/live/{session.id}/now").json(),
            lambda d: d.get("became") or d.get("t_s", 0) > told["t_s"],
        )
        assert "problem" not in later or later["problem"] == ""
        sent = client.post(f"/live/{session.id}/notes", data={"text": HOSTILE}, headers=OURS)
        assert sent.status_code == 303
        assert client.post(f"/live/{session.id}/notes", data={"text": HOSTILE}).status_code == 403
        empty = client.post(f"/live/{session.id}/notes", data={"text": " "}, headers=OURS)
        assert empty.status_code == 400
        whole = client.get(f"/recordings/{session.id}")
        assert whole.status_code == 200 and "still grows" in whole.text
        for part in ("at?t=5", "charts"):
            assert client.get(f"/recordings/{session.id}/{part}").status_code == 200
        noted = until(
            lambda: client.get(f"/live/{session.id}/now").json(),
            lambda d: d.get("became") or "&lt;/script&gt;" in d.get("so_far", ""),
        )
        assert "<script>alert" not in noted.get("so_far", "")
        name = until(lambda: recording_of(played, session.id), bool, 60.0)
        assert client.get(f"/live/{session.id}").headers["location"] == f"/recordings/{name}"
        assert client.get(f"/recordings/{session.id}").headers["location"].endswith(name)
        assert [note.text for note in notes(played, name)] == [HOSTILE]


def test_a_session_that_does_not_run_is_told(client):
    """An old address of a live page leads nowhere, in words."""
    assert client.get("/live/gannet-20200101").status_code in (400, 404)
    assert "Nothing is listening now" in client.get("/live").text
