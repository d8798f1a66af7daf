"""Capacity by hand-made recordings."""

from __future__ import annotations

import pytest

from tests.charge.proving import build
from tests.ledger.made import BATTERY, recording
from tests.story.simulated import record
from thawline.charge.capacity import capacity, physical, prior_Ah
from thawline.charge.observed import observe
from thawline.recording.flows import make_flows
from thawline.simulator.charger import Supply
from thawline.simulator.events import Wish
from thawline.simulator.run import simulate
from thawline.simulator.scenario import Scenario
from thawline.vehicle.vehicle import Pack, Vehicle


def charged(amps: float, gain_pct: float):
    made = recording(
        {
            BATTERY + "CurrentCurrent": amps,
            BATTERY + "CurrentVoltage": 350.0,
            BATTERY + "StateOfCharge.Current": lambda t: 40.0 + gain_pct * t / t[-1],
        }
    )
    return observe(made, make_flows(made)), physical(made)


def test_closed_form():
    """50 A for an hour that move 25 % are 200 Ah."""
    seen, estimator = charged(50.0, 25.0)
    found = capacity([seen], [estimator], None)
    assert found.Ah == pytest.approx(200.0, rel=5e-3)
    assert found.recordings == 1 and found.moved_pct == pytest.approx(25.0)
    assert 0.005 < found.plus_minus_Ah / found.Ah < 0.03


def test_nineteen_per_cent_are_not_enough():
    """Below 20 % the answer is that it cannot be told."""
    seen, estimator = charged(50.0, 19.0)
    found = capacity([seen], [estimator], None)
    assert found.Ah is None and "the most was 19.0 %" in found.note


def test_without_a_physical_charge():
    """A count alone is no capacity."""
    seen, _ = charged(50.0, 25.0)
    assert "needs the pack's current" in capacity([seen], [None], None).note


def test_two_that_disagree_are_less_certain():
    """180 and 220 Ah give their middle, with an uncertainty that holds both."""
    pairs = [charged(45.0, 25.0), charged(55.0, 25.0)]
    found = capacity([one for one, _ in pairs], [one for _, one in pairs], None)
    assert found.Ah == pytest.approx(200.0, rel=0.02)
    assert found.plus_minus_Ah > 10.0


def test_prior_by_the_vehicle_file():
    """72 kWh over 108 cells of 3.2 V are 208 Ah; without chemistry it is less sure."""
    known = prior_Ah(Vehicle("Gannet", Pack(72.0, 108, chemistry="LFP")), 350.0)
    assert known[0] == pytest.approx(72e3 / (108 * 3.2))
    assert known[1] / known[0] == pytest.approx(0.04)
    bare = prior_Ah(Vehicle("Gannet", Pack(72.0)), 350.0)
    assert bare[0] == pytest.approx(72e3 / 350.0) and bare[1] / bare[0] == pytest.approx(0.08)


def test_a_long_charging_morning_tells_the_true_capacity():
    """A simulated charge over 20 % and more: within 2 % of the truth, and of its own doubt."""
    scenario = Scenario(
        "long",
        "2031-01-20T06:00:00Z",
        2400.0,
        13.0,
        14.0,
        25.0,
        plugged_s=((30.0, 2380.0),),
        supply=Supply(400.0, 150.0, is_direct=True),
        wishes=(Wish("charging", 80.0, 2380.0),),
        seed=61,
    )
    kept = record(simulate(build(), scenario), 170)
    found = capacity([observe(kept, make_flows(kept))], [physical(kept)], None)
    true_Ah = build().pack.capacity_C / 3600.0
    assert found.moved_pct > 20.0
    assert found.Ah == pytest.approx(true_Ah, rel=0.02)
    assert abs(found.Ah - true_Ah) < 2.0 * found.plus_minus_Ah
