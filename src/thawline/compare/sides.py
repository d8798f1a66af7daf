"""What a comparison reads of an explained recording."""

from __future__ import annotations

from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from thawline.charge.charge import Charge
from thawline.compare.comparison import Side
from thawline.ledger.ledger import Ledger
from thawline.physics.constants import constants
from thawline.recording.clock import on_clock
from thawline.recording.flows import Flows
from thawline.recording.recording import Recording
from thawline.story.story import Story

Array = NDArray[np.float64]


class ExplainedLike(Protocol):
    """An explained recording, as far as a comparison reads it."""

    @property
    def recording(self) -> Recording:
        """What was recorded."""

    @property
    def flows(self) -> Flows:
        """Its powers."""

    @property
    def story(self) -> Story:
        """What the car did."""

    @property
    def ledger(self) -> Ledger:
        """Where the energy went."""

    @property
    def charge(self) -> Charge:
        """Charge added against charge shown."""


def setting(name: str) -> float:
    """Take a setting of this room.

    Parameters
    ----------
    name : str
        Name of the row of ``settings.csv``.

    Returns
    -------
    float
        Its value, in the table's unit.
    """
    return constants("thawline.compare", "settings.csv")[name]


def side_of(label: str, explained: ExplainedLike) -> Side:
    """Lay the clock of one morning.

    Parameters
    ----------
    label : str
        ``A`` or ``B``.
    explained : ExplainedLike
        The explained recording.

    Returns
    -------
    Side
        The morning, counted from the first plugging in, else from the first sample.
    """
    recording = explained.recording
    plugged = [p.t_s for p in explained.story.turning_points if p.kind == "plugged-in"]
    zero = min(plugged, default=0.0)
    return Side(
        label,
        recording.id,
        recording.vehicle.name,
        recording.starts_at,
        recording.duration_s,
        zero,
        bool(plugged),
    )


def channel(explained: ExplainedLike, path: str) -> Array | None:
    """Lay a channel on the clock of the flows.

    Parameters
    ----------
    explained : ExplainedLike
        The explained recording.
    path : str
        Concrete catalogue path.

    Returns
    -------
    ndarray of float64, shape (n,), or None
        Its values, NaN where unknown; None if it was not recorded.
    """
    found = explained.recording.channels.get(path)
    if found is None:
        return None
    values = on_clock(found, explained.flows.t, explained.recording.gaps)
    return None if np.all(np.isnan(values)) else values


def flow(explained: ExplainedLike, name: str) -> Array | None:
    """Take a power.

    Parameters
    ----------
    explained : ExplainedLike
        The explained recording.
    name : str
        Name of the flow.

    Returns
    -------
    ndarray of float64, shape (n,), or None
        The power, NaN where unknown; None if it is not known at all [kW].
    """
    found = explained.flows.flows.get(name)
    return None if found is None or np.all(np.isnan(found.kW)) else found.kW


def heat(explained: ExplainedLike) -> Array | None:
    """Add what heats the pack: drive units at standstill, and the pack's own heater.

    Parameters
    ----------
    explained : ExplainedLike
        The explained recording.

    Returns
    -------
    ndarray of float64, shape (n,), or None
        The power; None if neither is known [kW].
    """
    parts = [flow(explained, name) for name in ("drive-unit-heating", "pack-heater")]
    known = [part for part in parts if part is not None]
    return np.asarray(np.sum(known, axis=0)) if known else None


def beside(t: Array, values: Array | None, at_s: float) -> float | None:
    """Read a value at a moment, as the median about it.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        The clock [s].
    values : ndarray of float64, shape (n,), or None
        The values [unit].
    at_s : float
        The moment [s].

    Returns
    -------
    float or None
        The median; None where nothing is known near it [unit].
    """
    if values is None:
        return None
    near = values[np.abs(t - at_s) <= setting("beside_s")]
    near = near[~np.isnan(near)]
    return float(np.median(near)) if len(near) else None
