"""Write the vehicle file that a person would have."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from thawline.signals.catalogue import find_signal
from thawline.simulator.build import Build
from thawline.simulator.layout import BusSignal


def known_facts(build: Build) -> dict[str, dict[str, object]]:
    """Gather what the owner of a vehicle may know about it.

    Parameters
    ----------
    build : Build
        The vehicle.

    Returns
    -------
    dict of str to dict
        Tables of the vehicle file, without the signals.
    """
    pack, units, coolant = build.pack, build.drive_units, build.coolant
    metal = units.winding_kJ_per_K + units.iron_kJ_per_K
    volume = 2.0 * coolant.hose_l + coolant.pack_l + coolant.reservoir_l
    volume += coolant.jacket_l * len(units.positions)
    return {
        "pack": {
            "usable_energy_kWh": pack.energy_kWh,
            "cells_in_series": pack.cells_in_series,
            "heat_capacity_kJ_per_K": pack.heat_capacity_kJ_per_K,
            "chemistry": pack.chemistry,
        },
        "drive_units": {"count": len(units.positions), "heat_capacity_kJ_per_K": metal},
        "limits": {"charging_from_degC": 0.0, "regeneration_from_degC": -1.0},
        "charger": {"rated_kW": build.charger.rated_kW},
        "cabin": {"comfortable_from_degC": build.cabin.comfortable_from_degC},
        "coolant": {"glycol_mass_fraction": 0.5, "volume_l": round(volume, 1)},
    }


def _value(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, tuple | list):
        return "[" + ", ".join(_value(item) for item in value) + "]"
    text = str(value).replace("\\", "\\\\").replace('"', '\\"')
    return f'"{text}"'


def signal_table(signal: BusSignal, from_: str) -> list[str]:
    """Write the table of one signal.

    Parameters
    ----------
    signal : BusSignal
        The signal.
    from_ : str
        Where it comes from.

    Returns
    -------
    list of str
        Lines.
    """
    lines = [f'[signals."{signal.path}"]', f"from = {_value(from_)}"]
    name = find_signal(signal.path)
    if name is not None and not name.is_state:
        if signal.unit:
            lines.append(f"unit = {_value(signal.unit)}")
        if signal.sign != 1:
            lines.append(f"sign = {signal.sign}")
        if signal.accuracy:
            lines.append(f"accuracy = {_value(signal.accuracy)}")
    if signal.true_when:
        lines.append(f"true_when = {_value(signal.true_when)}")
    return [*lines, ""]


def write_vehicle_file(
    build: Build,
    facts: Mapping[str, Mapping[str, object]],
    sources: Mapping[str, BusSignal],
    path: Path,
) -> None:
    """Write a vehicle file.

    Parameters
    ----------
    build : Build
        The vehicle.
    facts : mapping of str to mapping
        What its owner knows, table by table; all that an owner may know if it is empty.
    sources : mapping of str to BusSignal
        Signals by where they come from.
    path : Path
        The file.
    """
    lines = ["[vehicle]", f"name = {_value(build.name)}", ""]
    for table, keys in (facts or known_facts(build)).items():
        lines.append(f"[{table}]")
        lines += [f"{key} = {_value(value)}" for key, value in keys.items()]
        lines.append("")
    for from_, signal in sources.items():
        lines += signal_table(signal, from_)
    path.write_text("\n".join(lines), encoding="utf-8")
