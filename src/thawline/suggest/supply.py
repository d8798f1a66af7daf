"""Find the supply: voltages that come and go with the plug, currents that only then flow.

    P_supply = Σ U·I,    P_charger = η · P_supply,    η from 0.8 to 1

References
----------
.. [1] IEC 60038, IEC standard voltages (levels from memory): 100 to 240 V between phase and
   neutral, up to 480 V between phases.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.suggest.curves import fit, keeps_to_levels, smooth
from thawline.suggest.kinds import Reading
from thawline.suggest.thresholds import threshold

Floats = NDArray[np.float64]
#: Phases that a supply may have [1].
MOST_PHASES = 3
#: A steady voltage above may be a pack's [V].
ALWAYS_MOST_V = 260.0
#: Currents and powers are compared as means over so many seconds [s].
MEAN_S = 5


@dataclass(frozen=True, slots=True)
class Supply:
    """The supply's voltages and currents, phase by phase.

    Parameters
    ----------
    voltages, currents : tuple of Reading
        As many of each as there are phases; the first of one belongs to the first of the other.
    power_kW : ndarray of float64, shape (n,)
        Sum of their products [kW].
    efficiency : float or None
        What the charger gives over that; None where its output is not known [1].
    explained : float
        Share of the charger's output that the products explain; 0 if it is not known [1].
    is_direct : bool
        Whether it is direct current: its voltage is a pack's, above what mains have.
    """

    voltages: tuple[Reading, ...]
    currents: tuple[Reading, ...]
    power_kW: Floats
    efficiency: float | None = None
    explained: float = 0.0
    is_direct: bool = False

    @property
    def is_present(self) -> NDArray[np.bool_]:
        """Whether the supply is there, second by second."""
        return np.asarray(self.voltages[0].values > threshold("supply_low") / 2.0)


def is_supply_voltage(reading: Reading) -> bool:
    """Tell whether a curve is a mains voltage that comes or goes.

    Parameters
    ----------
    reading : Reading
        A reading as voltage.

    Returns
    -------
    bool
        True if it is near 0 for a while, steady at a mains or a pack's level for a while, and
        hardly anything else.
    """
    seen = reading.values[np.isfinite(reading.values)]
    if len(seen) < 60 or seen.min() < -threshold("supply_gone"):
        return False
    on = seen > threshold("supply_low")
    off = seen < threshold("supply_gone")
    if on.sum() < 30 or off.sum() < 5 or on.sum() + off.sum() < 0.95 * len(seen):
        return False
    low, high = np.percentile(seen[on], [5, 95])
    return bool(high < threshold("pack_voltage_high") and high - low < 0.15 * high)


def is_always_mains(reading: Reading) -> bool:
    """Tell whether a voltage in its unit keeps to a mains level all the time.

    Parameters
    ----------
    reading : Reading
        A reading as voltage.

    Returns
    -------
    bool
        True if it is steady at 90 to 260 V; never without a unit, when it might be anything.
    """
    seen = reading.values[np.isfinite(reading.values)]
    if len(seen) < 60 or not reading.is_said:
        return False
    low, middle, high = np.percentile(seen, [2, 50, 98])
    return bool(
        threshold("supply_low") < low and high < ALWAYS_MOST_V and high - low < 0.1 * middle
    )


def _is_drawn(reading: Reading, present: NDArray[np.bool_]) -> bool:
    """Tell whether a current flows only while the voltage is there."""
    there = np.isfinite(reading.values)
    top = float(np.nanmax(reading.values))
    if top < 1.0 or float(np.nanmin(reading.values)) < -0.05 * top - 2.0 * reading.step:
        return False
    flows = smooth(reading.values, MEAN_S) > 0.1 * top
    while_gone = flows & ~_widened(present) & there
    if present.all() and not reading.is_said:
        return False
    return bool(while_gone.sum() < 0.02 * max(flows.sum(), 1) and (flows & present).sum() > 30)


def _widened(on: NDArray[np.bool_], by: int = 6) -> NDArray[np.bool_]:
    return np.asarray(smooth(on.astype(np.float64), 2 * by + 1) > 0.0)


def _alike(one: Reading, other: Reading) -> bool:
    """Tell whether two phases carry the same."""
    both = np.isfinite(one.values) & np.isfinite(other.values)
    if not both.any():
        return False
    a, b = smooth(one.values, MEAN_S)[both], smooth(other.values, MEAN_S)[both]
    spread = float(np.std(a))
    return bool(spread > 0.0 and float(np.sqrt(np.mean((a - b) ** 2))) < 0.15 * spread)


def _groups(found: Sequence[Reading]) -> list[list[Reading]]:
    """Put phases that carry the same together, in the order of the database."""
    groups: list[list[Reading]] = []
    for one in sorted(found, key=lambda reading: reading.order):
        for group in groups:
            if one.key not in {other.key for other in group} and _alike(group[0], one):
                group.append(one)
                break
        else:
            groups.append([one])
    return groups


def find_supplies(
    voltages: Sequence[Reading],
    currents: Sequence[Reading],
    output_kW: Floats | None,
    without: frozenset[str],
) -> list[Supply]:
    """Find voltages and currents that make up a supply.

    Parameters
    ----------
    voltages, currents : sequence of Reading
        Readings as voltages and as currents.
    output_kW : ndarray of float64, shape (n,), or None
        What the charger gives, if it is known [kW].
    without : frozenset of str
        Keys that are known to be something else.

    Returns
    -------
    list of Supply
        Those that are possible, best first.
    """
    free = [one for one in voltages if one.key not in without]
    mains = [one for one in free if is_supply_voltage(one) or is_always_mains(one)]
    supplies: list[Supply] = []
    for group in _groups(mains):
        taken = without | {one.key for one in group}
        present = group[0].values > threshold("supply_low") / 2.0
        drawn = [one for one in currents if one.key not in taken and _is_drawn(one, present)]
        moving = [one for one in drawn if not keeps_to_levels(one.values, one.step)]
        for flows in _groups(moving or drawn):
            made = _supply(group, flows, output_kW)
            if made is not None:
                supplies.append(made)
    return sorted(supplies, key=lambda one: (-one.explained, len(one.currents)))


def _supply(
    voltages: list[Reading], currents: list[Reading], output_kW: Floats | None
) -> Supply | None:
    """Pair the phases off, and see what the charger makes of their power."""
    n = min(len(currents), MOST_PHASES)
    currents = currents[:n]
    pairs = [(voltages[min(i, len(voltages) - 1)], current) for i, current in enumerate(currents)]
    power = np.sum([u.values * i.values / 1000.0 for u, i in pairs], axis=0)
    kept = tuple(voltages[:n])
    level = float(np.median(kept[0].values[kept[0].values > threshold("supply_low")]))
    if level > ALWAYS_MOST_V:
        return Supply(kept[:1], tuple(currents[:1]), power, is_direct=True) if n == 1 else None
    if output_kW is None:
        return Supply(kept, tuple(currents), power)
    found = fit(smooth(output_kW, MEAN_S), [smooth(power, MEAN_S)], np.zeros(len(power), np.int64))
    efficiency = found.factors[0]
    if found.explained < 0.9:
        return None
    # one current may stand for all phases, so a whole number of them may be missing
    for phases in range(1, MOST_PHASES + 1):
        share = efficiency / phases
        if threshold("efficiency_low") <= share <= threshold("efficiency_high") * 1.02 and (
            phases == 1 or n == 1
        ):
            return Supply(kept, tuple(currents), power * phases, share, found.explained)
    return None
