r"""What swings of the pack's power hide from a clock of one second.

While driving, power goes in and out within a second: a tick's mean then shows less of both
than there was. The finer clock of the sensors themselves gives it back. What swings faster
than the sensors are read stays hidden: of a sine of angular frequency :math:`\omega`, read
every :math:`\Delta` and joined by straight lines, the share :math:`(\omega\Delta)^2/12`; and
:math:`(\omega\Delta)^2` is the mean square of its steps over its variance.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from thawline.ledger.basis import Basis
from thawline.ledger.energy import HOUR_S
from thawline.recording.clock import ticks
from thawline.recording.powers import BATTERY, pack

#: Parts that a tick is divided into [1].
PARTS = 5
#: Share of what was given back that stays uncertain [1].
UNSURE = 0.2


@dataclass(frozen=True, slots=True)
class Swings:
    """Energy that went both in and out within ticks.

    Parameters
    ----------
    kWh : float
        To be added to what went in and to what came out [kWh].
    sigma_kWh : float
        Its standard uncertainty, the same for both [kWh].
    """

    kWh: float = 0.0
    sigma_kWh: float = 0.0


def swings(basis: Basis) -> Swings:
    """Find what went in and out of the pack within ticks while the car moved.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.

    Returns
    -------
    Swings
        The hidden energy; nothing where the car never moved.
    """
    if not np.any(basis.moves):
        return Swings()
    step_s = basis.flows.step_s
    count = len(basis.flows.t)
    fine = pack(basis.recording, ticks(count * step_s, step_s / PARTS))
    channel = basis.recording.channels.get(
        BATTERY + "CurrentCurrent", basis.recording.channels.get(BATTERY + "CurrentPower")
    )
    if fine is None or channel is None or len(channel.t) < 3:
        return Swings()
    parts = fine.kW[: count * PARTS].reshape(count, PARTS)[basis.moves]
    parts = parts[~np.any(np.isnan(parts), axis=1)]
    mean = parts.mean(axis=1) if len(parts) else np.zeros(0)
    both = np.maximum(parts, 0.0).mean(axis=1) if len(parts) else np.zeros(0)
    hidden = float(np.sum(both - np.maximum(mean, 0.0))) * step_s / HOUR_S
    moved = basis.moves[np.clip((channel.t / step_s).astype(np.int64), 0, count - 1)]
    steps = np.diff(channel.values)[moved[1:] & moved[:-1]]
    spread = float(np.var(channel.values[moved])) if np.any(moved) else 0.0
    share = 0.0
    if len(steps) and spread > 0.0:
        share = min(float(np.mean(steps**2)) / spread / 12.0, 0.5)
    smaller = float(min(np.sum(both), np.sum(both - mean))) * step_s / HOUR_S
    unseen = share * max(smaller, 0.0)
    return Swings(hidden + unseen, float(np.hypot(UNSURE * hidden, unseen)))
