"""Powers taken apart into their sensors."""

from __future__ import annotations

import numpy as np
import pytest

from tests.ledger.made import BATTERY, CHARGING, MOTOR, basis_made, channel, recording
from thawline.ledger.sensed import between_samples, sensed, ticks_per_sample
from thawline.recording.flows import Flow, Flows, make_flows

CURRENT, VOLTAGE = BATTERY + "CurrentCurrent", BATTERY + "CurrentVoltage"


def test_parts_equal_a_numerical_derivative() -> None:
    """What a gain or a zero error does is what changing the channel itself does."""
    plain = {
        CHARGING + "ChargeCurrent.Phase1": lambda t: 10.0 + np.sin(t / 50.0),
        CHARGING + "ChargeVoltage.Phase1": 230.0,
        CHARGING + "ChargeCurrent.Phase2": 8.0,
        MOTOR + "Rear.StandstillHeat": 3.0,
        MOTOR + "Front.StandstillHeat": 2.0,
        CURRENT: lambda t: 5.0 * np.cos(t / 80.0),
        VOLTAGE: 350.0,
    }
    made = recording(plain)
    flows = make_flows(made)
    for name, path in (
        ("supply", CHARGING + "ChargeCurrent.Phase2"),
        ("supply", CHARGING + "ChargeVoltage.Phase1"),
        ("drive-unit-heating", MOTOR + "Front.StandstillHeat"),
        ("pack", CURRENT),
    ):
        power = sensed(made, flows, name)
        assert power is not None
        old = made.channels[path]
        for by, values in (
            (power.by_gain[path], old.values * 1.001),
            (power.by_zero[path], old.values + 0.001),
        ):
            new = type(old)(old.path, old.unit, old.t, values, period_s=1.0)
            moved = make_flows(
                type(made)("m", made.vehicle, 0.0, 3600.0, {**made.channels, path: new})
            )
            expected = (moved.flows[name].kW - flows.flows[name].kW) / 0.001
            np.testing.assert_allclose(by, expected, rtol=1e-6, atol=1e-6)


def test_cells_in_series_scale_a_cell_voltage() -> None:
    """A cell's voltage times 96 makes the pack's power, in value and in parts."""
    made = recording({CURRENT: 10.0, BATTERY + "CellVoltage.Min": 3.6})
    power = sensed(made, make_flows(made), "pack")
    assert power is not None
    assert power.kW[0] == pytest.approx(3.456)
    assert power.by_zero[BATTERY + "CellVoltage.Min"][0] == pytest.approx(0.96)


def test_a_flow_of_unknown_sensors_keeps_its_own_sigma() -> None:
    """A flow that names no channels is uncertain by what it says itself."""
    t = np.arange(0.5, 100.0)
    flow = Flow(np.full(100, 2.0), np.full(100, 0.1), ())
    power = sensed(recording({CURRENT: 0.0}), Flows(t, 1.0, {"supply": flow}), "supply")
    assert power is not None
    np.testing.assert_allclose(power.common_kW, 0.1)
    assert not power.by_gain


def test_unknown_flows_are_none() -> None:
    """What is absent, or never known, is None."""
    t = np.arange(0.5, 100.0)
    made = recording({CURRENT: 0.0})
    never = Flow(np.full(100, np.nan), np.zeros(100), ())
    assert sensed(made, Flows(t, 1.0, {"pack": never}), "pack") is None
    assert sensed(made, Flows(t, 1.0), "pack") is None


def test_a_step_between_samples() -> None:
    """One step of 4 kW within 30 s may be off by 4 kW times 30 s over root 12."""
    made = channel(
        MOTOR + "Rear.StandstillHeat", lambda t: np.where(t < 600, 0.0, 4.0), period_s=30
    )
    assert between_samples(made) == pytest.approx(4.0 * 30.0 / np.sqrt(12.0))


def test_ticks_per_sample() -> None:
    """A sensor read every 5 s holds five ticks; a fast one counts as one."""
    for period_s, count in ((5.0, 5), (0.1, 1)):
        basis = basis_made(recording({CURRENT: 1.0, VOLTAGE: 350.0}, period_s=period_s))
        assert ticks_per_sample(basis.recording, basis.powers["pack"]) == count
