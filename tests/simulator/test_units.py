"""Drive units as heaters."""

import numpy as np
import pytest

from thawline.simulator.units import (
    DriveUnits,
    UnitsState,
    heat_content_J,
    possible_W,
    ramped_W,
    step,
)

UNITS = DriveUnits(("Front", "Rear"))


def at(winding: float, heat_W: float = 0.0) -> UnitsState:
    """Drive units with one temperature of winding and iron."""
    even = np.full(2, winding)
    return UnitsState(even, even - 5.0, np.full(2, heat_W))


def test_a_cold_winding_makes_less_heat_at_one_current():
    """IEC 60034-1, k = 235 K: at -20 °C copper gives 0.843 of its heat at 20 °C."""
    free = DriveUnits(("Rear",), heat_kW=99.0, current_heat_kW=3.0)
    cold, warm = (
        possible_W(free, UnitsState(np.array([d]), np.array([d]), np.zeros(1)))[0]
        for d in (-20.0, 20.0)
    )
    assert warm == pytest.approx(3000.0)
    assert cold / warm == pytest.approx(0.843, abs=0.0005)


def test_hot_windings_are_spared():
    """Heat is taken back between the two hot temperatures, to nothing."""
    assert possible_W(UNITS, at(60.0)) == pytest.approx(3400.0)
    assert possible_W(UNITS, at(120.0)) == pytest.approx(1700.0)
    assert possible_W(UNITS, at(131.0)) == pytest.approx(0.0)


def test_heat_ramps():
    """A drive unit changes its heat no faster than its ramp, either way."""
    up = ramped_W(UNITS, at(0.0), np.array([3400.0, 50.0]), 0.25)
    down = ramped_W(UNITS, at(0.0, 3400.0), np.zeros(2), 0.25)
    assert up == pytest.approx([100.0, 50.0])
    assert down == pytest.approx([3300.0, 3300.0])


def test_heat_of_the_metal_is_kept():
    """Heat made, in driving too, is kept, given to the coolant, or lost to the air."""
    state = at(40.0)
    heat, jacket = np.array([3400.0, 2000.0]), np.array([5.0, 8.0])
    after, flux = step(UNITS, state, heat, 800.0, jacket, 0.8, -9.0, 0.25)
    gained = heat_content_J(UNITS, after) - heat_content_J(UNITS, state)
    moved = heat.sum() + 800.0 - flux.to_coolant_W.sum() - flux.ambient_W
    assert gained == pytest.approx(moved * 0.25, rel=1e-6)
