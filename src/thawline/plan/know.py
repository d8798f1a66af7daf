"""Put together what is known of a car: from its recordings, or from its file alone."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.allowed import LearnedLimits, usual_limit
from thawline.physics.battery import nominal_cell_V, resistance_at_mOhm, resistance_prior_mOhm
from thawline.plan.car import CabinHeating, Heating, PlanCar
from thawline.plan.glass import fit_glass
from thawline.plan.settings import setting
from thawline.plan.shown import (
    Morning,
    efficiency_shown,
    full_heat_kW,
    heat_ends,
    heat_shown,
    last_charge_pct,
    level_shown,
    taper,
)
from thawline.vehicle.vehicle import Vehicle
from thawline.warmup.cabin import PARAMETERS, cabin_prior
from thawline.warmup.heat_sources import expected_heat_kW
from thawline.warmup.prior import Prior, prior_for
from thawline.warmup.structure import Structure, expected, smallest
from thawline.warmup.warmup import WarmUp

Array = NDArray[np.float64]
#: Voltage of a pack whose cells in series are not told [V].
USUAL_V = 360.0


def know_car(
    vehicle: Vehicle,
    mornings: Sequence[Morning] = (),
    warmups: Sequence[WarmUp] = (),
    prior: Prior | None = None,
    limits: LearnedLimits | None = None,
) -> PlanCar:
    """Put together what is known of a car.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle.
    mornings : sequence of Morning
        Its recordings, the latest last; none: priors alone.
    warmups : sequence of WarmUp
        Their fits.
    prior : Prior or None
        What the fits together teach.
    limits : LearnedLimits or None
        What the recordings teach of limits and habits.

    Returns
    -------
    PlanCar
        The car, with what is taken for granted.
    """
    said: list[str] = []
    structure = _structure(warmups)
    mean, covariance = prior_for(structure, vehicle, prior)
    if not warmups:
        said.append("No recording of this vehicle is known: all of it rests on its file and on "
                    "common practice, with wide margins.")  # fmt: skip
    heating = _heating(vehicle, mornings, limits, said)
    cabin = _cabin(mornings, prior, said)
    charging, regeneration = (
        (limits and getattr(limits, what)) or usual_limit(vehicle, what)
        for what in ("charging", "regeneration")
    )
    for what, limit in (("Charging", charging), ("Regeneration", regeneration)):
        how = {"learned": "learned", "model": "learned from others of its model"}.get(
            limit.origin, f"by {limit.origin}"
        )
        said.append(f"{what} is allowed from {limit.from_degC:.1f} °C at the coldest cell, {how}.")
    shown = efficiency_shown(mornings)
    efficiency = vehicle.charger.efficiency or shown or setting("efficiency")
    if vehicle.charger.rated_kW is None:
        said.append("The charger's rated power is not known; the supply alone bounds it.")
    last = last_charge_pct(mornings[-1].recording) if mornings else None
    return PlanCar(
        vehicle,
        structure,
        mean,
        covariance,
        heating,
        cabin,
        charging,
        regeneration,
        vehicle.charger.rated_kW,
        efficiency,
        level_shown(mornings, "low-voltage", 0.6) or setting("base_kW"),
        cell_heat_per_kW2(vehicle),
        last,
        len(mornings),
        tuple(said),
    )


def cell_heat_per_kW2(vehicle: Vehicle) -> float:
    """Find the heat in the cells near 0 degC, by the prior resistance.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle.

    Returns
    -------
    float
        Heat per square of the pack's power [1/kW].
    """
    pack = vehicle.pack
    cells = pack.cells_in_series
    volts = USUAL_V if cells is None else cells * nominal_cell_V(pack.chemistry)
    if pack.resistance_mOhm is not None:
        ohm = float(resistance_at_mOhm(pack.resistance_mOhm, 0.0, 20.0)) / 1e3
    else:
        middle = resistance_prior_mOhm(pack.usable_energy_kWh, volts, pack.chemistry)[0]
        ohm = float(resistance_at_mOhm(middle, 0.0)) / 1e3
    return ohm * 1e3 / volts**2


def _structure(warmups: Sequence[WarmUp]) -> Structure:
    tested = [w for w in warmups if w.is_tested] or list(warmups)
    if tested:
        return tested[-1].structure
    return expected(smallest(("bulk", "coldest"), has_flow=False, heat="assumed"))


def _heating(
    vehicle: Vehicle, mornings: Sequence[Morning], limits: LearnedLimits | None, said: list[str]
) -> Heating:
    shown = heat_shown(mornings)
    until, sd = setting("until_degC"), setting("until_sd_K")
    ended = heat_ends(mornings)
    if ended:
        # for the cabin alone it stops earlier: those near the warmest are of charging
        group = [degC for degC in ended if degC > max(ended) - setting("until_apart_K")]
        until = float(np.mean(group))
        own = setting("until_learned_sd_K") / np.sqrt(len(group))
        sd = float(np.hypot(np.std(group), max(own, setting("until_least_sd_K"))))
        said.append(f"The car's own heating stops at {until:.1f} °C at the coldest cell, learned.")
    else:
        said.append(f"The car's own heating is taken to stop near {until:.0f} °C at the coldest "
                    "cell (common practice, no source).")  # fmt: skip
    flow = 1.0 if limits is None else limits.flow_share or 1.0
    if shown is None:
        stated = vehicle.drive_units.standstill_heat_kW is not None
        kW = expected_heat_kW(vehicle)
        how = "as the vehicle file says" if stated else "by common practice"
        said.append(f"Heating the pack takes {kW:.1f} kW, {how}.")
        sigma = setting("heat_stated_sigma" if stated else "heat_common_sigma")
        return Heating(kW, sigma, False, until, sd, flow_share=flow)
    if not ended:
        until = max(until, float(shown.coldest.max()))
        full = full_heat_kW(shown, until)
        return Heating(full, setting("heat_sigma"), shown.is_heater, until, sd, flow_share=flow)
    full = full_heat_kW(shown, until)
    below, share = taper(shown, until, full)
    return Heating(full, setting("heat_sigma"), shown.is_heater, until, sd, below, share, flow)


def _cabin(mornings: Sequence[Morning], prior: Prior | None, said: list[str]) -> CabinHeating:
    learned = level_shown(mornings, "cabin-heating", 0.98)
    full = learned or setting("cabin_kW")
    if learned is None:
        said.append(f"A cold cabin's heating takes {full:.1f} kW (common practice, no source).")
    mean, covariance = cabin_prior(prior)
    if prior is None or not set(PARAMETERS) <= set(prior.names):
        i, gain = PARAMETERS.index("cabin.loss"), mean[PARAMETERS.index("cabin.gain")]
        mean = mean.copy()
        mean[i] = gain + np.log(full / setting("cabin_made_K"))
        covariance = covariance.copy()
        covariance[i, i] = setting("cabin_sigma") ** 2
    glass = fit_glass(mornings)
    if glass is None:
        said.append("How the glass warms was never recorded: by common practice, widely.")
    return CabinHeating(
        full,
        setting("cabin_sigma") * (0.4 if learned is not None else 1.0),
        mean,
        covariance,
        setting("glass_share") if glass is None else glass.share,
        setting("glass_share_sd") * (1.0 if glass is None else 0.3),
        setting("glass_K_per_kW") if glass is None else glass.K_per_kW,
        setting("glass_K_per_kW_sigma") * (1.0 if glass is None else 0.25),
        setting("glass_lag_s") if glass is None else glass.lag_s,
        glass is not None,
    )
