"""Road load against a computed example."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from thawline.physics.air import air_density_kg_per_m3
from thawline.physics.roadload import drag_work_J, road_load_N, road_power_kW, rolling_at


def test_a_computed_example() -> None:
    """1800 kg, 0.009, 0.60 m2, 1.225 kg/m3 at 100 km/h: 442.49 N, 12.291 kW (computed; g 9.81)."""
    force = road_load_N(100.0, 1800.0, 0.009, 0.60)
    assert force == pytest.approx(442.49, rel=2e-4)
    assert road_power_kW(force, 100.0) == pytest.approx(12.291, rel=2e-4)


def test_cold_air_costs_its_density() -> None:
    """At -20 degC only the drag grows, by the 15.8 % that the air is denser (computed)."""
    warm, cold = (
        road_load_N(100.0, 1800.0, 0.0, 0.60, air_density_kg_per_m3(t)) for t in (20.0, -20.0)
    )
    assert cold / warm == pytest.approx(1.158, abs=5e-4)


def test_slope_and_braking() -> None:
    """A slope adds m g sin, braking takes m a off, and a standing car rolls against nothing."""
    flat = road_load_N(50.0, 1500.0, 0.01, 0.6)
    up = road_load_N(50.0, 1500.0, 0.01, 0.6, slope_rad=0.05)
    assert up - flat == pytest.approx(1500.0 * 9.80665 * (np.sin(0.05) - 0.01 * (1 - np.cos(0.05))))
    slows = road_load_N(50.0, 1500.0, 0.01, 0.6, acceleration_m_per_s2=-2.0)
    assert road_power_kW(slows, 50.0) < 0.0
    assert road_load_N(0.0, 1500.0, 0.01, 0.6) == 0.0


def test_drag_work_is_the_integral_of_force_times_speed() -> None:
    """Against numerical integration (SciPy quad) while speed falls from 25 to 10 m/s in 12 s."""
    by_hand = quad(lambda t: 0.5 * 1.3 * 0.6 * (25.0 - 15.0 * t / 12.0) ** 3, 0.0, 12.0)[0]
    assert drag_work_J(0.6, 1.3, 25.0, 10.0, 12.0) == pytest.approx(by_hand)


def test_cold_tyres_resist_more() -> None:
    """0.86 % per kelvin (UN GTR 15, from memory): 30 % more at -10 than at 25 degC."""
    assert rolling_at(0.01, 25.0) == 0.01
    assert rolling_at(0.01, -10.0) == pytest.approx(0.01301)
