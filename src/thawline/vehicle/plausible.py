"""Notice what can be, but hardly is: a heat capacity, a number of cells, of drive units."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import TYPE_CHECKING

from thawline.errors import DatabaseError, UnitError
from thawline.physics.battery import nominal_cell_V
from thawline.physics.constants import constants, read_table
from thawline.quantities import converter
from thawline.vehicle.against_log import VOLTAGE, Logged
from thawline.vehicle.finding import Finding
from thawline.vehicle.places import Names, find_places, line_of
from thawline.vehicle.vehicle import Vehicle

if TYPE_CHECKING:  # the database brings a heavy library along that this room does not use
    from thawline.signals.database import Database

MOTOR = "Powertrain.ElectricMotor."


@cache
def _bounds() -> dict[str, float]:
    rows = read_table("thawline.vehicle", "plausible.csv")
    return {row["name"]: float(row["value"]) for row in rows}


def _heat_capacity(vehicle: Vehicle, line: int) -> Iterator[Finding]:
    stated, energy = vehicle.pack.heat_capacity_kJ_per_K, vehicle.pack.usable_energy_kWh
    if stated is None:
        return
    low, high = constants()["pack_heat_capacity_low"], constants()["pack_heat_capacity_high"]
    if not low <= stated / energy <= high:
        yield Finding(
            "implausible",
            line,
            f"heat_capacity_kJ_per_K (={stated:g}) is {stated / energy:.2g} kJ/K for each kWh; "
            f"packs have {low:g} to {high:g}, here {low * energy:.0f} to {high * energy:.0f} kJ/K.",
            "Check it, or leave it out to have a usual one taken.",
        )


def _highest_in_database(vehicle: Vehicle, database: Database | None) -> float | None:
    source = vehicle.signals.get(VOLTAGE)
    if source is None or database is None:
        return None
    try:
        layout = database.signal(source.from_, source.bus)
        if layout.maximum is None or layout.minimum == layout.maximum:
            return None
        factor, offset = converter(source.unit or layout.unit or "V", "V")
    except (DatabaseError, UnitError):
        return None
    return factor * layout.maximum + offset


def _cells(
    vehicle: Vehicle, highest_V: float | None, seen_V: float | None, line: int
) -> Iterator[Finding]:
    cells = vehicle.pack.cells_in_series
    if cells is None:
        return
    nominal = nominal_cell_V(vehicle.pack.chemistry)
    low, high = _bounds()["cell_lowest"], _bounds()["cell_highest"]
    whole = f"cells_in_series (={cells})"
    if seen_V is not None and not low <= seen_V / cells <= high:
        yield Finding(
            "implausible",
            line,
            f"{whole} and the pack's {seen_V:.0f} V in the log give {seen_V / cells:.2f} V a cell.",
            f"About {seen_V / nominal:.0f} cells would fit; check the voltage's unit too.",
        )
    elif highest_V is not None and highest_V < cells * nominal:
        yield Finding(
            "implausible",
            line,
            f"{whole} of {nominal:g} V make {cells * nominal:.0f} V, but the database lets the "
            f"pack's voltage rise to {highest_V:.0f} V only.",
            "Check the number of cells, and the voltage's source and unit.",
        )


def _units(vehicle: Vehicle, line: int) -> Iterator[Finding]:
    heating = [
        path
        for path in vehicle.signals
        if path.startswith(MOTOR) and path.endswith(".StandstillHeat")
    ]
    each = [path for path in heating if path != f"{MOTOR}StandstillHeat"]
    count = vehicle.drive_units.count
    if count is not None and len(each) > count:
        yield Finding(
            "implausible",
            line,
            f"count (={count}) of drive units that can heat, but {len(each)} are mapped.",
            "Check the number, and the paths.",
        )
    if each and len(each) < len(heating):
        yield Finding(
            "implausible",
            vehicle.signals[f"{MOTOR}StandstillHeat"].line,
            f"both the heat of all drive units and that of {len(each)} are mapped; those of single "
            "drive units are used.",
            "Leave one of them out.",
        )


def implausible(vehicle: Vehicle, database: Database | None, logged: Logged) -> list[Finding]:
    """Find what is hardly so.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle.
    database : Database or None
        The signal database, for the range of the pack's voltage.
    logged : Logged
        What a log shows.

    Returns
    -------
    list of Finding
        What to look at again.
    """
    places = find_places(vehicle.source)

    def line(*names: str) -> int:
        where: Names = names
        return places.get(where, line_of(places, where))

    highest = _highest_in_database(vehicle, database)
    return [
        *_heat_capacity(vehicle, line("pack", "heat_capacity_kJ_per_K")),
        *_cells(vehicle, highest, logged.voltage_V, line("pack", "cells_in_series")),
        *_units(vehicle, line("drive_units", "count")),
    ]
