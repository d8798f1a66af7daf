"""Where heat is kept: in the pack, in the drive units' metal, in the coolant."""

from __future__ import annotations

from thawline.ledger.basis import Basis
from thawline.ledger.energy import HOUR_S
from thawline.ledger.entry import Entry, unknown
from thawline.ledger.temperatures import pack_temperature, rise_of
from thawline.ledger.uncertain import UFloat, around, deviation, nominal, prior
from thawline.physics.battery import heat_capacity_prior_kJ_per_K
from thawline.recording.powers import BATTERY, MOTOR

INLET = BATTERY + "Coolant.InletTemperature"
OUTLET = BATTERY + "Coolant.OutletTemperature"
AT_MOTOR = MOTOR + "EngineCoolant.Temperature"


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
