"""Heat made in cells, carried by coolant, lost to the air."""

from __future__ import annotations

import numpy as np
import pytest

from tests.ledger.made import BATTERY, basis_made, recording
from thawline.ledger.heat_flows import cell_resistance_entry, coolant_entry, to_ambient_entry
from thawline.ledger.uncertain import deviation, nominal
from thawline.quantities import Accuracy
from thawline.recording.recording import Gap
from thawline.vehicle.vehicle import Coolant, Pack, Vehicle

CURRENT, VOLTAGE = BATTERY + "CurrentCurrent", BATTERY + "CurrentVoltage"
INLET, OUTLET = BATTERY + "Coolant.InletTemperature", BATTERY + "Coolant.OutletTemperature"
FLOW = BATTERY + "Coolant.Flow"
HALF = Vehicle("Petrel", Pack(58.0, 96), coolant=Coolant(glycol_mass_fraction=0.5))


def test_joule_heat_in_closed_form() -> None:
    """30 A through 100 mΩ at 20 degC for one hour are 0.09 kWh."""
    car = Vehicle("Petrel", Pack(58.0, 96, resistance_mOhm=100.0))
    values = {CURRENT: -30.0, VOLTAGE: 350.0, BATTERY + "Temperature.Average": 20.0}
    entry = cell_resistance_entry(basis_made(recording(values, vehicle=car)))
    assert nominal(entry.kWh) == pytest.approx(0.09, rel=1e-6)
    assert deviation(entry.kWh) > 0.15 * nominal(entry.kWh)


def test_noise_makes_no_heat() -> None:
    """2 A of noise about zero is not counted as current."""
    rng = np.random.default_rng(0)
    car = Vehicle("Petrel", Pack(58.0, 96, resistance_mOhm=100.0))
    noisy = {CURRENT: lambda t: rng.normal(0.0, 2.0, len(t)), VOLTAGE: 350.0}
    entry = cell_resistance_entry(basis_made(recording(noisy, vehicle=car)))
    plain = 4.0 * 0.1 / 1e3  # kWh that the mean square of the noise would make
    assert nominal(entry.kWh) < plain


def test_without_current_it_is_unknown() -> None:
    """No current, no power: unknown."""
    entry = cell_resistance_entry(basis_made(recording({BATTERY + "Temperature.Min": -5.0})))
    assert entry.kWh is None


def test_power_and_voltage_stand_in_for_current() -> None:
    """10.5 kW at 350 V are 30 A."""
    car = Vehicle("Petrel", Pack(58.0, 96, resistance_mOhm=100.0))
    values = {
        BATTERY + "CurrentPower": -10500.0,
        VOLTAGE: 350.0,
        BATTERY + "Temperature.Average": 20.0,
    }
    entry = cell_resistance_entry(basis_made(recording(values, vehicle=car)))
    assert nominal(entry.kWh) == pytest.approx(0.09, rel=1e-6)


@pytest.mark.parametrize(("at", "watts"), [(-20.0, 2784.0), (0.0, 2868.0), (20.0, 2939.0)])
def test_coolant_heat_against_published_rows(at: float, watts: float) -> None:
    """10 l/min over 5 K at three temperatures (CoolProp 8.0.0, MEG 0.5 by mass; computed)."""
    values = {FLOW: 10.0, INLET: at + 2.5, OUTLET: at - 2.5}
    entry = coolant_entry(basis_made(recording(values, vehicle=HALF)))
    assert nominal(entry.kWh) * 1e3 == pytest.approx(watts, rel=2e-3)


def test_the_zero_of_the_thermometers_dominates() -> None:
    """0.5 K of either thermometer is 0.71 K of a difference of 5 K: 14 % of the heat."""
    exact = Accuracy(1e-9, 0.0)
    values = {FLOW: 10.0, INLET: 2.5, OUTLET: -2.5}
    made = recording(
        values,
        vehicle=HALF,
        accuracies={FLOW: exact, INLET: Accuracy(0.5, 0.0), OUTLET: Accuracy(0.5, 0.0)},
    )
    entry = coolant_entry(basis_made(made))
    assert deviation(entry.kWh) / nominal(entry.kWh) == pytest.approx(0.1414, rel=0.03)


def test_unknown_mixture_widens() -> None:
    """Without a glycol fraction in the file the line is wider, and says what was taken."""
    exact = dict.fromkeys((FLOW, INLET, OUTLET), Accuracy(1e-9, 0.0))
    values = {FLOW: 10.0, INLET: 2.5, OUTLET: -2.5}
    sure = coolant_entry(basis_made(recording(values, vehicle=HALF, accuracies=exact)))
    wide = coolant_entry(basis_made(recording(values, accuracies=exact)))
    assert deviation(wide.kWh) > 2.0 * deviation(sure.kWh)
    assert "does not say" in wide.note


def test_missing_coolant_signals_are_named() -> None:
    """What lacks is in the note."""
    entry = coolant_entry(basis_made(recording({FLOW: 10.0, INLET: 3.0})))
    assert entry.kWh is None
    assert "outlet temperature" in entry.note


def test_a_hole_in_the_coolant_is_bridged() -> None:
    """Constant heat keeps its energy over a hole."""
    values = {FLOW: 10.0, INLET: 2.5, OUTLET: -2.5}
    made = recording(values, vehicle=HALF, gaps=(Gap(1000.0, 1900.0),))
    entry = coolant_entry(basis_made(made))
    assert nominal(entry.kWh) * 1e3 == pytest.approx(2868.0, rel=2e-3)
    assert entry.bridged_kWh == pytest.approx(0.25 * 2.868, rel=0.01)


def test_loss_to_the_air() -> None:
    """10 W/K over 20 K for one hour are 0.2 kWh; a pack colder than the air gains."""
    car = Vehicle("Petrel", Pack(58.0, heat_loss_W_per_K=10.0))
    air = "Exterior.AirTemperature"
    warm = {BATTERY + "Temperature.Average": 5.0, air: -15.0}
    entry = to_ambient_entry(basis_made(recording(warm, vehicle=car)))
    assert nominal(entry.kWh) == pytest.approx(0.2)
    assert deviation(entry.kWh) == pytest.approx(0.06, abs=0.02)
    cold = {BATTERY + "Temperature.Average": -15.0, air: 5.0}
    entry = to_ambient_entry(basis_made(recording(cold, vehicle=car)))
    assert nominal(entry.kWh) == pytest.approx(-0.2)


def test_without_outside_air_the_first_temperature_stands_in() -> None:
    """A soaked pack was as cold as the air: assumed, and said so."""
    values = {BATTERY + "Temperature.Average": lambda t: -10.0 + 10.0 * t / t[-1]}
    entry = to_ambient_entry(basis_made(recording(values)))
    assert entry.origin == "assumed"
    assert "first temperature" in entry.note
    assert nominal(entry.kWh) > 0.0
    none = to_ambient_entry(basis_made(recording({CURRENT: 0.0})))
    assert none.kWh is None
