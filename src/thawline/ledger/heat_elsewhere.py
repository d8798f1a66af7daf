"""Heat kept outside the pack: in the drive units' metal and in the coolant.

A drive unit's metal lies between its coolant and its winding: iron and housing pass heat to
the coolant more easily than the winding passes it to them.
"""

from __future__ import annotations

import numpy as np

from thawline.ledger.basis import Basis
from thawline.ledger.energy import HOUR_S
from thawline.ledger.entry import Entry, unknown
from thawline.ledger.heat_stores import INLET, OUTLET, glycol_fraction
from thawline.ledger.temperatures import Temperature, of_channel, rise_of
from thawline.ledger.uncertain import NOTHING, UFloat, deviation, nominal, prior
from thawline.physics.glycol import density_kg_per_m3, specific_heat_J_per_kgK
from thawline.recording.powers import MOTOR, paths_like

AT_MOTOR = MOTOR + "EngineCoolant.Temperature"
#: How far drive units and coolant rise when they heat a cold pack [K].
USUAL_RISE_K = 40.0
#: So long the metal takes to follow its winding [s].
CATCH_UP_S = 60.0


def _mean_rise(basis: Basis, found: list[Temperature]) -> UFloat:
    total: UFloat = NOTHING
    for temperature in found:
        total = total + rise_of(basis, temperature) / len(found)
    return total


def _units(basis: Basis, windings: int) -> UFloat:
    """How many drive units there are."""
    count = basis.recording.vehicle.drive_units.count
    if count:
        return NOTHING + count
    return NOTHING + windings if windings else prior("units_unknown")


def _winding_lead(basis: Basis, units: UFloat) -> UFloat:
    """How far windings stand above the metal at the end, more than at the beginning [K]."""
    ticks = max(1, round(CATCH_UP_S / basis.flows.step_s))
    more = 0.0
    for name, share in (
        ("drive-unit-heating", 1.0),
        ("driving", 1.0 - nominal(prior("driving_efficiency"))),
    ):
        if name in basis.powers:
            heat = np.abs(basis.powers[name].kW) * share
            more += float(np.mean(heat[-ticks:]) - np.mean(heat[:ticks]))
    return prior("winding_above_metal") * more / max(nominal(units), 1.0)


def _fluid_rise(basis: Basis, windings: list[Temperature]) -> tuple[UFloat, float, str] | None:
    """Find the coolant's rise [K], its middle temperature [degC], and how."""
    found = [t for path in (INLET, OUTLET, AT_MOTOR) if (t := of_channel(basis, path)) is not None]
    if found:
        middle = sum(float(t.degC.mean()) for t in found) / len(found)
        return _mean_rise(basis, found), middle, "coolant"
    if windings:
        rise = _mean_rise(basis, windings) * prior("coolant_under_winding")
        return rise, float(windings[0].degC.mean()) / 2.0, "coolant, by the windings"
    return None


def _metal_rise(basis: Basis, windings: list[Temperature], units: UFloat) -> tuple[UFloat, str]:
    """Find the rise of the drive units' metal [K], and how; windings or coolant are known."""
    hot = next((t for path in (AT_MOTOR, INLET) if (t := of_channel(basis, path))), None)
    if windings and hot is not None:
        between = prior("metal_between")
        rise = between * _mean_rise(basis, windings) + (1.0 - between) * rise_of(basis, hot)
        return rise, "drive units between windings and coolant"
    if windings:
        rise = _mean_rise(basis, windings) - _winding_lead(basis, units)
        return rise, "drive units by their windings"
    hot = hot or of_channel(basis, OUTLET)
    assert hot is not None  # the caller has found windings or coolant
    return rise_of(basis, hot) * prior("metal_above_coolant"), "drive units by the coolant"


def lost_elsewhere_kWh(basis: Basis) -> float:
    """Bound the heat that drive units and hoses lose to the air, which no line holds.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.

    Returns
    -------
    float
        A usual conductance times how much warmer than the air the metal was, over the
        recording; 0 where neither winding nor coolant temperatures are recorded [kWh].
    """
    paths = paths_like(basis.recording, MOTOR, ".Temperature")
    found = [t for path in paths or [MOTOR + "Temperature"] if (t := of_channel(basis, path))]
    fluid = [t for path in (INLET, OUTLET, AT_MOTOR) if (t := of_channel(basis, path))]
    hot = found or fluid
    if not hot:
        return 0.0
    outside = of_channel(basis, "Exterior.AirTemperature")
    metal = sum(float(t.degC.mean()) for t in hot) / len(hot)
    air = hot[0].degC[0] if outside is None else outside.degC.mean()
    conductance = deviation(prior("unit_loss")) * nominal(_units(basis, len(found)))
    return abs(metal - float(air)) * conductance * basis.hours / 1e3


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
    vehicle = basis.recording.vehicle
    paths = paths_like(basis.recording, MOTOR, ".Temperature")
    paths = paths or [MOTOR + "Temperature"]
    windings = [t for path in paths if (t := of_channel(basis, path)) is not None]
    units = _units(basis, len(windings))
    each, litres = prior("unit_heat_capacity"), prior("coolant_volume")
    if vehicle.drive_units.heat_capacity_kJ_per_K is not None:
        each = vehicle.drive_units.heat_capacity_kJ_per_K * prior("unit_heat_capacity_stated")
    if vehicle.coolant.volume_l is not None:
        litres = vehicle.coolant.volume_l * prior("coolant_volume_stated")
    fluid = _fluid_rise(basis, windings)
    fraction, _, _ = glycol_fraction(basis)
    if fluid is None:
        per_litre = _kJ_per_lK(fraction, 0.0)
        widest = (nominal(each) * nominal(units) + nominal(litres) * per_litre) * USUAL_RISE_K
        note = "neither winding nor coolant temperatures are recorded"
        return unknown("stored-elsewhere", note, widest / HOUR_S)
    warmer, middle, how = fluid
    metal, said = _metal_rise(basis, windings, units)
    total = each * units * metal + litres * _kJ_per_lK(fraction, middle) * warmer
    return Entry(
        "stored-elsewhere", total / HOUR_S, "derived", f"{said}; {nominal(litres):.0f} l of {how}"
    )


def _kJ_per_lK(fraction: float, degC: float) -> float:
    specific = specific_heat_J_per_kgK(fraction, degC)
    return float(density_kg_per_m3(fraction, degC) * specific) / 1e6
