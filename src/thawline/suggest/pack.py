"""Find the pack's voltage and current: the voltage answers to the current like a resistance.

    ΔU = R · ΔI,    R > 0 for current into the pack

References
----------
.. [1] Plett, G. L.: Battery Management Systems, vol. 1 (2015), ch. 2: open-circuit voltage
   and equivalent series resistance.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from thawline.suggest.curves import changes, fit
from thawline.suggest.kinds import Reading
from thawline.suggest.thresholds import threshold

#: Seconds over which changes are compared: with steps of loads, and with their ramps [s].
LAGS = (3, 10, 30)
#: Voltages, and currents, that are tried where only their levels speak [1].
MOST_LEVELS = 2


@dataclass(frozen=True, slots=True)
class Pair:
    """A voltage and a current that may be the pack's.

    Parameters
    ----------
    voltage, current : Reading
        The two.
    sign : int
        +1 if the current counts positive into the pack as it is, else -1 [1].
    resistance_ohm : float
        Voltage change over current change [ohm].
    explained : float
        Share of voltage changes that the current explains [1].
    is_power : bool
        Whether the current was worked out from the pack's power, which ``current`` then names.
    """

    voltage: Reading
    current: Reading
    sign: int
    resistance_ohm: float
    explained: float
    is_power: bool = False

    @property
    def power_kW(self) -> NDArray[np.float64]:
        """Power into the pack [kW]."""
        return self.sign * self.voltage.values * self.current.values / 1000.0

    @property
    def into_A(self) -> NDArray[np.float64]:
        """Current into the pack [A]."""
        return self.sign * self.current.values


def is_pack_voltage(reading: Reading) -> bool:
    """Tell whether a curve keeps to the level of a pack's voltage.

    Parameters
    ----------
    reading : Reading
        A reading as voltage.

    Returns
    -------
    bool
        True if it moves, but little, about 150 to 950 V.
    """
    seen = reading.values[np.isfinite(reading.values)]
    if len(seen) < 60:
        return False
    low, middle, high = np.percentile(seen, [2, 50, 98])
    if not threshold("pack_voltage_low") <= middle <= threshold("pack_voltage_high"):
        return False
    return bool(0.0 < high - low < threshold("pack_voltage_swing") * middle)


def find_pairs(
    voltages: Sequence[Reading], currents: Sequence[Reading], segment: NDArray[np.int64]
) -> list[Pair]:
    """Compare every voltage at a pack's level with every current.

    Parameters
    ----------
    voltages : sequence of Reading
        Readings as voltages.
    currents : sequence of Reading
        Readings as currents.
    segment : ndarray of int, shape (n,)
        Stretches without gaps [1].

    Returns
    -------
    list of Pair
        Pairs with a sensible resistance, best first.
    """
    found = []
    moving = [one for one in currents if np.nanmax(one.values) - np.nanmin(one.values) > _least()]
    for voltage in filter(is_pack_voltage, voltages):
        steps = [changes(voltage.values, lag, segment) for lag in LAGS]
        for current in moving:
            if current.key == voltage.key:
                continue
            fits = [
                fit(step, [changes(current.values, lag, segment)])
                for step, lag in zip(steps, LAGS, strict=True)
            ]
            best = max(fits, key=lambda one: one.explained)
            factor = best.factors[0]
            if threshold("ohmic_low") <= abs(factor) <= threshold("ohmic_high"):
                sign = 1 if factor > 0.0 else -1
                found.append(Pair(voltage, current, sign, abs(factor), best.explained))
    return sorted(found, key=lambda pair: -pair.explained)


def power_pairs(
    voltages: Sequence[Reading], powers: Sequence[Reading], segment: NDArray[np.int64]
) -> list[Pair]:
    """Compare every voltage at a pack's level with powers that run both ways.

    Some cars tell the pack's power and not its current; then the current is worked out.

    Parameters
    ----------
    voltages : sequence of Reading
        Readings as voltages.
    powers : sequence of Reading
        Readings as powers; only those in their unit are looked at.
    segment : ndarray of int, shape (n,)
        Stretches without gaps [1].

    Returns
    -------
    list of Pair
        Pairs with a sensible resistance, best first.
    """
    both = [
        one for one in powers if one.is_said and float(np.nanmin(one.values)) < -max(one.step, 0.05)
    ]
    found = []
    for voltage in filter(is_pack_voltage, voltages):
        for power in both:
            volts = np.where(voltage.values > 1.0, voltage.values, np.nan)
            amps = np.asarray(1000.0 * power.values / volts)
            current = replace(power, kind="current", values=amps)
            found += [
                replace(pair, is_power=True) for pair in find_pairs([voltage], [current], segment)
            ]
    return sorted(found, key=lambda pair: -pair.explained)


def level_pairs(voltages: Sequence[Reading], currents: Sequence[Reading]) -> list[Pair]:
    """Pair voltages and currents by unit and level alone, with either sign.

    Where the pack rests, its voltage does not move and nothing tells its resistance; then a
    balance of powers must confirm the pair.

    Parameters
    ----------
    voltages : sequence of Reading
        Readings as voltages.
    currents : sequence of Reading
        Readings as currents.

    Returns
    -------
    list of Pair
        Pairs whose units are stated.
    """
    both = [one for one in currents if one.is_said and float(np.nanmin(one.values)) < -one.step]
    packs = [one for one in voltages if one.is_said and is_pack_voltage(one)]
    return [
        Pair(voltage, current, sign, 0.0, 0.0)
        for voltage in packs[:MOST_LEVELS]
        for current in both[:MOST_LEVELS]
        for sign in (1, -1)
    ]


def _least() -> float:
    return threshold("current_least")
