"""Driving."""

import pytest

from thawline.simulator.road import Driving, Road, driving


def test_road_load_is_the_textbook_one():
    """F = m g Crr + 1/2 rho CdA v2 at 15 °C (1.225 kg/m3): 442.49 N and 12.291 kW."""
    road = Road(mass_kg=1800.0, rolling=0.009, drag_m2=0.60)
    v = 100.0 / 3.6
    found = driving(road, v, 0.0, 15.0, 60.0, 1e6)
    assert found.mechanical_W / v == pytest.approx(442.49, rel=1e-3)
    assert found.mechanical_W == pytest.approx(12_291.0, rel=1e-3)
    assert found.electrical_W == pytest.approx(12_291.0 / 0.9, rel=1e-3)


def test_cold_air_is_denser():
    """Ideal gas: at -20 °C the air drags 15.8 % more than at 20 °C."""
    road = Road(rolling=0.0)
    drag = [driving(road, 25.0, 0.0, degC, 0.0, 1e6).mechanical_W for degC in (-20.0, 20.0)]
    assert drag[0] / drag[1] == pytest.approx(1.158, abs=0.001)


def test_regeneration_stays_within_its_limit():
    """Braking harder than the limit allows gives the limit; brakes do the rest."""
    hard = driving(Road(), 20.0, -3.0, 0.0, 7.5, 1e6)
    assert hard.electrical_W == pytest.approx(-7500.0)
    assert driving(Road(), 20.0, -3.0, 0.0, 0.0, 1e6).electrical_W == 0.0
    assert hard.loss_W == pytest.approx(7500.0 / 0.9 - 7500.0)


def test_a_weak_pack_bounds_the_drive():
    """The drive units take no more than the pack can spare."""
    assert driving(Road(), 20.0, 2.0, 0.0, 0.0, 9e3).electrical_W == pytest.approx(9e3)


def test_a_standing_car_takes_nothing():
    """At rest there is no power of driving."""
    assert driving(Road(), 0.0, 0.0, -9.0, 0.0, 1e6) == Driving()
