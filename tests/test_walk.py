"""The whole walk on real files: demo mornings, three formats, and cars nobody has seen."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from tests.judging import ledger_faults, truth_of, turning_faults
from tests.strange_cars import record
from thawline.errors import InputError
from thawline.library.library import open_library
from thawline.simulator.demo import mornings, vehicle
from thawline.simulator.run import simulate
from thawline.simulator.write import write, write_mdf, write_table
from thawline.walk import add, explain_kept

MORNINGS = [(f"{number}-{name}", number) for number, (name, _) in enumerate(mornings())]


def simulated(number: int):
    name, scenario = list(mornings())[number]
    build, layout = vehicle(name)
    return simulate(build, scenario), layout


@pytest.mark.parametrize(("label", "number"), MORNINGS, ids=[label for label, _ in MORNINGS])
def test_demo_mornings_are_told_and_accounted_truly(label, number, tmp_path):
    """No turning point is missing, false or late; every line holds; unaccounted in its bound."""
    morning, layout = simulated(number)
    files = write(morning, layout, tmp_path)
    library = open_library(tmp_path / "library")
    added = add([files.log], [files.database], files.vehicle_file, library)
    explained = explain_kept(library, added.recording.id)
    truth = truth_of(files.truth_json)
    assert turning_faults(explained, truth) == []
    assert ledger_faults(explained, truth, sigmas=2.0) == []
    warmed = explained.charge.warmed_back
    true = truth["charge"]["warmed_back_pct"]
    assert abs(warmed.pct - true) <= 2.0 * warmed.plus_minus_pct


@pytest.mark.parametrize("form", ["mdf", "table"])
def test_other_formats_tell_the_same_story(form, tmp_path):
    """An MDF 4 bus log and a table of one row a second hold the same turning points."""
    morning, layout = simulated(0)
    library = open_library(tmp_path / "library")
    if form == "mdf":
        files = write_mdf(morning, layout, tmp_path)
        added = add([files.log], [files.database], files.vehicle_file, library)
    else:
        files = write_table(morning, layout, tmp_path, separator=";")
        added = add([files.table], [], files.vehicle_file, library)
    explained = explain_kept(library, added.recording.id)
    assert turning_faults(explained, truth_of(files.truth_json)) == []


def judged(seed: int, folder: Path) -> tuple[list[str], list[str], int]:
    """Explain a strange car's morning; return faults of story and ledger, and points."""
    files = record(seed, folder)
    library = open_library(folder / "library")
    added = add([files.log], [files.database], files.vehicle_file, library)
    explained = explain_kept(library, added.recording.id)
    truth = truth_of(files.truth_json)
    points = len(truth["turning_points"])
    return turning_faults(explained, truth), ledger_faults(explained, truth, 2.0), points


@pytest.mark.parametrize("seed", [9001, 9002, 9003])
def test_strange_cars_are_explained_without_a_word_of_help(seed, tmp_path):
    """Other names, signs, byte orders, sizes: measured lines hold, no input is refused."""
    story, ledger, points = judged(seed, tmp_path)
    assert len(story) <= max(1, points // 3), story
    assert len(ledger) <= 1, ledger


@pytest.mark.slow
def test_a_campaign_of_strange_cars(tmp_path, capsys):
    """Sixty cars: nine in ten of all turning points, and nineteen in twenty lines, hold."""
    tally: Counter[str] = Counter()
    for seed in range(9100, 9160):
        try:
            story, ledger, points = judged(seed, tmp_path / str(seed))
        except InputError as error:
            pytest.fail(f"seed {seed} was refused: {error}")
        tally.update(points=points, story=len(story), ledger=len(ledger), cars=1)
        with capsys.disabled():
            print(seed, story, ledger)
    assert tally["story"] <= 0.1 * tally["points"], tally
    assert tally["ledger"] <= 0.05 * 15 * tally["cars"], tally
