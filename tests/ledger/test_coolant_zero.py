"""The zero of the coolant thermometers, read in a soaked car."""

from __future__ import annotations

import numpy as np
import pytest

from tests.ledger.made import BATTERY, MOTOR, basis_made, recording
from thawline.ledger.coolant_zero import coolant_zero

INLET, OUTLET = BATTERY + "Coolant.InletTemperature", BATTERY + "Coolant.OutletTemperature"


def values(differ: float, *, from_s: float = 300.0, pack: float = -10.0) -> dict:
    return {
        MOTOR + "Rear.StandstillHeat": lambda t: np.where(t > from_s, 3.4, 0.0),
        INLET: lambda t: -10.0 + differ + np.where(t > from_s, 5.0, 0.0),
        OUTLET: -10.0,
        BATTERY + "Temperature.Average": pack,
    }


def test_it_is_read_before_heating() -> None:
    """0.6 K between two thermometers of 0.5 K in a soaked car is mostly their own error."""
    zero = coolant_zero(basis_made(recording(values(0.6))))
    assert 0.4 < zero.kelvin < 0.6
    assert zero.sigma_K < 0.3
    assert "+0.60 K" in zero.note


@pytest.mark.parametrize(
    "made",
    [
        values(0.6, from_s=5.0),  # heats at once
        values(0.6, pack=10.0),  # the pack is still warm from a drive
        values(8.0),  # not an error of such thermometers
    ],
)
def test_it_is_not_read_otherwise(made: dict) -> None:
    """Without a soaked time, or beyond what the accuracy allows, nothing is taken off."""
    zero = coolant_zero(basis_made(recording(made)))
    assert zero.kelvin == 0.0
    assert zero.sigma_K == pytest.approx(0.707, rel=0.01)
