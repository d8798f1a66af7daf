"""The pack's resistance from steps of its current."""

from __future__ import annotations

import numpy as np
import pytest

from tests.ledger.made import BATTERY, basis_made, recording
from thawline.ledger.resistance import pack_resistance
from thawline.ledger.uncertain import deviation, nominal
from thawline.physics.battery import arrhenius_factor
from thawline.vehicle.vehicle import Pack, Vehicle

CURRENT, VOLTAGE = BATTERY + "CurrentCurrent", BATTERY + "CurrentVoltage"


def stepping(t: np.ndarray) -> np.ndarray:
    return np.where((t // 200) % 2 == 0, -2.0, -22.0)


def values(R: float, sigma: float = 0.0, seed: int = 0) -> dict:
    rng = np.random.default_rng(seed)
    return {
        CURRENT: stepping,
        VOLTAGE: lambda t: 350.0 + R * stepping(t) + rng.normal(0, sigma + 1e-9, len(t)),
        BATTERY + "Temperature.Average": -10.0,
    }


def test_clean_steps_give_the_resistance() -> None:
    """Steps of 20 A that move the voltage by 2.4 V mean 120 mΩ."""
    found = pack_resistance(basis_made(recording(values(0.120))), -10.0)
    assert nominal(found.mOhm) == pytest.approx(120.0, rel=0.01)
    assert found.origin == "derived"
    assert "17 steps" in found.note or "swings" in found.note


def test_noise_and_other_temperatures() -> None:
    """Under noise it is within its sigma, and is carried to another temperature."""
    basis = basis_made(recording(values(0.120, 0.3)))
    found = pack_resistance(basis, 5.0)
    expected = 120.0 * arrhenius_factor(5.0, 27.0, -10.0)
    assert abs(nominal(found.mOhm) - expected) < deviation(found.mOhm)


def test_without_steps_the_vehicle_file_is_taken() -> None:
    """A steady current tells nothing: 60 mΩ at 20 degC by the file, more in the cold."""
    car = Vehicle("Petrel", Pack(58.0, 96, resistance_mOhm=60.0))
    made = recording({CURRENT: -10.0, VOLTAGE: 350.0}, vehicle=car)
    found = pack_resistance(basis_made(made), 20.0)
    assert nominal(found.mOhm) == pytest.approx(60.0)
    assert found.origin == "assumed"
    cold = pack_resistance(basis_made(made), -20.0)
    assert 100.0 < nominal(cold.mOhm) < 600.0
    assert deviation(cold.mOhm) > 0.4 * nominal(cold.mOhm)


def test_without_anything_a_prior_is_taken() -> None:
    """A pack of 58 kWh and 350 V has some tens of milliohms near 25 degC."""
    found = pack_resistance(basis_made(recording({CURRENT: -10.0, VOLTAGE: 350.0})), 25.0)
    assert 20.0 < nominal(found.mOhm) < 120.0
    assert deviation(found.mOhm) > 0.3 * nominal(found.mOhm)


def test_absurd_steps_are_not_believed() -> None:
    """A voltage that falls when current flows in is no resistance."""
    found = pack_resistance(basis_made(recording(values(-0.120))), -10.0)
    assert found.origin == "assumed"


def test_a_drive_has_no_steps_but_swings() -> None:
    """A current that never rests still moves the voltage: 120 mΩ within its sigma."""
    rng = np.random.default_rng(6)

    def amps(t: np.ndarray) -> np.ndarray:
        return -30.0 + 40.0 * np.sin(t / 4.0) + 25.0 * np.sin(t / 9.0)

    made = {
        CURRENT: amps,
        VOLTAGE: lambda t: 350.0 - t / 500.0 + 0.12 * amps(t) + rng.normal(0, 0.2, len(t)),
        BATTERY + "Temperature.Average": -10.0,
    }
    found = pack_resistance(basis_made(recording(made)), -10.0)
    assert "swings" in found.note
    assert abs(nominal(found.mOhm) - 120.0) < deviation(found.mOhm)
