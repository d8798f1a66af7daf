r"""Who fed whom over time.

All consumers hang on one direct-current bus, and nothing marks which current came from
where. So every consumer is taken to draw on both sources in the proportion in which these
feed the bus: of a load L the supply carries :math:`L\, S / (S + B)` and the pack the rest,
with S what the charger gives and B what the pack gives. See
``docs/decisions/0020-who-feeds-whom.md``.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.ledger.basis import Basis
from thawline.ledger.ledger import Feed
from thawline.ledger.sensed import ticks_per_sample
from thawline.ledger.signs import noise_at_rest
from thawline.ledger.supply_side import is_direct

Array = NDArray[np.float64]

#: A supply counts as present above this [kW].
PRESENT_KW = 0.1
#: The pack helps from this on [kW] ...
HELPS_FROM_KW = 0.3
#: ... until it gives less than this [kW].
HELPS_UNTIL_KW = 0.1
#: Help that lasts less, and pauses that last less, do not count [s].
SHORTEST_S = 5.0
#: Both thresholds stand at least this many standard deviations of noise above zero [1].
ABOVE_NOISE = 4.0


def with_hysteresis(values: Array, on_above: float, off_below: float) -> NDArray[np.bool_]:
    """Switch on above one threshold and off below a lower one.

    Parameters
    ----------
    values : ndarray of float64, shape (n,)
        What is watched [unit].
    on_above, off_below : float
        The two thresholds [unit].

    Returns
    -------
    ndarray of bool, shape (n,)
        Where it is on.
    """
    state = np.where(values > on_above, 1, np.where(values < off_below, 0, -1))
    decided = np.where(state >= 0, np.arange(len(state)), -1)
    last = np.maximum.accumulate(decided)
    return np.asarray((last >= 0) & (state[np.maximum(last, 0)] == 1))


def spans_of(on: NDArray[np.bool_], t: Array, step_s: float) -> tuple[tuple[float, float], ...]:
    """Turn ticks into spans, without short ones and short pauses.

    Parameters
    ----------
    on : ndarray of bool, shape (n,)
        Ticks.
    t : ndarray of float64, shape (n,)
        Middle of each tick [s].
    step_s : float
        Length of a tick [s].

    Returns
    -------
    tuple of (float, float)
        Begin and end of each span [s].
    """
    steps = np.diff(np.concatenate(([0], on.astype(np.int8), [0])))
    begins = t[np.flatnonzero(steps == 1)] - step_s / 2.0
    ends = t[np.flatnonzero(steps == -1) - 1] + step_s / 2.0
    joined: list[tuple[float, float]] = []
    for begin, end in zip(begins.tolist(), ends.tolist(), strict=True):
        if joined and begin - joined[-1][1] < SHORTEST_S:
            joined[-1] = (joined[-1][0], end)
        else:
            joined.append((begin, end))
    return tuple(span for span in joined if span[1] - span[0] >= SHORTEST_S)


def _direct(basis: Basis, efficiency: float | None) -> tuple[Array, Array]:
    """Find what the charger gives on its direct-current side, and what it loses."""
    count = len(basis.flows.t)
    supply, output = basis.powers.get("supply"), basis.powers.get("charger-output")
    taken = np.zeros(count) if supply is None else np.maximum(supply.kW, 0.0)
    if output is not None:
        given = np.maximum(output.kW, 0.0)
    else:
        given = taken * (1.0 if efficiency is None else efficiency)
    given = np.where(is_direct(basis), taken, given)
    lost = np.zeros(count) if supply is None else np.maximum(taken - given, 0.0)
    return given, lost


def feed(basis: Basis, efficiency: float | None, base_kW: float) -> Feed | None:
    """Split the loads between the supply and the pack, tick by tick.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.
    efficiency : float or None
        Share of the supply that reaches the direct-current side, where the charger's output
        is not recorded [1].
    base_kW : float
        Mean low-voltage load, where no converter is recorded [kW].

    Returns
    -------
    Feed or None
        Who fed whom; None where pack power is not known.
    """
    if "pack" not in basis.powers:
        return None
    t, count = basis.flows.t, len(basis.flows.t)
    pack = basis.powers["pack"]
    unknown = np.isnan(basis.flows.flows["pack"].kW)

    def load(name: str) -> Array:
        power = basis.powers.get(name)
        return np.zeros(count) if power is None else np.maximum(power.kW, 0.0)

    base = load("low-voltage") if "low-voltage" in basis.powers else np.full(count, base_kW)
    loads = {
        "heat": load("drive-unit-heating") + load("pack-heater"),
        "cabin": load("cabin-heating"),
        "other": base + load("driving"),
    }
    given, lost = _direct(basis, efficiency)
    helps = np.maximum(-pack.kW, 0.0)
    both = given + helps
    share = np.divide(given, both, out=np.zeros(count), where=both > 1e-9)

    def shown(values: Array) -> Array:
        return np.where(unknown, np.nan, values)

    supply_to = {name: shown(kW * share) for name, kW in loads.items()}
    supply_to["pack"] = shown(np.minimum(np.maximum(pack.kW, 0.0), given))
    supply_to["loss"] = shown(lost)
    pack_to = {name: shown(kW * (1.0 - share) * (both > 1e-9)) for name, kW in loads.items()}
    floor = ABOVE_NOISE * noise_at_rest(
        pack.kW, basis.moves, ticks_per_sample(basis.recording, pack)
    )
    there = (given + lost > PRESENT_KW) & ~basis.moves & ~unknown
    helping = with_hysteresis(
        np.where(there, helps, 0.0), max(HELPS_FROM_KW, 2.0 * floor), max(HELPS_UNTIL_KW, floor)
    )
    return Feed(t, supply_to, pack_to, spans_of(helping, t, basis.flows.step_s))
