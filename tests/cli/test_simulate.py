"""`thawline simulate`, as a person types it."""

from __future__ import annotations

import pytest

from tests.cli.running import document, thawline


def test_a_simulated_log_is_run_again_colder(tmp_path):
    """A car's log is written, kept, and run again on its model; the page stands by itself."""
    files = document("simulate", "--build", "gannet", "--out", tmp_path / "logs")
    library = tmp_path / "library"
    options = ("--database", files["database"], "--vehicle", files["vehicle_file"])
    added = document("add", files["log"], *options, library=library)
    name = added["recordings"][0]["id"]
    page = tmp_path / "page.html"
    told = document("simulate", name, "--colder", "4", "--html", page, library=library)
    before, after = (
        next(p for p in told[side]["turning_points"] if p["kind"] == "coldest-cell-thaws")
        for side in ("before", "after")
    )
    assert before["p50_s"] < after["p50_s"]
    assert (
        told["before"]["energy_kWh"]["pack-heating"] < told["after"]["energy_kWh"]["pack-heating"]
    )
    text = page.read_text(encoding="utf-8").replace("\N{NO-BREAK SPACE}", " ")
    assert "4 K colder" in text.replace("\N{NARROW NO-BREAK SPACE}", " ")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "give a recording"),
        (("--build", "ganet"), "gannet"),
        (("--build", "gannet", "--fault", "weak-pmp"), "weak-pump"),
        (("--build", "gannet", "--drive-units", "3"), "drive units"),
        (("some-recording", "--wind", "2"), "--build"),
    ],
)
def test_what_cannot_be_is_refused(words, said, tmp_path):
    """With exit code 2 and the cure."""
    done = thawline("simulate", *words, library=tmp_path)
    assert done.returncode == 2
    assert said in done.stderr
