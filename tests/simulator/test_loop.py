"""The coolant loop: delays, flow by viscosity, heat that is kept."""

from dataclasses import replace

import numpy as np
import pytest

from thawline.errors import RequestError
from thawline.simulator.fluid import heat_of, temperature_of
from thawline.simulator.loop import Coolant, check_step, flow_l_per_min, heat_at, ring, step

COOLANT = Coolant(hose_W_per_K=0.0)
RINGS = ring(COOLANT, 16, 2)


def test_flow_is_the_named_one_at_the_named_temperatures():
    """Full speed gives the flows that the build names at 20 and -20 °C, and none at rest."""
    assert flow_l_per_min(COOLANT, 1.0, 20.0) == pytest.approx(COOLANT.warm_l_per_min)
    assert flow_l_per_min(COOLANT, 1.0, -20.0) == pytest.approx(COOLANT.cold_l_per_min)
    assert flow_l_per_min(COOLANT, 0.0, 20.0) == 0.0


def test_a_slow_pump_suffers_more_from_the_cold():
    """The laminar part of the drop weighs more at low speed, so viscosity does too."""
    share = [flow_l_per_min(COOLANT, s, -20.0) / flow_l_per_min(COOLANT, s, 20.0) for s in (1, 0.3)]
    assert share[1] < share[0] < 1.0


def test_hot_coolant_arrives_after_the_volume_over_the_flow():
    """A front passes the hose in volume over flow, give or take its mixing."""
    heat, flow, dt = heat_at(0.0, RINGS), 12.0, 0.1
    heat[RINGS.jackets.stop - 1] = heat_of(np.array(10.0))
    source = heat[RINGS.jackets.stop - 1]
    still = np.zeros(len(heat))
    arrived = None
    for i in range(200):
        heat, _ = step(RINGS, COOLANT, heat, temperature_of(heat), flow, still, 0.0, 0.0, dt)
        heat[RINGS.jackets.stop - 1] = source
        if arrived is None and temperature_of(heat)[RINGS.pack.start - 1] > 5.0:
            arrived = (i + 1) * dt
    assert arrived == pytest.approx(COOLANT.hose_l / flow * 60.0, rel=0.1)


def test_heat_of_the_whole_ring_is_kept():
    """Moving coolant about neither makes nor loses heat; what is gained and lost adds up."""
    rng = np.random.default_rng(1)
    coolant = Coolant(hose_W_per_K=3.0)
    rings = ring(coolant, 12, 1)
    heat = heat_of(rng.uniform(-20.0, 40.0, len(rings.volume_m3)))
    gained = rng.uniform(-200.0, 300.0, len(heat))
    after, flux = step(rings, coolant, heat, temperature_of(heat), 9.0, gained, 0.4, -10.0, 0.25)
    change = float(((after - heat) * rings.volume_m3).sum())
    assert change == pytest.approx((gained.sum() - flux.ambient_W) * 0.25, rel=1e-9)


def test_an_open_valve_loses_heat_and_a_closed_one_does_not():
    """The radiator takes heat only as far as its valve is open."""
    heat, still = heat_at(30.0, RINGS), np.zeros(len(RINGS.volume_m3))
    lost = [
        step(RINGS, COOLANT, heat, temperature_of(heat), 9.0, still, valve, 0.0, 0.25)[1].ambient_W
        for valve in (0.0, 0.5, 1.0)
    ]
    assert lost[0] == pytest.approx(0.0, abs=1e-9)
    assert lost[1] == pytest.approx(0.5 * lost[2])
    assert lost[2] == pytest.approx(COOLANT.radiator_W_per_K * 30.0, rel=1e-6)


def test_too_long_a_step_is_refused():
    """Coolant that would jump over a volume is an error that says what to change."""
    with pytest.raises(RequestError, match="shorter step"):
        check_step(ring(replace(COOLANT, pack_l=1.0), 40, 1), COOLANT, 0.25)
