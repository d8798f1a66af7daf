"""What a trial is worth: readiness, energy, money, carbon dioxide, and what hints at wear."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.plan.settings import setting
from thawline.plan.trial import Bench, Trial

Array = NDArray[np.float64]
Bools = NDArray[np.bool_]
#: Energy drawn from the pack and not put back is priced as if it were, at the mean price.
PERCENT = 100.0


@dataclass(frozen=True, slots=True)
class Met:
    """Which wishes each member meets at a leaving time; shape (k,), None: no wish.

    Parameters
    ----------
    charge, regeneration, cabin, glass : ndarray of bool or None
        Wish by wish.
    together : ndarray of bool
        All of them.
    """

    charge: Bools | None
    regeneration: Bools | None
    cabin: Bools | None
    glass: Bools | None
    together: Bools


def regeneration_needs_degC(bench: Bench) -> Array | None:
    """Find the coldest cell at which each member allows the wished regeneration.

    Parameters
    ----------
    bench : Bench
        The sample.

    Returns
    -------
    ndarray of float64, shape (k,) or None
        None without a wish [degC].
    """
    kW = bench.asked.wishes.regeneration_kW
    if kW is None:
        return None
    m = bench.members
    return np.asarray(m.regeneration_degC + bench.car.regeneration.above_K(kW, m.regeneration_off))


def met(bench: Bench, trial: Trial) -> list[Met]:
    """See which wishes are met.

    Parameters
    ----------
    bench : Bench
        The sample.
    trial : Trial
        What became of it.

    Returns
    -------
    list of Met
        One per leaving time.
    """
    wishes, needs, found = bench.asked.wishes, regeneration_needs_degC(bench), []
    k = bench.members.count
    for i, leave in enumerate(bench.clock.leaves):
        charge = regeneration = cabin = glass = None
        if wishes.charge_pct is not None:
            charge = trial.charge_pct[leave] >= wishes.charge_pct - setting("reached_pct")
        if needs is not None:
            regeneration = trial.coldest[leave] >= needs
        run, lead = bench.cabins[i], trial.programme.leads[i]
        if wishes.cabin_degC is not None:
            cabin = run.is_warm[lead]
        if wishes.clear_glass:
            glass = run.is_clear[lead]
        every = [each for each in (charge, regeneration, cabin, glass) if each is not None]
        together = np.all(every, axis=0) if every else np.ones(k, dtype=np.bool_)
        found.append(Met(charge, regeneration, cabin, glass, together))
    return found


def chance(bench: Bench, trial: Trial) -> float:
    """Find the probability that all wishes are met at all leaving times.

    Parameters
    ----------
    bench : Bench
        The sample.
    trial : Trial
        What became of it.

    Returns
    -------
    float
        Share of the members [1].
    """
    return float(np.all([each.together for each in met(bench, trial)], axis=0).mean())


@dataclass(frozen=True, slots=True)
class Bill:
    """What a trial takes, as means over the members.

    Parameters
    ----------
    energy_kWh : float
        From the supply [kWh].
    from_pack_kWh : float
        Less in the pack at the end than at the beginning [kWh].
    paid : float
        For what the supply gave [currency].
    put_back : float
        What it would cost to put back what the pack lost [currency].
    carbon_g : float
        Carbon dioxide of the supply [g].
    counts : float
        What is minimised: money, and carbon dioxide at its price [currency].
    """

    energy_kWh: float
    from_pack_kWh: float
    paid: float
    put_back: float
    carbon_g: float
    counts: float

    @property
    def cost(self) -> float:
        """Money: what is paid and what would be [currency]."""
        return self.paid + self.put_back


def bill(bench: Bench, trial: Trial) -> Bill:
    """Add up what a trial takes.

    Parameters
    ----------
    bench : Bench
        The sample.
    trial : Trial
        What became of it.

    Returns
    -------
    Bill
        Energy, money, carbon dioxide.
    """
    clock = bench.clock
    kWh = trial.supply_kW.mean(axis=1) * clock.hours
    gone = np.maximum(trial.charge_pct[0] - trial.charge_pct[-1], 0.0) / PERCENT
    gone_kWh = float((gone * bench.members.usable_kWh).mean())
    again = gone_kWh / bench.car.efficiency
    paid, carbon = float(kWh @ clock.price), float(kWh @ clock.carbon)
    put_back = again * float(clock.price.mean())
    counts = float(kWh @ clock.counts) + again * float(clock.counts.mean())
    return Bill(float(kWh.sum()), gone_kWh, paid, put_back, carbon, counts)


@dataclass(frozen=True, slots=True)
class Wear:
    """Charging at a cold cell, as means over the members.

    Parameters
    ----------
    below_low_min, below_high_min : float
        Minutes of charging with the coldest cell below 5 and below 10 °C [min].
    most_rate : float
        Highest charging power over usable energy below 10 °C [1/h].
    """

    below_low_min: float
    below_high_min: float
    most_rate: float


def wear(bench: Bench, trial: Trial) -> Wear:
    """Count the time of charging at a cold cell.

    Parameters
    ----------
    bench : Bench
        The sample.
    trial : Trial
        What became of it.

    Returns
    -------
    Wear
        Minutes and rate.
    """
    charging = trial.charge_kW > 0.05
    cold = 0.5 * (trial.coldest[1:] + trial.coldest[:-1])
    minutes = bench.clock.step_s / 60.0
    low, high = (
        float((charging & (cold < setting(name))).sum(axis=0).mean()) * minutes
        for name in ("wear_low_degC", "wear_high_degC")
    )
    rates = np.where(cold < setting("wear_high_degC"), trial.charge_kW, 0.0)
    return Wear(low, high, float((rates / bench.members.usable_kWh).max(axis=0).mean()))
