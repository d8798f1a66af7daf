"""Find the states of charge: the physical one is the pack current's integral.

    SoC(t) - SoC(0) = 100 / C · ∫ I dt

The displayed one also rises as the pack warms, though nothing is charged.

References
----------
.. [1] Plett, G. L.: Battery Management Systems, vol. 2 (2016), ch. 3: coulomb counting.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.suggest.curves import fit, integral, smooth
from thawline.suggest.kinds import Reading
from thawline.suggest.pack import Pair
from thawline.suggest.thresholds import threshold

#: Percent in one, and seconds in an hour [1, s].
PERCENT, HOUR_S = 100.0, 3600.0
#: A state of charge is smooth over so many seconds [s], and never faster than this [percent/s].
CALM_S, FASTEST_PCT_PER_S = 15, 0.15


@dataclass(frozen=True, slots=True)
class Counted:
    """A share held against the integral of the pack's current.

    Parameters
    ----------
    reading : Reading
        The share.
    capacity_Ah : float
        Charge that moves it from empty to full; negative if it falls with current in [A*h].
    energy_kWh : float
        The same times the mean voltage [kWh].
    energy_plus_minus_kWh : float
        Standard uncertainty of that from the sensor's steps [kWh].
    rest_steps : float
        Standard deviation of what the integral does not explain, in sensor steps [1].
    rest_pct : float
        The same [percent].
    explained : float
        Share of its variance that the integral explains [1].
    moved_steps : float
        How far the integral moves it, in sensor steps [1].
    """

    reading: Reading
    capacity_Ah: float
    energy_kWh: float
    energy_plus_minus_kWh: float
    rest_steps: float
    rest_pct: float
    explained: float
    moved_steps: float

    @property
    def is_counted(self) -> bool:
        """Whether the integral explains it down to the sensor's steps, or to a trifle."""
        by_integral = self.explained >= threshold("charge_rest_explained")
        fine = by_integral and self.rest_pct <= threshold("charge_rest_pct")
        return (
            (self.rest_steps <= threshold("charge_rest_steps") or fine)
            and self.moved_steps >= threshold("charge_least_steps")
            and threshold("energy_low") <= self.energy_kWh <= threshold("energy_high")
        )


def is_charge_like(reading: Reading) -> bool:
    """Tell whether a share may be a state of charge: smooth, between 0 and 100.

    Parameters
    ----------
    reading : Reading
        A reading as a share.

    Returns
    -------
    bool
        True if it moves slowly within 0 to 100 percent.
    """
    seen = reading.values[np.isfinite(reading.values)]
    if len(seen) < 60 or seen.min() < -1.0 or seen.max() > 101.0 or np.ptp(seen) <= 0.0:
        return False
    # even at 250 kW a pack of 50 kWh moves by less than 0.14 percent in a second
    calm = smooth(reading.values, CALM_S)
    moved = np.abs(calm[CALM_S:] - calm[:-CALM_S])
    return bool(np.nanmax(moved) <= FASTEST_PCT_PER_S * CALM_S + 2.0 * reading.step)


def count(reading: Reading, pair: Pair, segment: NDArray[np.int64]) -> Counted | None:
    """Hold a share against the integral of a pack current.

    Parameters
    ----------
    reading : Reading
        The share.
    pair : Pair
        Voltage and current of the pack.
    segment : ndarray of int, shape (n,)
        Stretches without gaps [1].

    Returns
    -------
    Counted or None
        What the integral explains; None if the current does not move it at all.
    """
    charge_As = integral(pair.into_A, segment)
    found = fit(reading.values, [charge_As], segment)
    slope = found.factors[0]
    if slope == 0.0 or not np.isfinite(found.rest):
        return None
    capacity = PERCENT / HOUR_S / slope
    step = max(reading.step, 1e-3)
    moved = abs(slope) * float(np.ptp(charge_As))
    volts = float(np.nanmean(pair.voltage.values))
    energy = capacity * volts / 1000.0
    # an offset of the current would hide in the slope: taken as the rest over the way moved
    uncertain = abs(energy) * max(found.rest, step / 3.5) / max(moved, step)
    return Counted(
        reading,
        capacity,
        energy,
        uncertain,
        found.rest / step,
        found.rest,
        found.explained,
        moved / step,
    )


def count_all(shares: Sequence[Reading], pair: Pair, segment: NDArray[np.int64]) -> list[Counted]:
    """Hold all shares against the integral of a pack current.

    Parameters
    ----------
    shares : sequence of Reading
        Readings as shares.
    pair : Pair
        Voltage and current of the pack.
    segment : ndarray of int, shape (n,)
        Stretches without gaps [1].

    Returns
    -------
    list of Counted
        Those that may be states of charge, best explained first.
    """
    found = [count(one, pair, segment) for one in shares if is_charge_like(one)]
    return sorted((one for one in found if one is not None), key=lambda one: one.rest_pct)
