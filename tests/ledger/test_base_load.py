"""The low-voltage load without a converter."""

from __future__ import annotations

import numpy as np
import pytest

from tests.ledger.made import BATTERY, CHARGING, MOTOR, Values, ledger_of, line_of, recording
from thawline.ledger.ledger import Line

QUIET: dict[str, Values] = {
    CHARGING + "ChargeCurrent.Phase1": 0.0,
    CHARGING + "ChargeVoltage.Phase1": 240.0,
    MOTOR + "Rear.StandstillHeat": 0.0,
    "Cabin.HVAC.Heater.Air.Power": 0.0,
    BATTERY + "CurrentCurrent": -1.0,
    BATTERY + "CurrentVoltage": 350.0,
    "Speed": 0.0,
}


def other(values: dict[str, Values]) -> Line:
    return line_of(ledger_of(recording(values)), "other-loads")


def test_quiet_times_show_the_base_load() -> None:
    """A quiet car that draws 0.35 kW from its pack has a base load of 0.35 kW."""
    line = other(QUIET)
    assert (line.kWh, line.origin) == (pytest.approx(0.35), "assumed")
    assert "0.35 kW seen over 3600 s of quiet" in line.note


def test_busy_times_add_a_prior() -> None:
    """While something heats, pumps and blowers add to what was seen, with a wide sigma."""
    line = other(
        {
            **QUIET,
            MOTOR + "Rear.StandstillHeat": lambda t: np.where(t > 1800.0, 3.0, 0.0),
            BATTERY + "CurrentCurrent": lambda t: np.where(t > 1800.0, -9.6, -1.0),
        }
    )
    assert line.kWh == pytest.approx(0.35 + 0.06, abs=0.01)
    assert line.plus_minus_kWh > 0.05


def test_without_quiet_times_it_is_a_prior() -> None:
    """A car that heats all the time has a usual 0.30 ± 0.15 kW, and says that it is assumed."""
    line = other({**QUIET, MOTOR + "Rear.StandstillHeat": 3.0})
    assert (line.kWh, line.origin) == (pytest.approx(0.30), "assumed")
    assert line.plus_minus_kWh >= 0.15
    assert "usual" in line.note


@pytest.mark.parametrize(
    ("path", "value"), [("Speed", 50.0), (CHARGING + "ChargeCurrent.Phase1", 16.0)]
)
def test_a_drive_or_a_supply_is_not_quiet(path: str, value: float) -> None:
    """What the pack does while the car moves or charges says nothing of the base load."""
    assert "usual" in other({**QUIET, path: value}).note


def test_more_than_a_base_load_is_not_believed() -> None:
    """2.5 kW out of a quiet pack is something that is not recorded, not computers and lamps."""
    assert "usual" in other({**QUIET, BATTERY + "CurrentCurrent": -2500.0 / 350.0}).note


def test_an_unknown_heater_is_not_quiet() -> None:
    """Where the cabin's heaters are not recorded, no time can be called quiet."""
    values = {path: value for path, value in QUIET.items() if "Cabin" not in path}
    assert "usual" in other(values).note
