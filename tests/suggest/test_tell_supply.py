from dataclasses import replace

import numpy as np
import pytest

from tests.suggest import morning
from tests.suggest.looked import anchors, named, readings
from thawline.suggest.kinds import Reading
from thawline.suggest.places import (
    LOSS,
    OFFERED,
    OUTPUT,
    PILOT,
    SUPPLY_ENERGY,
    supply_current,
    supply_voltage,
)
from thawline.suggest.tell_supply import tell_supply

SEGMENT = np.zeros(morning.SECONDS, dtype=np.int64)
PLUGGED = np.arange(morning.SECONDS) >= morning.PLUGGED_AT


def told(**more):
    made = {**readings(), **{kind: [*readings()[kind], one] for kind, one in more.items()}}
    return list(tell_supply(anchors(), made, SEGMENT))


def test_phases_and_output_are_told():
    """One phase, and what the charger makes of it."""
    best = {path: max(by, key=by.get) for path, by in named(told()).items()}
    assert best[supply_voltage(1)] == "supply_volts"
    assert best[supply_current(1)] == "supply_amps"
    assert best[OUTPUT] == "output"


def test_supply_less_output_is_the_loss():
    """8 % of the supply's power."""
    lost = anchors().supply.power_kW - morning.rounded("output")
    votes = told(power=Reading("L", "power", "W", lost, 0.001, True, 90))
    assert ("L", True) in {(v.key, v.weight > 3.0) for v in votes if v.path == LOSS}


def test_an_offer_is_never_passed():
    """32 A offered, up to 30 A drawn; 16 A could not be the offer."""
    top = float(np.nanmax(morning.rounded("supply_amps")))
    assert 28.0 < top < 32.0
    offer = np.where(PLUGGED, 32.0, 0.0)
    votes = told(current=Reading("O", "current", "A", offer, 1.0, True, 90))
    assert [v.key for v in votes if v.path == OFFERED] == ["O"]
    votes = told(current=Reading("O", "current", "A", offer / 2.0, 1.0, True, 90))
    assert [v.key for v in votes if v.path == OFFERED] == []


@pytest.mark.parametrize(("duty", "is_pilot"), [(53.33, True), (26.67, False), (90.0, False)])
def test_a_pilots_duty_cycle_stands_to_the_current_as_the_standard_has_it(duty, is_pilot):
    """IEC 61851-1 Annex A: 53.33 % stand for 32 A, 26.67 % for 16 A (as quoted there)."""
    share = np.where(PLUGGED, duty, 0.0)
    votes = told(share=Reading("D", "share", "%", share, 0.5, True, 90))
    assert bool([v for v in votes if v.path == PILOT and v.key == "D"]) is is_pilot


def test_a_count_of_the_supplys_energy():
    """It equals the integral of the supply's power, whatever it began with."""
    counted = 1234.0 + np.cumsum(anchors().supply.power_kW) / 3600.0
    energy = Reading("E", "energy", "kWh", np.round(counted, 1), 0.1, True, 90)
    votes = told(energy=energy)
    assert {v.key for v in votes if v.path == SUPPLY_ENERGY} == {"E"}
    slow = replace(energy, values=np.round(1234.0 + (counted - 1234.0) / 2.0, 1))
    assert not [v for v in told(energy=slow) if v.path == SUPPLY_ENERGY]
