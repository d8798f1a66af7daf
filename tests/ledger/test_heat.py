"""The heat account in closed form."""

from __future__ import annotations

import numpy as np
import pytest

from tests.ledger.made import BATTERY, MOTOR, Values, ledger_of, line_of, recording
from thawline.ledger.ledger import HEAT
from thawline.vehicle.vehicle import DriveUnits, Pack, Vehicle

CAR = Vehicle(
    "Petrel",
    Pack(58.0, 96, heat_capacity_kJ_per_K=400.0, resistance_mOhm=100.0, heat_loss_W_per_K=10.0),
    DriveUnits(1, heat_capacity_kJ_per_K=20.0),
)
#: 3 kW for one hour: 10 K of 400 kJ/K, 0.1 kWh to the air, the rest in metal.
VALUES: dict[str, Values] = {
    MOTOR + "Rear.StandstillHeat": 1.5,
    MOTOR + "Rear.Temperature": lambda t: -10.0 + 40.0 * np.clip((t - 20) / 3560, 0, 1),
    BATTERY + "Temperature.Average": lambda t: -10.0 + 10.0 * np.clip((t - 20) / 3560, 0, 1),
    BATTERY + "CurrentCurrent": -4.0,
    BATTERY + "CurrentVoltage": 350.0,
    "Exterior.AirTemperature": -10.0,
}


def test_every_line_in_closed_form() -> None:
    """Each line is its formula, and what they leave over is unaccounted."""
    ledger = ledger_of(recording(VALUES, vehicle=CAR))
    assert tuple(line.line for line in ledger.heat) == HEAT
    kWh = {line.line: line.kWh for line in ledger.heat}
    assert kWh["drive-unit-heating"] == pytest.approx(1.5)
    assert kWh["stored-in-pack"] == pytest.approx(400.0 * 10.0 / 3600.0, rel=1e-3)
    assert kWh["pack-to-ambient"] == pytest.approx(10.0 * 5.0 / 1e3, rel=0.01)
    metal, fluid = 20.0 * 40.0 / 3600.0, 8.0 * 3.4 * 0.55 * 40.0 / 3600.0
    assert kWh["stored-elsewhere"] == pytest.approx(metal + fluid, rel=0.02)
    assert kWh["coolant-into-pack"] is None
    assert kWh["unaccounted"] == pytest.approx(
        kWh["drive-unit-heating"]
        + kWh["cell-resistance"]
        - kWh["stored-in-pack"]
        - kWh["pack-to-ambient"]
        - kWh["stored-elsewhere"]
    )


def test_heating_is_the_same_line_in_both_accounts() -> None:
    """What the drive units took is what they made."""
    ledger = ledger_of(recording(VALUES, vehicle=CAR))
    assert line_of(ledger, "drive-unit-heating") == line_of(ledger, "drive-unit-heating", heat=True)


def test_a_pack_heater_makes_heat_too() -> None:
    """The pack's own heater joins the heat made, and the note says how much."""
    ledger = ledger_of(recording({**VALUES, BATTERY + "Heater.Power": 500.0}, vehicle=CAR))
    made = line_of(ledger, "drive-unit-heating", heat=True)
    assert made.kWh == pytest.approx(2.0)
    assert "0.50 kWh of the pack's own heater" in made.note


def test_a_heater_that_is_not_recorded_makes_the_heat_unknown() -> None:
    """A car whose drive units do not heat, and whose heater nobody records: not zero, unknown."""
    car = Vehicle("Petrel", Pack(58.0, 96), DriveUnits(0))
    values = {p: v for p, v in VALUES.items() if "StandstillHeat" not in p}
    ledger = ledger_of(recording(values, vehicle=car))
    assert line_of(ledger, "drive-unit-heating").kWh == 0.0
    assert line_of(ledger, "drive-unit-heating", heat=True).kWh is None
    assert line_of(ledger, "unaccounted", heat=True).plus_minus_kWh > 1.0
    assert "not recorded" in line_of(ledger, "other-loads").note


def test_without_a_pack_temperature_it_cannot_be_closed() -> None:
    """No thermometer in the pack: no balance."""
    values = {p: v for p, v in VALUES.items() if "Battery.Temperature" not in p}
    line = line_of(ledger_of(recording(values, vehicle=CAR)), "unaccounted", heat=True)
    assert line.kWh is None


def test_driving_widens_what_is_left_over() -> None:
    """Losses of driving may warm the coolant: the bound is wider when the car drove."""
    still = line_of(ledger_of(recording(VALUES, vehicle=CAR)), "unaccounted", heat=True)
    drove = {**VALUES, "Speed": 50.0, MOTOR + "Power": 10.0}
    wide = line_of(ledger_of(recording(drove, vehicle=CAR)), "unaccounted", heat=True)
    assert wide.plus_minus_kWh > 2.0 * still.plus_minus_kWh
