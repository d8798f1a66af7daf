"""What swings hide from a clock of one second."""

from __future__ import annotations

import numpy as np
import pytest

from tests.ledger.made import BATTERY, basis_made, ledger_of, line_of, recording
from thawline.ledger.swings import swings


def swinging(period_s: float) -> dict:
    return {
        BATTERY + "CurrentCurrent": lambda t: 30.0 * np.sin(2 * np.pi * t / 1.7),
        BATTERY + "CurrentVoltage": 350.0,
        "Speed": 30.0,
    }


def test_fast_swings_come_back() -> None:
    """A power that swings within two seconds has both its sides to 3 % when read at 20 Hz."""
    exact = 30.0 * 350.0 / 1e3 / np.pi
    ledger = ledger_of(recording(swinging(0.05), period_s=0.05))
    assert line_of(ledger, "pack-in").kWh == pytest.approx(exact, rel=0.03)
    assert line_of(ledger, "pack-out").kWh == pytest.approx(exact, rel=0.03)


def test_slow_reading_is_said_to_hide() -> None:
    """Read once in half a second the same swing is uncertain by what it hides."""
    made = basis_made(recording(swinging(0.5), period_s=0.5))
    assert swings(made).sigma_kWh > 0.05


def test_a_standing_car_hides_nothing() -> None:
    """Without motion nothing is added."""
    values = {**swinging(0.05), "Speed": 0.0}
    assert swings(basis_made(recording(values, period_s=0.05))).kWh == 0.0
