"""Heat kept in the pack."""

from __future__ import annotations

import numpy as np
import pytest

from tests.ledger.made import BATTERY, basis_made, recording
from thawline.ledger.heat_stores import glycol_fraction, pack_capacity, stored_in_pack_entry
from thawline.ledger.uncertain import deviation, nominal
from thawline.vehicle.vehicle import Coolant, Pack, Vehicle


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


def test_without_a_thermometer_it_is_unknown() -> None:
    """No thermometer in the pack, no heat kept in it."""
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
