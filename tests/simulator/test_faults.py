"""Faults do what they say."""

import numpy as np
import pytest

from tests.simulator.made import MEAN, gannet, plain, short_morning
from thawline.simulator.events import Fault
from thawline.simulator.layout import BusSignal
from thawline.simulator.run import simulate
from thawline.simulator.sense import sensed

FLOW = "Powertrain.TractionBattery.Coolant.Flow"


def with_fault(fault: Fault):
    """The plain morning with a fault."""
    return simulate(gannet(), plain(faults=(fault,), duration_s=600.0))


def test_a_weak_pump_moves_less():
    """A pump at half speed gives less than half of the flow in the cold."""
    weak = with_fault(Fault("weak-pump", share=0.5))
    healthy = short_morning().values[FLOW][2000]
    assert 0.0 < weak.values[FLOW][2000] < 0.55 * healthy


def test_an_open_valve_wastes_heat():
    """With the radiator in the loop the pack warms less and more heat is lost elsewhere."""
    leak = with_fault(Fault("valve-open", share=1.0))
    assert leak.values[MEAN][-1] < short_morning().values[MEAN][len(leak.t) - 1] - 0.5
    healthy = simulate(gannet(), plain(duration_s=600.0))
    lost = [m.truth.more["elsewhere-to-ambient"] for m in (leak, healthy)]
    assert lost[0] > 5.0 * lost[1]


def test_a_stuck_sensor_shows_one_value():
    """From its time on, a stuck sensor shows what it showed then."""
    stuck = with_fault(Fault("stuck-sensor", from_s=300.0, where=MEAN))
    signal = BusSignal("Mean", MEAN, 12, scale=0.1, unit="degC")
    seen = sensed(stuck, signal, np.array([100.0, 310.0, 590.0]), np.random.default_rng(1))
    assert seen[1] == pytest.approx(seen[2])
    assert seen[0] < seen[1]
