"""Heat kept in drive units and coolant."""

from __future__ import annotations

import numpy as np
import pytest

from tests.ledger.made import BATTERY, MOTOR, Values, basis_made, recording
from thawline.ledger.heat_elsewhere import stored_elsewhere_entry
from thawline.ledger.uncertain import deviation, nominal
from thawline.vehicle.vehicle import Coolant, DriveUnits, Pack, Vehicle

CAR = Vehicle(
    "Gannet", Pack(72.0), DriveUnits(2, heat_capacity_kJ_per_K=20.0), coolant=Coolant(0.5, 10.0)
)
INLET, OUTLET = BATTERY + "Coolant.InletTemperature", BATTERY + "Coolant.OutletTemperature"


def warming(begin: float, by: float) -> Values:
    return lambda t: begin + by * np.clip((t - 60.0) / 3400.0, 0.0, 1.0)


WINDINGS: dict[str, Values] = {
    MOTOR + "Front.Temperature": warming(-10.0, 40.0),
    MOTOR + "Rear.Temperature": warming(-10.0, 40.0),
}
FLUID: dict[str, Values] = {INLET: warming(-10.0, 30.0), OUTLET: warming(-10.0, 30.0)}
#: 1.077 kg/l times 3.2 kJ/(kg*K), near 5 degC.
KJ_PER_LK = 3.45


def test_windings_and_coolant() -> None:
    """Metal at four tenths between coolant (30 K) and winding (40 K); 10 l of coolant."""
    entry = stored_elsewhere_entry(basis_made(recording({**WINDINGS, **FLUID}, vehicle=CAR)))
    metal = 2 * 20.0 * 34.0 / 3600.0
    fluid = 10.0 * KJ_PER_LK * 30.0 / 3600.0
    assert nominal(entry.kWh) == pytest.approx(metal + fluid, rel=0.01)
    assert entry.note == "drive units between windings and coolant; 10 l of coolant"


def test_windings_alone() -> None:
    """Without coolant temperatures the windings tell of both, less surely."""
    both = stored_elsewhere_entry(basis_made(recording({**WINDINGS, **FLUID}, vehicle=CAR)))
    alone = stored_elsewhere_entry(basis_made(recording(WINDINGS, vehicle=CAR)))
    assert nominal(alone.kWh) == pytest.approx(nominal(both.kWh), rel=0.25)
    assert deviation(alone.kWh) > deviation(both.kWh)


def test_a_winding_that_is_still_heated_is_ahead_of_the_metal() -> None:
    """While 3.4 kW heat a winding it stands 34 K above the metal, give or take 14 K."""
    rise = {MOTOR + "Rear.Temperature": warming(-10.0, 60.0)}
    heated = {**rise, MOTOR + "StandstillHeat": lambda t: np.where(t > 600.0, 3.4, 0.0)}
    car = Vehicle("Petrel", Pack(58.0), DriveUnits(1, 20.0), coolant=Coolant(0.5, 1e-6))
    still = stored_elsewhere_entry(basis_made(recording(rise, vehicle=car)))
    hot = stored_elsewhere_entry(basis_made(recording(heated, vehicle=car)))
    lead = (nominal(still.kWh) - nominal(hot.kWh)) * 3600.0 / 20.0
    assert lead == pytest.approx(34.0, rel=0.01)
    assert deviation(hot.kWh) > deviation(still.kWh)


def test_coolant_alone() -> None:
    """Without windings the metal follows the coolant, a little warmer."""
    entry = stored_elsewhere_entry(basis_made(recording(FLUID, vehicle=CAR)))
    expected = (2 * 20.0 * 36.0 + 10.0 * KJ_PER_LK * 30.0) / 3600.0
    assert nominal(entry.kWh) == pytest.approx(expected, rel=0.01)


def test_coolant_at_the_motor_is_no_winding() -> None:
    """The coolant's temperature at the motor is not taken for a drive unit's."""
    values = {MOTOR + "EngineCoolant.Temperature": warming(-10.0, 30.0)}
    entry = stored_elsewhere_entry(basis_made(recording(values)))
    assert entry.note == "drive units by the coolant; 8 l of coolant"


def test_nothing_recorded_is_unknown_but_wide() -> None:
    """Without any temperature of them the line is unknown, and may be large."""
    entry = stored_elsewhere_entry(basis_made(recording({BATTERY + "CurrentCurrent": 0.0})))
    assert entry.kWh is None
    assert entry.could_be_kWh > 0.3
