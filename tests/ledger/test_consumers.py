"""Heating, cabin and other loads with whatever is recorded of them."""

from __future__ import annotations

import pytest

from tests.ledger.made import BALANCED, BATTERY, ledger_of, line_of, recording
from thawline.ledger.ledger import Line
from thawline.vehicle.vehicle import DriveUnits, Pack, Vehicle

ONGOING = BATTERY + "BatteryConditioning.IsOngoing"


def line(name: str, values: dict, vehicle: Vehicle | None = None) -> Line:
    return line_of(ledger_of(recording(values, vehicle=vehicle)), name)


def without(*parts: str) -> dict:
    return {p: v for p, v in BALANCED.items() if not any(part in p for part in parts)}


def units(**kinds: float) -> Vehicle:
    return Vehicle("Gannet", Pack(72.0, 108), DriveUnits(**kinds))


def test_a_missing_drive_unit_is_taken_as_equal() -> None:
    """One of two units recorded: twice its heat, derived, with a wide sigma."""
    found = line("drive-unit-heating", dict(BALANCED), units(count=2))
    assert (found.kWh, found.origin) == (pytest.approx(6.0), "derived")
    assert found.plus_minus_kWh > 0.5
    assert "1 of 2" in found.note


def test_conditioning_stands_in_for_heating() -> None:
    """The car heated for half an hour; 3.4 kW per unit in two units are 3.4 kWh, assumed.

    3.4 kW per drive unit: common practice, no source.
    """
    values = {
        **without("StandstillHeat"),
        ONGOING: lambda t: (t < 1800.0).astype(float),
        BATTERY + "Temperature.Min": -10.0,
    }
    found = line("drive-unit-heating", values, units(count=2))
    assert (found.kWh, found.origin) == (pytest.approx(3.4, rel=0.01), "assumed")
    assert found.plus_minus_kWh == pytest.approx(1.0, rel=0.05)


def test_the_vehicle_files_heat_is_preferred_to_the_usual_one() -> None:
    """A file that states 2.5 kW per unit is believed."""
    values = {**without("StandstillHeat"), ONGOING: 1.0, BATTERY + "Temperature.Min": -10.0}
    found = line("drive-unit-heating", values, units(count=1, standstill_heat_kW=2.5))
    assert found.kWh == pytest.approx(2.5, rel=0.01)


@pytest.mark.parametrize("extra", [{BATTERY + "Temperature.Min": 35.0}, {"Speed": 60.0}])
def test_conditioning_is_not_always_heating(extra: dict) -> None:
    """A warm pack is cooled, and a car that drives does not heat at standstill."""
    found = line("drive-unit-heating", {**without("StandstillHeat"), ONGOING: 1.0, **extra})
    assert found.kWh == pytest.approx(0.0, abs=1e-9)


def test_without_any_sign_heating_is_unknown() -> None:
    """Neither heat nor conditioning recorded: unknown, not guessed."""
    found = line("drive-unit-heating", without("StandstillHeat"))
    assert (found.kWh, found.origin) == (None, "unknown")


def test_cabin_that_was_never_asked_for_took_nothing() -> None:
    """No heater recorded, but no request either: zero, assumed; with a request: unknown."""
    asked = "Cabin.HVAC.IsConditioningRequested"
    none = line("cabin-heating", {**without("Cabin"), asked: 0.0})
    assert (none.kWh, none.origin) == (0.0, "assumed")
    some = line("cabin-heating", {**without("Cabin"), asked: 1.0})
    assert (some.kWh, some.origin) == (None, "unknown")


def test_all_heaters_and_the_compressor_are_the_cabin() -> None:
    """1 kW of air heater, 0.5 kW of glass heater and 0.8 kW of compressor are 2.3 kWh."""
    values = {
        **BALANCED,
        "Cabin.HVAC.Heater.Glass.Power": 500.0,
        "Cabin.HVAC.Compressor.Power": 800.0,
    }
    assert line("cabin-heating", values).kWh == pytest.approx(2.3)


def test_a_pack_heater_counts_among_other_loads() -> None:
    """The pack's own heater is in other loads, and the note says so."""
    found = line("other-loads", {**BALANCED, BATTERY + "Heater.Power": 2000.0})
    assert found.kWh == pytest.approx(2.4)
    assert "pack's own heater (2.00 kWh)" in found.note


def test_heating_that_nothing_tells_may_be_all_that_the_units_can() -> None:
    """Evenly between nothing and 3.4 kW in each of two units over an hour: 6.8 / root 3 kWh.

    Standard uncertainty of an even spread about zero: JCGM 100:2008, 4.3.7 (from memory).
    """
    values = {**without("StandstillHeat"), BATTERY + "Temperature.Min": -10.0}
    ledger = ledger_of(recording(values, vehicle=units(count=2)))
    assert line_of(ledger, "drive-unit-heating").kWh is None
    assert line_of(ledger, "unaccounted").plus_minus_kWh >= 6.8 / 3.0**0.5 * 0.99
