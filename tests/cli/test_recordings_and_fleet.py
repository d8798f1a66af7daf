"""`recordings` with filters and trends, and `fleet`, as a person runs them."""

from __future__ import annotations

import pytest

from tests.cli.running import document, thawline
from tests.fleet.made import damage, fleet


@pytest.fixture(scope="module")
def library(tmp_path_factory):
    made = fleet(tmp_path_factory.mktemp("cli") / "library", 1, 5)
    damage(made, "petrel-0-03")
    return made.folder


def ids(*words, library):
    return [one["id"] for one in document("recordings", *words, library=library)["recordings"]]


def test_a_plain_list_looks_at_nothing(library):
    """Without filters by figures the list is at once, and says what it does not know."""
    found = document("recordings", library=library)["recordings"]
    assert len(found) == 5
    assert all(one["findings"] is None for one in found if not one["looked_at"])


def test_filters_leave_what_they_say(library):
    """By findings, weather and supply; a damaged recording is told and left out."""
    assert ids("--finding", "low-voltage-trouble", library=library) == ["petrel-0-04"]
    done = thawline("recordings", "--with-findings", library=library)
    assert "petrel-0-04" in done.stdout and "low-voltage-trouble" in done.stdout
    assert "petrel-0-03 is left out" in done.stderr
    everything = document("recordings", "--sort", "outside", "--reverse", library=library)
    told = [one["outside_degC"] for one in everything["recordings"] if one["looked_at"]]
    assert len(everything["recordings"]) == 5 and told == sorted(told, reverse=True)
    assert ids("--outside-from", "60", library=library) == []
    assert len(ids("--outside-from", "-60", "--outside-to", "60", library=library)) == 4


def test_an_unknown_finding_names_the_nearest(library):
    """The cure is in the message, and the exit code says whose fault it is."""
    done = thawline("recordings", "--finding", "low-voltage", library=library)
    assert done.returncode == 2 and "low-voltage-trouble" in done.stderr


def test_trends_are_told_and_drawn(library, tmp_path):
    """One document on standard output, and a page that says the same."""
    page = tmp_path / "trends.html"
    told = document("recordings", "--trends", "Petrel 0", "--html", page, library=library)
    assert told["vehicle"] == "Petrel 0" and told["mornings"] == 4
    assert all(one["sentence"] for one in told["trends"])
    assert told["trends"][0]["sentence"].split(":")[0] in page.read_text("utf-8")
    wrong = thawline("recordings", "--trends", "Petral 0", library=library)
    assert wrong.returncode == 2 and "Petrel 0" in wrong.stderr


def test_a_fleet_is_studied_and_goes_on(library, tmp_path):
    """Tables, page and document; the second time only what failed is done again."""
    words = ("fleet", library, "--out", tmp_path / "out", "--workers", "0", "--no-warm-ups",
             "--html", tmp_path / "fleet.html")  # fmt: skip
    told = document(*words)
    assert told["recordings"] == 5 and told["studied"] == 4
    assert [one["name"] for one in told["errors"]] == ["petrel-0-03"]
    assert "low-voltage-trouble" in [one["kind"] for one in told["findings"]]
    assert (tmp_path / "out" / "recordings.parquet").exists()
    assert "petrel-0-03" in (tmp_path / "fleet.html").read_text("utf-8")
    assert document(*words)["computed"] == 0


def test_requests_that_cannot_be(tmp_path):
    """No library there, or nothing in it: said in words."""
    nowhere = thawline("fleet", tmp_path / "nowhere", "--out", tmp_path / "out")
    assert nowhere.returncode == 2 and "there is no library" in nowhere.stderr
    (tmp_path / "empty").mkdir()
    empty = thawline("fleet", tmp_path / "empty", "--out", tmp_path / "out", "--workers", "0")
    assert empty.returncode == 2 and "is empty" in empty.stderr
