"""A sample of cars and mornings that all fit what is known: the plan is tried on each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.allowed import TemperatureLimit
from thawline.plan.asked import Asked
from thawline.plan.car import PlanCar
from thawline.plan.clock import Clock
from thawline.plan.settings import setting
from thawline.warmup.cabin import PARAMETERS
from thawline.warmup.prior import to_values

Array = NDArray[np.float64]
#: A cabin's heating brings it so far above the wish at its best [K].
ABLE_K = 3.0


@dataclass(frozen=True, slots=True)
class Members:
    """The sample; arrays have the shape (k,) unless said otherwise.

    Parameters
    ----------
    p, cabin : mapping of str to ndarray of float64
        Parameters of the model and of the cabin [unit].
    heat_kW : ndarray of float64
        Full heat [kW].
    until_degC : ndarray of float64
        Coldest cell at which heating stops [degC].
    restart_K : ndarray of float64
        How far the coldest cell must fall below that before it heats again [K].
    help_kW : ndarray of float64
        How much the pack helps heating while charging is asked for [kW].
    charging_degC, regeneration_degC : ndarray of float64
        Coldest cell at which the limits leave zero [degC].
    charging_off, regeneration_off : ndarray of float64
        How far what is allowed is from the middle, in standard deviations [1].
    efficiency : ndarray of float64
        Of the charger [1].
    usable_kWh : ndarray of float64
        Usable energy of the pack [kWh].
    charge_pct : ndarray of float64
        State of charge at the beginning [percent].
    pack_degC : ndarray of float64
        Pack at the beginning [degC].
    outside_off_K : ndarray of float64
        How far the air outside is from the forecast [K].
    cabin_kW, cabin_band_K : ndarray of float64
        Power of the cabin's heating [kW], and the range over which it is taken back [K].
    glass_share, glass_K_per_kW, glass_lag_s, humidity_pct : ndarray of float64
        Glass and cabin air, as in ``plan/glass.py`` [1], [K/kW], [s], [percent].
    """

    p: Mapping[str, Array]
    cabin: Mapping[str, Array]
    heat_kW: Array
    until_degC: Array
    restart_K: Array
    help_kW: Array
    charging_degC: Array
    regeneration_degC: Array
    charging_off: Array
    regeneration_off: Array
    efficiency: Array
    usable_kWh: Array
    charge_pct: Array
    pack_degC: Array
    outside_off_K: Array
    cabin_kW: Array
    cabin_band_K: Array
    glass_share: Array
    glass_K_per_kW: Array
    glass_lag_s: Array
    humidity_pct: Array

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.heat_kW)


def _sets(mean: Array, covariance: Array, normal: Array) -> Array:
    values, vectors = np.linalg.eigh(covariance)
    root = vectors * np.sqrt(np.maximum(values, 0.0))
    return np.asarray(mean + normal @ root.T)


def pack_now_degC(asked: Asked, clock: Clock) -> float:
    """Tell the pack's temperature at the beginning.

    Parameters
    ----------
    asked : Asked
        What is asked for.
    clock : Clock
        The steps.

    Returns
    -------
    float
        As told; else the air outside at the beginning [degC].
    """
    return float(clock.outside[0]) if asked.pack_degC is None else asked.pack_degC


def charge_now_pct(car: PlanCar, asked: Asked) -> float:
    """Tell the state of charge at the beginning.

    Parameters
    ----------
    car : PlanCar
        The car.
    asked : Asked
        What is asked for.

    Returns
    -------
    float
        As told, else as the last recording ended, else half [percent].
    """
    known = asked.charge_now_pct if asked.charge_now_pct is not None else car.charge_last_pct
    return 50.0 if known is None else known


def draw_members(car: PlanCar, asked: Asked, clock: Clock, count: int | None = None) -> Members:
    """Draw the sample; the same request gives the same one.

    Parameters
    ----------
    car : PlanCar
        The car.
    asked : Asked
        What is asked for.
    clock : Clock
        The steps.
    count : int, optional
        How many; the usual number if it is not given [1].

    Returns
    -------
    Members
        Cars and mornings.
    """
    k = count or int(setting("members"))
    rng = np.random.default_rng(int(setting("seed")))

    def normal() -> Array:
        half = rng.standard_normal((k + 1) // 2)
        drawn = np.concatenate([half, -half])[:k]
        return np.asarray(rng.permutation(drawn))

    def spread(value: float, sigma: float) -> Array:
        return np.asarray(value * np.exp(sigma * normal()))

    z = _sets(car.mean, car.covariance, rng.standard_normal((k, len(car.mean))))
    cabin = car.cabin
    cabin_z = _sets(cabin.mean, cabin.covariance, rng.standard_normal((k, len(cabin.mean))))
    until = car.heating.until_degC + car.heating.until_sd_K * normal()
    restart = rng.uniform(setting("restart_low_K"), setting("restart_high_K"), k)
    if asked.heat_to_degC is not None:
        until = np.full(k, asked.heat_to_degC)
        restart = np.full(k, setting("restart_told_K"))
    helps = rng.uniform(size=k) < setting("help_share")
    drawn = {what: _thresholds(limit, rng, k) for what, limit in
             (("charging", car.charging), ("regeneration", car.regeneration))}  # fmt: skip
    off = setting("outside_sd_K") * normal()
    told = asked.pack_degC is not None
    pack = pack_now_degC(asked, clock) + (0.0 if told else 1.0) * off
    found = Members(
        to_values(car.structure.parameters, z),
        to_values(PARAMETERS, cabin_z),
        spread(car.heating.full_kW, car.heating.sigma),
        until,
        restart,
        np.where(helps, setting("help_kW"), 0.0),
        drawn["charging"],
        drawn["regeneration"],
        normal(),
        normal(),
        np.clip(spread(car.efficiency, setting("efficiency_sigma")), 0.6, 1.0),
        spread(car.vehicle.pack.usable_energy_kWh, setting("energy_sigma")),
        np.clip(charge_now_pct(car, asked) + setting("charge_sd_pct") * normal(), 0.0, 100.0),
        pack + setting("pack_sd_K") * normal(),
        off,
        spread(cabin.full_kW, cabin.sigma),
        rng.uniform(setting("band_low_K"), setting("band_high_K"), k),
        np.clip(cabin.glass_share + cabin.glass_share_sd * normal(), 0.05, 0.95),
        spread(cabin.glass_K_per_kW, cabin.glass_K_per_kW_sigma),
        spread(cabin.glass_lag_s, setting("glass_lag_sigma")),
        np.clip(asked.wishes.humidity_pct + setting("humidity_sd_pct") * normal(), 1.0, 100.0),
    )
    return _able(found, asked, clock)


def _thresholds(limit: TemperatureLimit, rng: np.random.Generator, k: int) -> Array:
    # mornings on which something else holds a limit are no matter of a plan: none would do
    return np.asarray(limit.from_degC + limit.sd_K * rng.standard_normal(k))


def _able(members: Members, asked: Asked, clock: Clock) -> Members:
    """Put cabins that their heating can warm in the place of those that it never could.

    A heating that cannot reach comfort at its best is not built; only if most sets say so is
    it believed.
    """
    wish = asked.wishes.cabin_degC
    if wish is None:
        return members
    c = members.cabin
    reach = c["cabin.gain"] * members.cabin_kW / c["cabin.loss"]
    need = wish - float(clock.outside[list(np.array(clock.leaves) - 1)].min())
    able = np.flatnonzero(reach > need + ABLE_K)
    if len(able) < 0.3 * members.count:
        return members
    picked = np.arange(members.count)
    unable = np.setdiff1d(picked, able)
    picked[unable] = able[np.arange(len(unable)) % len(able)]
    return replace(
        members,
        cabin={name: values[picked] for name, values in c.items()},
        cabin_kW=members.cabin_kW[picked],
    )
