"""What takes electrical energy beside the pack: heating of the drive units, cabin, the rest."""

from __future__ import annotations

import numpy as np

from thawline.ledger.base_load import base_load
from thawline.ledger.basis import Basis, conditioning
from thawline.ledger.drive import driving
from thawline.ledger.energy import HOUR_S, energy
from thawline.ledger.entry import Entry, unknown
from thawline.ledger.uncertain import NOTHING, UFloat, around, cause, deviation, nominal, prior
from thawline.recording.powers import BATTERY, CABIN, MOTOR, paths_like

#: Conditioning is taken for heating, not cooling, while the pack is colder than this [degC].
COOL_PACK_DEGC = 20.0
#: What lies evenly anywhere from nothing to all has this share of all as root mean square [1].
EVENLY = float(1.0 / np.sqrt(3.0))


def heating_entry(basis: Basis) -> Entry:
    """Find what was turned to heat in the drive units at standstill.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.

    Returns
    -------
    Entry
        The line ``drive-unit-heating``.
    """
    units = basis.recording.vehicle.drive_units
    power = basis.powers.get("drive-unit-heating")
    if power is not None:
        found = energy(power, basis.sensors)
        recorded = len(paths_like(basis.recording, MOTOR, ".StandstillHeat"))
        if units.count is None or not 0 < recorded < units.count:
            return Entry(
                "drive-unit-heating", found.kWh, power.origin, power.note, found.bridged_kWh
            )
        missing = found.kWh * ((units.count - recorded) / recorded)
        whole = found.kWh + missing * around(1.0, 0.3)
        note = f"{recorded} of {units.count} drive units recorded, the others taken as equal"
        return Entry("drive-unit-heating", whole, "derived", note, found.bridged_kWh)
    return _by_conditioning(basis)


def _by_conditioning(basis: Basis) -> Entry:
    units = basis.recording.vehicle.drive_units
    count = 1 if units.count is None else units.count
    each = prior("standstill_heat_per_unit")
    if units.standstill_heat_kW is not None:
        each = around(units.standstill_heat_kW, 0.2 * units.standstill_heat_kW)
    if count == 0:
        return Entry("drive-unit-heating", NOTHING, "assumed", "no drive unit heats")
    says = conditioning(basis)
    if says is None:
        stood = float(np.count_nonzero(~basis.moves)) * basis.flows.step_s / HOUR_S
        widest = nominal(each) * count * stood
        return unknown("drive-unit-heating", "not recorded", widest * EVENLY)
    heats = says & ~basis.moves & ~basis.on("pack-heater")
    for name in ("Temperature.Min", "Temperature.Average", "Temperature.Max"):
        temperature = basis.channel(BATTERY + name)
        if temperature is not None:
            heats &= np.nan_to_num(temperature) < COOL_PACK_DEGC
            break
    hours = float(np.count_nonzero(heats)) * basis.flows.step_s / HOUR_S
    note = (
        f"not recorded; the car conditioned its pack for {hours * 60.0:.0f} min, "
        f"taken at {nominal(each):.1f} kW in each of {count} drive units"
    )
    return Entry("drive-unit-heating", each * (count * hours), "assumed", note)


def cabin_entry(basis: Basis) -> Entry:
    """Find what the cabin's heaters and the compressor took.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.

    Returns
    -------
    Entry
        The line ``cabin-heating``.
    """
    power = basis.powers.get("cabin-heating")
    if power is not None:
        found = energy(power, basis.sensors)
        return Entry("cabin-heating", found.kWh, power.origin, power.note, found.bridged_kWh)
    widest = deviation(prior("cabin_unknown"))
    asked = basis.state(CABIN + "IsConditioningRequested")
    if asked is None:
        return unknown("cabin-heating", "not recorded", widest * basis.hours)
    hours = float(np.count_nonzero(asked)) * basis.flows.step_s / HOUR_S
    if hours == 0.0:
        note = "not recorded, but it was never asked for"
        return Entry("cabin-heating", NOTHING, "assumed", note)
    note = f"not recorded, though it was asked for over {hours * 60.0:.0f} min"
    return unknown("cabin-heating", note, widest * 2.0 * hours)


def _low_voltage(basis: Basis) -> tuple[UFloat, str, str, float]:
    power = basis.powers.get("low-voltage")
    if power is not None:
        found = energy(power, basis.sensors)
        return found.kWh, "measured", "low-voltage converter", found.bridged_kWh
    value, note = base_load(basis)
    return value, "assumed", note, 0.0


def has_hidden_heater(basis: Basis) -> bool:
    """Tell whether the pack is heated by something that is not recorded.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.

    Returns
    -------
    bool
        True for a car whose drive units do not heat and whose pack heater is not recorded.
    """
    return basis.recording.vehicle.drive_units.count == 0 and "pack-heater" not in basis.powers


def hidden_heat_kWh(basis: Basis) -> float:
    """Give how much a heater may have made that is not recorded.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.

    Returns
    -------
    float
        Standard uncertainty about zero [kWh].
    """
    says = conditioning(basis)
    hours = basis.hours
    if says is not None:
        hours = float(np.count_nonzero(says)) * basis.flows.step_s / HOUR_S
    return deviation(prior("heater_unknown")) * hours


def other_entry(basis: Basis) -> Entry:
    """Find what everything else took: low voltage, a pack heater, driving.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.

    Returns
    -------
    Entry
        The line ``other-loads``.
    """
    total, origin, note, bridged = _low_voltage(basis)
    notes = [note]
    heater = basis.powers.get("pack-heater")
    if heater is not None:
        found = energy(heater, basis.sensors)
        total, bridged = total + found.kWh, bridged + found.bridged_kWh
        notes.append(f"the pack's own heater ({nominal(found.kWh):.2f} kWh)")
    elif has_hidden_heater(basis):
        total = total + cause(hidden_heat_kWh(basis))
        notes.append("the pack's own heater is not recorded")
    driven = driving(basis)
    if driven is not None:
        more, how, said, filled = driven
        total, bridged = total + more, bridged + filled
        notes.append(f"{said} ({nominal(more):.2f} kWh)")
        if origin != "assumed":
            origin = how
    return Entry("other-loads", total, origin, "; ".join(notes), bridged)
