"""Members whose heat does not reach the pack."""

from dataclasses import fields
from types import SimpleNamespace

import numpy as np
import pytest

from tests.forecast.test_look_ahead import thaw
from tests.warmup.proving_car import BATTERY, Build, Morning, record
from thawline.forecast.collapse import Collapse
from thawline.forecast.habits import Habits
from thawline.forecast.members import Members
from thawline.forecast.standing import habits_standing, said_of, with_standing
from thawline.warmup.structure import Structure

SETS, PATHS = 64, 4
HOT = Structure(("hot", "front", "middle", "back"), ("coldest",))
ONE = Structure(("bulk", "coldest"), ("coldest",))


def collapse(chance: float, structure: Structure) -> Collapse:
    """Two candidates, the second three times as likely; in it every state stands a kelvin apart."""
    n = len(structure.states)
    mean = np.stack([np.full(n, -20.0), -5.0 - np.arange(n)])
    return Collapse(
        chance,
        915.0,
        np.array([3, 5]),
        np.array([0.25, 0.75]),
        mean,
        1e-8 * np.tile(np.eye(n), (2, 1, 1)),
    )


def members(structure: Structure) -> Members:
    n = len(structure.states)
    kept = SimpleNamespace(z=np.arange(65.0)[:, None])
    return Members(
        np.full((SETS, 1), -1.0), np.zeros((SETS, n, PATHS)), 40.0, False, kept, np.zeros(65)
    )  # type: ignore[arg-type] # only the sets are looked at


@pytest.mark.parametrize("structure", [HOT, ONE], ids=["hot", "one lump"])
@pytest.mark.parametrize("chance", [0.0, 0.3, 1.0])
def test_as_many_stand_as_is_likely_and_as_candidates_say(chance, structure):
    """Their number, their sets and their states; the others are left as they were."""
    found, stands = with_standing(
        members(structure), collapse(chance, structure), structure, np.random.default_rng(2)
    )
    assert abs(stands.sum() - chance * SETS) <= 1
    assert np.all(found.z[~stands] == -1.0) and np.all(found.states[~stands] == 0.0)
    assert set(found.z[stands].ravel()) <= {3.0, 5.0}
    if stands.any():
        assert np.mean(found.z[stands] == 5.0) == pytest.approx(0.75, abs=0.1)
        likely = found.states[stands][found.z[stands].ravel() == 5.0]
        lumps = [structure.states.index(lump) for lump in structure.lumps]
        wanted = [-5.0 - i for i in lumps] if structure is HOT else [-6.0, -6.0]
        assert np.allclose(likely[:, lumps], np.array(wanted)[:, None], atol=1e-2)


def test_their_pumps_stand_and_one_in_five_runs_again():
    """The chance of a pump that recovers; the pumps of the others run."""
    stands = np.arange(20_000) % 2 == 0
    habits = habits_of(np.full((20_000, 1), 900.0))
    found = habits_standing(habits, stands, 900.0, np.random.default_rng(3)).pump_from_s
    assert np.all(found[~stands] == 900.0)
    assert np.mean(np.isfinite(found[stands])) == pytest.approx(0.2, abs=0.02)
    assert np.all(found[stands] > 900.0)


def habits_of(pump: np.ndarray):
    """Habits of which only the pump is looked at."""
    return Habits(**{f.name: pump if f.name == "pump_from_s" else None for f in fields(Habits)})


@pytest.mark.parametrize(
    ("chance", "said"),
    [(0.04, ""), (0.4, "With a chance of 40% heat no longer"), (0.97, "Heat no longer reaches")],
)
def test_it_is_said_as_surely_as_it_is(chance, said):
    """Nothing where it is unlikely; since when where it is not."""
    told = " ".join(said_of(collapse(chance, ONE)))
    assert told.startswith(said)
    assert ("since about 915 s" in told) == bool(said)
    assert said_of(None) == ()


@pytest.mark.parametrize("missing", [(), ("Coolant.Flow",), ("Coolant.Flow", "Temperature.Min")])
def test_a_pump_that_fails_moves_the_forecast_within_three_minutes(missing):
    """Whether the flow is recorded or not, the thaw moves out by minutes."""
    left = tuple(BATTERY + path if path.startswith("Temp") else path for path in missing)
    recording, _ = record(Build(), Morning(duration_s=1300.0, pump_fails_s=900.0, leave_out=left))
    before, after = thaw(recording, 895.0), thaw(recording, 1080.0)
    assert after.p50_s is None or after.p50_s > before.p50_s + 150.0


@pytest.mark.parametrize(("step_K", "within_s"), [(0.1, 180.0), (0.5, 180.0), (1.0, 240.0)])
def test_a_coldest_cell_alone_tells_of_a_pump_that_fails(step_K, within_s):
    """Nothing else recorded: within three minutes; in whole degrees once an edge is overdue.

    The cell gains 1 K in 150 s, so the next edge is due then at the latest.
    """
    left = ("Coolant", "Rear.Temp", "Front.Temp", "Average", "Exterior")
    steps = {"Temperature.Min": step_K}
    morning = Morning(duration_s=1300.0, pump_fails_s=900.0, leave_out=left, steps=steps)
    recording, _ = record(Build(), morning)
    before, after = thaw(recording, 895.0), thaw(recording, 900.0 + within_s)
    assert after.p50_s is None or after.p50_s > before.p50_s + 150.0
