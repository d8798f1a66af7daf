"""The table of capabilities keeps its word: it is held against what the rooms really tell."""

import numpy as np
import pytest

from tests.vehicle.everything import everything, only
from thawline.charge.split import split
from thawline.ledger.account import account
from thawline.recording.flows import make_flows
from thawline.story.tell import tell
from thawline.vehicle.check import check
from thawline.vehicle.vehicle import Charger, Pack

ALL = list(everything().channels)
EVER = {"coolant", "charging", "supply", "pack-heating", "cabin", "regeneration", "driving"}


def told(recording):
    """What the rooms tell: lines with a value, turning points and lanes that occur."""
    flows = make_flows(recording)
    story = tell(recording, flows)
    ledger = account(recording, flows, story)
    charge = split(recording, flows)
    gains = {"shown": charge.shown, "charged": charge.charged, "warmed-back": charge.warmed_back}
    values = {
        **{("electrical", line.line): line.kWh for line in ledger.electrical},
        **{("heat", line.line): line.kWh for line in ledger.heat},
        **{("charge", name): gain.pct for name, gain in gains.items()},
    }
    points = {("turning-point", point.kind) for point in story.turning_points}
    lanes = {("lane", span.lane) for span in story.spans}
    return values, points, lanes


def verdicts(recording):
    result = check(recording.vehicle, None, None)
    return {(each.group, each.name): each.verdict for each in result.capabilities}


def test_with_everything_all_lanes_are_told():
    """The morning has something of each, so that silence means that it cannot be told."""
    values, points, lanes = told(only(ALL))
    assert None not in values.values()
    assert {name for _, name in lanes} == EVER
    assert len(points) == 12


@pytest.mark.parametrize("seed", range(4))
def test_with_some_signals_what_is_told_is_what_was_said(seed):
    """Drawn at random: a line has a value if and only if it was not said to be impossible."""
    rng = np.random.default_rng(seed)
    for _ in range(15):
        count = int(rng.integers(1, len(ALL)))
        paths = [ALL[i] for i in sorted(rng.choice(len(ALL), count, replace=False))]
        parts = {"pack": Pack(72.0, 108, 500.0, 60.0, None, 9.0)} if rng.random() < 0.5 else {}
        if rng.random() < 0.5:
            parts["charger"] = Charger()
        recording = only(paths, **parts)
        said = verdicts(recording)
        values, points, lanes = told(recording)
        for name, value in values.items():
            assert (value is None) == (said[name] == "cannot"), (name, paths)
        for name in points | lanes:
            assert said[name] != "cannot", (name, paths)
        for lane in EVER:
            if said["lane", lane] == "can":
                assert ("lane", lane) in lanes, (lane, paths)
