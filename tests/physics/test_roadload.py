"""Road load against a computed example."""

from __future__ import annotations

import numpy as np
import pytest

from thawline.physics.air import air_density_kg_per_m3
from thawline.physics.roadload import road_load_N, road_power_kW


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
