"""Own charging on the map."""

from __future__ import annotations

import numpy as np
import pytest

from tests.ledger.made import BATTERY, recording
from thawline.charge.observed import observe
from thawline.plating.own import kept_distance
from thawline.plating.plating import PlatingMap
from thawline.plating.rules import rules
from thawline.recording.flows import make_flows

DEGC, PCT = np.array([-10.0, 20.0]), np.array([10.0, 90.0])
#: 0.2 C at −10 °C, 0.8 C at 20 °C, whatever the charge.
MAP = PlatingMap("set", "paper", "model", "1", 600.0, DEGC, PCT, np.array([[0.2, 0.2], [0.8, 0.8]]))


def seen(amps: float, more=None):
    made = recording(
        {
            BATTERY + "CurrentCurrent": amps,
            BATTERY + "CurrentVoltage": 350.0,
            BATTERY + "Temperature.Min": lambda t: 5.0 * t / t[-1],
            BATTERY + "StateOfCharge.Current": lambda t: 50.0 + t / t[-1],
            **(more or {}),
        }
    )
    return observe(made, make_flows(made))


def test_distance_in_closed_form():
    """20 A into 200 Ah are 0.1 C; at 0 °C the map has 0.4 C, where it comes nearest."""
    kept = kept_distance(MAP, seen(20.0), 200.0)
    assert kept.rate_per_h == pytest.approx(np.full(len(kept.t), 0.1))
    assert kept.limit_per_h[0] == pytest.approx(0.4, abs=0.01)
    assert kept.nearest == 0
    assert "25 % of it, 0.30 C below" in kept.sentence


def test_above_the_map_is_told_calmly():
    """A charge above a textbook cell's line says how unlike the cells are."""
    kept = kept_distance(MAP, seen(120.0), 200.0)
    assert "0.20 C above it" in kept.sentence and "not that lithium plated" in kept.sentence


def test_driving_does_not_count_as_charging():
    """Pulses of regeneration are drawn, but are not ten minutes of charging."""
    kept = kept_distance(MAP, seen(20.0, {"Speed": 50.0}), 200.0)
    assert np.all(kept.regenerates) and kept.nearest is None
    assert "does not charge" in kept.sentence


def test_nothing_recorded():
    """Without a temperature there is no distance."""
    made = recording({BATTERY + "CurrentCurrent": 20.0})
    assert kept_distance(MAP, observe(made, make_flows(made)), 200.0) is None


def test_outside_the_map_nothing_is_told():
    """Beyond its temperatures the map has no value."""
    assert np.isnan(MAP.at(np.array([30.0]), np.array([50.0]))[0])


def test_rules_as_published():
    """JEITA-type: nothing below 0 °C, 0.5 C to 10 °C; a data sheet: 0.2 C to 15 °C, then 0.5 C
    (guideline as quoted, title from memory; data sheet as read)."""
    steps = {(step.rule, step.from_degC): step.rate_per_h for step in rules()}
    assert steps["JEITA-type rule", -20.0] == 0.0 and steps["JEITA-type rule", 0.0] == 0.5
    assert steps["cell data sheet", 0.0] == 0.2 and steps["cell data sheet", 15.0] == 0.5
    assert all(step.source for step in rules())
