"""Where heat is kept: in the pack, in the drive units' metal, in the coolant."""

from __future__ import annotations

import numpy as np

from thawline.ledger.basis import Basis
from thawline.ledger.energy import HOUR_S
from thawline.ledger.entry import Entry, unknown
from thawline.ledger.temperatures import of_channel, pack_temperature, rise_of
from thawline.ledger.uncertain import NOTHING, UFloat, around, deviation, nominal, prior
from thawline.physics.battery import heat_capacity_prior_kJ_per_K
from thawline.physics.glycol import density_kg_per_m3, specific_heat_J_per_kgK
from thawline.recording.powers import BATTERY, MOTOR, paths_like

INLET = BATTERY + "Coolant.InletTemperature"
OUTLET = BATTERY + "Coolant.OutletTemperature"
AT_MOTOR = MOTOR + "EngineCoolant.Temperature"
#: How far drive units and coolant rise when they heat a cold pack [K].
USUAL_RISE_K = 40.0
#: So long the metal takes to follow its winding [s].
CATCH_UP_S = 60.0


def pack_capacity(basis: Basis) -> tuple[UFloat, str, str]:
    """Give the pack's heat capacity.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.

    Returns
    -------
    capacity : UFloat
        Heat capacity [kJ/K].
    origin : str
        ``derived`` from the vehicle file, or ``assumed``.
    note : str
        Where it comes from.
    """
    pack = basis.recording.vehicle.pack
    if pack.heat_capacity_kJ_per_K is not None:
        value = pack.heat_capacity_kJ_per_K * prior("pack_capacity_stated")
        return value, "derived", f"{nominal(value):.0f} kJ/K by the vehicle file"
    value = around(*heat_capacity_prior_kJ_per_K(pack.usable_energy_kWh))
    return value, "assumed", f"a usual {nominal(value):.0f} kJ/K for a pack of its size"


def stored_in_pack_entry(basis: Basis) -> Entry:
    """Find the heat that the pack kept.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.

    Returns
    -------
    Entry
        The line ``stored-in-pack``; negative where it cooled.
    """
    temperature = pack_temperature(basis)
    if temperature is None:
        return unknown("stored-in-pack", "no temperature of the pack is recorded")
    rise = rise_of(basis, temperature)
    capacity, origin, note = pack_capacity(basis)
    said = f"{note} over a rise of {nominal(rise):.1f} K; {temperature.note}"
    return Entry("stored-in-pack", capacity * rise / HOUR_S, origin, said)


def glycol_fraction(basis: Basis) -> tuple[float, float, str]:
    """Give the coolant's share of glycol.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.

    Returns
    -------
    fraction : float
        Mass fraction of ethylene glycol [1].
    sigma : float
        Its standard uncertainty [1].
    note : str
        Where it comes from.
    """
    stated = basis.recording.vehicle.coolant.glycol_mass_fraction
    if stated is not None:
        sigma = deviation(prior("glycol_fraction_stated"))
        return stated, sigma, f"{stated:.0%} ethylene glycol by mass by the vehicle file"
    usual = prior("glycol_fraction")
    note = f"taken as {nominal(usual):.0%} ethylene glycol by mass: the vehicle file does not say"
    return nominal(usual), deviation(usual), note


def _still_hotter(basis: Basis, count: int) -> UFloat:
    """How far windings stand above the metal at the end, more than at the beginning [K]."""
    power = basis.powers.get("drive-unit-heating")
    if power is None:
        return NOTHING
    ticks = max(1, round(CATCH_UP_S / power.step_s))
    more = float(np.mean(power.kW[-ticks:]) - np.mean(power.kW[:ticks])) / max(count, 1)
    return prior("winding_above_metal") * more


def _metal(basis: Basis) -> tuple[UFloat, str] | None:
    """Heat kept by the drive units' metal, by their windings' rise."""
    units = basis.recording.vehicle.drive_units
    each = prior("unit_heat_capacity")
    if units.heat_capacity_kJ_per_K is not None:
        each = units.heat_capacity_kJ_per_K * prior("unit_heat_capacity_stated")
    windings = [
        path for path in paths_like(basis.recording, MOTOR, ".Temperature") if path != AT_MOTOR
    ] or [MOTOR + "Temperature"]
    found = [t for path in windings if (t := of_channel(basis, path)) is not None]
    if not found:
        return None
    count = len(found) if units.count is None else max(units.count, 1)
    lag, share = _still_hotter(basis, count), prior("winding_to_mean")
    total: UFloat = NOTHING
    for temperature in found:
        rise = share * (rise_of(basis, temperature) - lag)
        total = total + each * rise * (count / len(found)) / HOUR_S
    return total, f"drive units by {len(found)} winding temperature(s)"


def _fluid(basis: Basis) -> tuple[UFloat, str] | None:
    """Heat kept by the coolant itself."""
    litres = prior("coolant_volume")
    stated = basis.recording.vehicle.coolant.volume_l
    if stated is not None:
        litres = stated * prior("coolant_volume_stated")
    paths = (INLET, OUTLET, AT_MOTOR)
    found = [t for path in paths if (t := of_channel(basis, path)) is not None]
    if not found:
        return None
    fraction, _, _ = glycol_fraction(basis)
    middle = sum(float(t.degC.mean()) for t in found) / len(found)
    per_litre = (
        float(density_kg_per_m3(fraction, middle) * specific_heat_J_per_kgK(fraction, middle)) / 1e6
    )
    rise: UFloat = NOTHING
    for temperature in found:
        rise = rise + rise_of(basis, temperature) / len(found)
    return litres * per_litre * rise / HOUR_S, f"{nominal(litres):.0f} l of coolant"


def stored_elsewhere_entry(basis: Basis) -> Entry:
    """Find the heat that drive units and coolant kept.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.

    Returns
    -------
    Entry
        The line ``stored-elsewhere``.
    """
    found = [part for part in (_metal(basis), _fluid(basis)) if part is not None]
    if not found:
        widest = _could_be(basis)
        note = "neither winding nor coolant temperatures are recorded"
        return unknown("stored-elsewhere", note, widest)
    total: UFloat = NOTHING
    for value, _ in found:
        total = total + value
    return Entry("stored-elsewhere", total, "derived", "; ".join(note for _, note in found))


def _could_be(basis: Basis) -> float:
    """Heat of drive units and coolant for a rise that standstill heating usually brings."""
    count = basis.recording.vehicle.drive_units.count or 1
    metal = nominal(prior("unit_heat_capacity")) * count
    fluid = nominal(prior("coolant_volume")) * 3.5
    return (metal + fluid) * USUAL_RISE_K / HOUR_S
