"""`recordings` with filters and trends, and `fleet`, as a person runs them."""

from __future__ import annotations

import json

import pytest

from tests.cli.running import document, thawline
from tests.fleet.clusters import cluster, within
from tests.fleet.made import damage, fleet
from thawline.cli.app import main


@pytest.fixture(scope="module")
def library(tmp_path_factory):
    made = fleet(tmp_path_factory.mktemp("cli") / "library", 1, 5)
    damage(made, "petrel-0-03")
    return made.folder


@pytest.fixture
def ask(monkeypatch, capsys, library):
    """Run a command in this process: exit code, standard output and standard error."""

    def run(*words):
        monkeypatch.setenv("THAWLINE_LIBRARY", str(library))
        monkeypatch.setattr("sys.argv", ["thawline", *map(str, words)])
        with pytest.raises(SystemExit) as left:
            main()
        told = capsys.readouterr()
        return left.value.code or 0, told.out, told.err

    return run


def ids(ask, *words):
    return [one["id"] for one in json.loads(ask("recordings", *words, "--json")[1])["recordings"]]


def test_a_plain_list_looks_at_nothing(library):
    """Without filters by figures the list is at once, and says what it does not know."""
    found = document("recordings", library=library)["recordings"]
    assert len(found) == 5
    assert all(one["findings"] is None for one in found if not one["looked_at"])


def test_filters_leave_what_they_say(ask):
    """By findings, weather and supply; a damaged recording is told and left out."""
    assert ids(ask, "--finding", "low-voltage-trouble") == ["petrel-0-04"]
    _, out, err = ask("recordings", "--with-findings")
    assert "petrel-0-04" in out and "low-voltage-trouble" in out
    assert "petrel-0-03 is left out" in err
    everything = json.loads(ask("recordings", "--sort", "outside", "--reverse", "--json")[1])
    told = [one["outside_degC"] for one in everything["recordings"] if one["looked_at"]]
    assert len(everything["recordings"]) == 5 and told == sorted(told, reverse=True)
    assert ids(ask, "--outside-from", "60") == []
    assert len(ids(ask, "--outside-from", "-60", "--outside-to", "60")) == 4


def test_an_unknown_finding_names_the_nearest(ask):
    """The cure is in the message, and the exit code says whose fault it is."""
    code, _, err = ask("recordings", "--finding", "low-voltage")
    assert code == 2 and "low-voltage-trouble" in err


def test_trends_are_told_and_drawn(ask, tmp_path):
    """One document on standard output, and a page that says the same."""
    page = tmp_path / "trends.html"
    code, out, _ = ask("recordings", "--trends", "Petrel 0", "--html", page, "--json")
    told = json.loads(out)
    assert code == 0 and told["vehicle"] == "Petrel 0" and told["mornings"] == 4
    assert all(one["sentence"] for one in told["trends"])
    assert told["trends"][0]["sentence"].split(":")[0] in page.read_text("utf-8")
    code, _, err = ask("recordings", "--trends", "Petral 0")
    assert code == 2 and "Petrel 0" in err


def test_a_fleet_is_studied_and_goes_on(library, ask, tmp_path):
    """Tables, page and document; the second time only what failed is done again."""
    words = ("fleet", library, "--out", tmp_path / "out", "--workers", "0",
             "--html", tmp_path / "fleet.html", "--json")  # fmt: skip
    done = thawline(*words)
    told = json.loads(done.stdout)
    assert told["recordings"] == 5 and told["studied"] == 4
    assert [one["name"] for one in told["errors"]] == ["petrel-0-03"]
    assert "low-voltage-trouble" in [one["kind"] for one in told["findings"]]
    assert (tmp_path / "out" / "recordings.parquet").exists()
    assert "petrel-0-03" in (tmp_path / "fleet.html").read_text("utf-8")
    stages = [line.split(":")[0].removesuffix(" …") for line in done.stderr.splitlines()]
    stages = list(dict.fromkeys(stages))[:5]
    assert stages == ["study", "limits", "trends", "priors", "tables"]
    assert json.loads(ask(*words)[1])["computed"] == 0


def test_a_fleet_is_studied_on_a_scheduler(library, ask, tmp_path):
    """Two workers that somebody else started give the document of a single process."""
    pytest.importorskip("distributed")
    alone = json.loads(ask("fleet", library, "--out", tmp_path / "one", "--workers", "0",
                           "--no-warm-ups", "--json")[1])  # fmt: skip
    with within(120.0), cluster(tmp_path, 2) as (address, _):
        told = json.loads(ask("fleet", library, "--out", tmp_path / "two", "--scheduler", address,
                              "--no-warm-ups", "--json")[1])  # fmt: skip
    assert {**told, "files": None} == {**alone, "files": None}
    assert told["studied"] == 4
    code, _, err = ask("fleet", library, "--scheduler", address, "--workers", "2")
    assert code == 2 and "brings its own workers" in err


def test_requests_that_cannot_be(ask, tmp_path):
    """No library there, or nothing in it: said in words."""
    code, _, err = ask("fleet", tmp_path / "nowhere", "--out", tmp_path / "out")
    assert code == 2 and "there is no library" in err
    (tmp_path / "empty").mkdir()
    code, _, err = ask("fleet", tmp_path / "empty", "--out", tmp_path / "out", "--workers", "0")
    assert code == 2 and "is empty" in err
