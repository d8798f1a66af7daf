"""Heat kept in pack, metal and coolant."""

from __future__ import annotations

import numpy as np
import pytest

from tests.ledger.made import BATTERY, MOTOR, basis_made, recording
from thawline.ledger.heat_stores import (
    glycol_fraction,
    pack_capacity,
    stored_elsewhere_entry,
    stored_in_pack_entry,
)
from thawline.ledger.uncertain import deviation, nominal
from thawline.vehicle.vehicle import Coolant, DriveUnits, Pack, Vehicle


def warming(begin: float, by: float):
    return lambda t: begin + by * np.clip((t - 60.0) / 3400.0, 0.0, 1.0)


def test_a_known_balance() -> None:
    """468.75 kJ/K through 30 K are 3.906 kWh (computed)."""
    car = Vehicle("Petrel", Pack(75.0, heat_capacity_kJ_per_K=468.75))
    values = {BATTERY + "Temperature.Average": warming(-20.0, 30.0)}
    entry = stored_in_pack_entry(basis_made(recording(values, vehicle=car)))
    assert nominal(entry.kWh) == pytest.approx(3.906, abs=5e-4)
    assert entry.origin == "derived"
    assert deviation(entry.kWh) == pytest.approx(0.39, abs=0.03)


def test_a_pack_that_nobody_weighed_is_wide() -> None:
    """Without a heat capacity a usual one per kWh is taken, some 30 % wide, and said so."""
    basis = basis_made(recording({BATTERY + "Temperature.Average": warming(-20.0, 10.0)}))
    capacity, origin, note = pack_capacity(basis)
    assert 2.5 * 58.0 < nominal(capacity) < 8.0 * 58.0
    assert deviation(capacity) > 0.25 * nominal(capacity)
    assert origin == "assumed"
    assert "usual" in note


def test_metal_and_coolant() -> None:
    """Two units of 20 kJ/K whose windings rise by 40 K, and 10 l of coolant by 30 K."""
    car = Vehicle(
        "Gannet",
        Pack(72.0),
        DriveUnits(2, heat_capacity_kJ_per_K=20.0),
        coolant=Coolant(0.5, 10.0),
    )
    values = {
        MOTOR + "Front.Temperature": warming(-10.0, 40.0),
        MOTOR + "Rear.Temperature": warming(-10.0, 40.0),
        BATTERY + "Coolant.InletTemperature": warming(-10.0, 30.0),
        BATTERY + "Coolant.OutletTemperature": warming(-10.0, 30.0),
    }
    entry = stored_elsewhere_entry(basis_made(recording(values, vehicle=car)))
    metal = 2 * 20.0 * 0.95 * 40.0 / 3600.0
    fluid = 10.0 * 3.45 * 30.0 / 3600.0  # 1.077 kg/l times 3.2 kJ/(kg*K), near 5 degC
    assert nominal(entry.kWh) == pytest.approx(metal + fluid, rel=0.01)


def test_a_winding_that_is_still_heated_is_ahead_of_the_metal() -> None:
    """While kilowatts heat the winding, its rise says less of the metal's, less surely."""
    rise = {MOTOR + "Rear.Temperature": warming(-10.0, 40.0)}
    ends_hot = lambda t: np.where(t > 600.0, 3.4, 0.0)  # noqa: E731  # used once
    still = stored_elsewhere_entry(basis_made(recording(rise)))
    hot = stored_elsewhere_entry(
        basis_made(recording({**rise, MOTOR + "StandstillHeat": ends_hot}))
    )
    assert nominal(hot.kWh) == pytest.approx(6.0 / 40.0 * nominal(still.kWh), rel=0.01)
    assert deviation(hot.kWh) / nominal(hot.kWh) > deviation(still.kWh) / nominal(still.kWh)


def test_coolant_at_the_motor_is_no_winding() -> None:
    """The coolant's temperature at the motor is not taken for a drive unit's."""
    values = {MOTOR + "EngineCoolant.Temperature": warming(-10.0, 30.0)}
    entry = stored_elsewhere_entry(basis_made(recording(values)))
    assert entry.note == "9 l of coolant"


def test_nothing_recorded_is_unknown_but_wide() -> None:
    """Without any temperature of them the line is unknown, and may be large."""
    entry = stored_elsewhere_entry(basis_made(recording({BATTERY + "CurrentCurrent": 0.0})))
    assert entry.kWh is None
    assert entry.could_be_kWh > 0.3
    pack = stored_in_pack_entry(basis_made(recording({BATTERY + "CurrentCurrent": 0.0})))
    assert pack.kWh is None


def test_the_glycol_assumption_is_stated() -> None:
    """Half and half is taken where the vehicle file does not say, and the note tells."""
    basis = basis_made(recording({BATTERY + "CurrentCurrent": 0.0}))
    fraction, sigma, note = glycol_fraction(basis)
    assert (fraction, note[:12]) == (0.5, "taken as 50%")
    car = Vehicle("Petrel", Pack(58.0), coolant=Coolant(glycol_mass_fraction=0.4))
    stated = glycol_fraction(basis_made(recording({BATTERY + "CurrentCurrent": 0.0}, vehicle=car)))
    assert stated[0] == 0.4
    assert stated[1] < sigma
