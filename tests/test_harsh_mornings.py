"""Mornings that go wrong are told and accounted truly, or what cannot be told is said."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from tests.harsh_cars import record
from tests.judging import WITHIN_S, ledger_faults, truth_of
from thawline.recording.gather import gather
from thawline.recording.recording import Recording
from thawline.report.explained import Explained
from thawline.vehicle.read import read_vehicle
from thawline.walk import explain, matched

#: Lanes, whose loss says why a kind is not told.
LANES = {"pack-heating": "pack-heating", "drive": "driving", "charging": "charging"}
LANES |= {
    "cabin": "cabin",
    "plugged": "supply",
    "unplugged": "supply",
    "regeneration": "regeneration",
}
#: So near to a gap, to either side, nothing is judged [s]; so near to an end neither [s].
GAP_S, END_S = 15.0, 30.0
#: A moment is sought so far away, or within three of its stated uncertainties [s].
SOUGHT_S = 400.0


def _in_gap(recording: Recording, t_s: float) -> bool:
    return any(gap.from_s - GAP_S <= t_s <= gap.to_s + GAP_S for gap in recording.gaps)


def judged(explained: Explained, truth: dict) -> Counter[str]:
    """Count turning points that are right, late, missed, false, or said to be not told."""
    recording, tally, used = explained.recording, Counter[str](), set[int]()
    lost = {each.what for each in explained.story.lost}
    told = explained.story.turning_points
    for point in truth["turning_points"]:
        kind, at = point["kind"], point["log_t_s"]
        near = sorted(
            (abs(each.t_s - at), i)
            for i, each in enumerate(told)
            if each.kind == kind and i not in used
        )
        if near and near[0][0] < max(SOUGHT_S, 3.0 * told[near[0][1]].plus_minus_s):
            off, i = near[0]
            used.add(i)
            right = off <= max(WITHIN_S, point["slow_s"], 2.0 * told[i].plus_minus_s)
            tally["right" if right or _in_gap(recording, at) else "late"] += 1
        elif _in_gap(recording, at) or not END_S < at < recording.duration_s - END_S:
            tally["hidden"] += 1
        else:
            lanes = {lane for head, lane in LANES.items() if kind.startswith(head)}
            tally["said" if lost & {kind, *lanes} else "missed"] += 1
    tally["false"] += len(told) - len(used)
    return tally


def walked(seed: int, folder: Path) -> tuple[Counter[str], list[str]]:
    """Walk from a log to the explained morning; count points, list lines that are wrong."""
    files = record(seed, folder)
    vehicle, database = matched(read_vehicle(files.vehicle_file), [files.database])
    explained, truth = explain(gather([files.log], vehicle, database)), truth_of(files.truth_json)
    return judged(explained, truth), ledger_faults(explained, truth, 2.0)


def test_a_harsh_morning(tmp_path):
    """One of them: nothing false, nothing missed in silence, every line holds."""
    tally, lines = walked(898_501, tmp_path)
    assert tally["right"] >= 3
    assert tally["false"] == tally["missed"] == tally["late"] == 0
    assert lines == []


@pytest.mark.slow
def test_forty_harsh_mornings(tmp_path):
    """Of all turning points 97 % are right, hidden or said; at most one in a hundred is false."""
    tally, lines, cars = Counter[str](), [], 0
    for seed in range(898_001, 898_041):
        more, faults = walked(seed, tmp_path / str(seed))
        tally, lines, cars = tally + more, lines + faults, cars + 1
    wrong = tally["late"] + tally["missed"]
    assert wrong <= 0.03 * tally.total(), tally
    assert tally["false"] <= 0.01 * tally.total(), tally
    assert len(lines) <= 0.02 * 14 * cars, lines
