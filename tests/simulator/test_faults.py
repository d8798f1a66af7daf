"""Faults do what they say."""

import numpy as np
import pytest

from tests.simulator.made import MEAN, gannet, plain, short_morning
from thawline.errors import RequestError
from thawline.simulator.cells import open_circuit_V
from thawline.simulator.events import Fault, Wish
from thawline.simulator.layout import BusSignal
from thawline.simulator.observed import shaped
from thawline.simulator.run import simulate
from thawline.simulator.scenario import checked
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


def test_a_sensor_drifts_and_jumps():
    """A drift grows with the hour; a jump is there within half a minute."""
    drift = with_fault(Fault("sensor-drift", from_s=240.0, where=MEAN, size=20.0))
    jump = with_fault(Fault("sensor-offset", from_s=240.0, where=MEAN, size=-3.0))
    signal = BusSignal("Mean", MEAN, 12, scale=0.1, unit="degC")
    for morning, off in ((drift, 2.0), (jump, -3.0)):
        seen = sensed(morning, signal, np.array([200.0, 598.0]), np.random.default_rng(1))
        true = np.interp([200.0, 598.0], morning.t, morning.values[MEAN])
        assert seen - true == pytest.approx([0.0, off], abs=0.06)


def test_a_cut_supply_gives_nothing_and_comes_back():
    """The contactor opens, and closes again."""
    volts = with_fault(Fault("supply-cut", 200.0, to_s=300.0)).values[
        "Powertrain.TractionBattery.Charging.ChargeVoltage.Phase1"
    ]
    assert volts[4 * 250] == 0.0
    assert volts[4 * 190] > 200.0 and volts[4 * 400] > 200.0


@pytest.mark.parametrize("share", [0.05, 0.2])
def test_a_sagging_supply_loses_its_share(share):
    """Its voltage falls by the share, however large."""
    path = "Powertrain.TractionBattery.Charging.ChargeVoltage.Phase1"
    volts = with_fault(Fault("supply-sag", 300.0, share=share)).values[path]
    fall = 1.0 - np.mean(volts[4 * 320 : 4 * 500]) / np.mean(volts[4 * 200 : 4 * 290])
    assert fall == pytest.approx(share, abs=0.012)


@pytest.mark.parametrize("size", [0.5, 1.5])
def test_aged_cells_resist_more(size):
    """The resistance grows by the size, seen in volts per ampere of the same power."""
    sound = simulate(gannet(), plain(duration_s=200.0))
    aged = simulate(gannet(), plain(duration_s=200.0, faults=(Fault("aged-cells", size=size),)))
    heat = [m.truth.heat["cell-resistance"] for m in (sound, aged)]
    assert heat[1] / heat[0] == pytest.approx(1.0 + size, rel=0.05)


def test_a_module_without_contact_stays_cold():
    """It stays colder than its neighbours."""
    cold = with_fault(Fault("module-contact", share=0.95, where="2"))
    cells = cold.modules_degC[-1]
    assert cells[2] < min(cells[1], cells[3]) - 1.0


def test_a_lossy_charger_and_a_late_limit_do_as_they_say():
    """A tenth more is lost; nothing is allowed before the threshold has moved."""
    sound, lossy = (
        simulate(gannet(), plain(duration_s=200.0, faults=faults))
        for faults in ((), (Fault("lossy-charger", size=0.1),))
    )
    share = [m.powers["charger-loss"][-1] / m.powers["supply"][-1] for m in (sound, lossy)]
    assert share[1] - share[0] == pytest.approx(0.1, abs=0.005)
    warm = {"ambient_degC": 4.0, "soak_degC": 4.0, "duration_s": 60.0}
    limits = "Powertrain.TractionBattery.Limits.ChargePower"
    late = simulate(gannet(), plain(**warm, faults=(Fault("charging-refused", size=9.0),)))
    assert simulate(gannet(), plain(**warm)).values[limits][-1] > 1.0
    assert late.values[limits][-1] == 0.0


def test_a_weak_converter_leaves_the_battery_alone():
    """Below the battery's own voltage the battery gives, and falls."""
    path = "LowVoltageBattery.CurrentVoltage"
    weak = with_fault(Fault("weak-converter", 200.0, size=3.0)).values[path]
    assert weak[4 * 100] > 13.5
    assert 11.5 < weak[4 * 500] < 12.7


def test_an_unknown_fault_is_refused_with_the_right_name():
    """A slip of the pen is told."""
    with pytest.raises(RequestError, match="weak-pimp"):
        checked(plain(faults=(Fault("weak-pimp"),)), "morning.toml")


CELLS = [f"Powertrain.TractionBattery.CellVoltage.{which}" for which in ("Min", "Max")]
CURRENT = "Powertrain.TractionBattery.CurrentCurrent"


def spread(morning, at: int = -1) -> float:
    """Highest less lowest cell voltage [V]."""
    return float(morning.values[CELLS[1]][at] - morning.values[CELLS[0]][at])


def test_a_module_of_less_capacity_is_apart_at_rest_and_nowhere_near_full():
    """Balanced where all are full: with a tenth less it is (1 - s) / 9 further down at charge s."""
    fault = Fault("module-capacity", share=0.1, where="3")
    half, sound, full = (
        simulate(gannet(), plain(faults=f, duration_s=60.0, charge_pct=pct, wishes=()))
        for f, pct in (((fault,), 50.0), ((), 50.0), ((fault,), 99.0))
    )
    chemistry = gannet().pack.chemistry
    lower = open_circuit_V(chemistry, 0.5) - open_circuit_V(chemistry, 0.5 - 0.5 / 9.0)
    assert spread(half) - spread(sound) == pytest.approx(lower, rel=0.15)
    assert spread(full) < spread(half)


def test_a_bad_joint_parts_cells_by_current_times_resistance():
    """Two milliohms beside one cell, whatever the temperature."""
    joint, sound = (
        simulate(gannet(), plain(faults=faults, duration_s=400.0))
        for faults in ((Fault("module-joint", where="2", size=2.0),), ())
    )
    at = int(np.argmax(np.abs(joint.values[CURRENT])))
    amps = abs(joint.values[CURRENT][at])
    assert amps > 3.0
    more = spread(joint, at) - spread(sound, at)
    assert more == pytest.approx(2e-3 * amps, rel=0.35, abs=0.002)


def test_one_dead_element_of_three_leaves_two_thirds():
    """Of a heater at full power."""
    wishes = (Wish("cabin", 0.0, 600.0),)
    name = next(iter(gannet().cabin.heaters_W))
    dead, sound = (
        simulate(gannet(), plain(faults=faults, duration_s=120.0, wishes=wishes))
        for faults in ((Fault("dead-element", where=name),), ())
    )
    path = f"Cabin.HVAC.Heater.{shaped(name)}.Power"
    assert dead.values[path][-1] == pytest.approx(2.0 / 3.0 * sound.values[path][-1], rel=0.01)


def test_a_sensor_that_shows_too_little_does_so_in_proportion():
    """Forty per cent less than there is."""
    dull = with_fault(Fault("sensor-gain", from_s=300.0, share=0.4, where=FLOW))
    signal = BusSignal("Flow", FLOW, 12, scale=0.01, unit="l/min")
    seen = sensed(dull, signal, np.array([590.0]), np.random.default_rng(1))
    assert seen[0] == pytest.approx(0.6 * np.interp(590.0, dull.t, dull.values[FLOW]), abs=0.01)
