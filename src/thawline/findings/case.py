"""Everything that the checks read, on the flows' clock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from thawline.findings.finding import Figure, Figures
from thawline.ledger.ledger import Ledger
from thawline.ledger.sensors import usual_accuracy
from thawline.recording.clock import on_clock
from thawline.recording.flows import Flows
from thawline.recording.powers import BATTERY, MOTOR, moving, paths_like
from thawline.recording.recording import Recording
from thawline.story.story import Story

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Case:
    """A recording to be checked.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers.
    story : Story
        Its story.
    ledger : Ledger
        Its accounts.
    earlier : tuple of Figures
        Figures of earlier mornings of the vehicle.
    laid : dict of str to ndarray
        Channels that were laid on the clock already.
    """

    recording: Recording
    flows: Flows
    story: Story
    ledger: Ledger
    earlier: tuple[Figures, ...] = ()
    laid: dict[str, Array] = field(default_factory=dict)

    @property
    def t(self) -> Array:
        """The clock [s]."""
        return self.flows.t

    def has(self, path: str) -> bool:
        """Tell whether a channel is recorded.

        Parameters
        ----------
        path : str
            Concrete path.

        Returns
        -------
        bool
            True if it is.
        """
        return path in self.recording.channels

    def lay(self, path: str) -> Array:
        """Lay a channel on the clock, once.

        Parameters
        ----------
        path : str
            Concrete path.

        Returns
        -------
        ndarray of float64, shape (n,)
            Its values; NaN where it says nothing [unit].
        """
        found = self.laid.get(path)
        if found is None:
            channel = self.recording.channels.get(path)
            found = (
                np.full(len(self.t), np.nan)
                if channel is None
                else on_clock(channel, self.t, self.recording.gaps)
            )
            self.laid[path] = found
        return found

    def kW(self, name: str) -> Array:
        """Give a power on the clock.

        Parameters
        ----------
        name : str
            Name of a flow.

        Returns
        -------
        ndarray of float64, shape (n,)
            The power; NaN where it is not known [kW].
        """
        flow = self.flows.flows.get(name)
        return np.full(len(self.t), np.nan) if flow is None else flow.kW

    def sigma(self, path: str) -> float:
        """Tell how far off a sensor's zero may be, its rounding included.

        Parameters
        ----------
        path : str
            Concrete path.

        Returns
        -------
        float
            Standard uncertainty [unit].
        """
        channel = self.recording.channels.get(path)
        if channel is None:
            return float("inf")
        accuracy = channel.accuracy or usual_accuracy(path)
        return float(np.hypot(accuracy.absolute, channel.resolution / np.sqrt(12.0)))

    def standing(self) -> Mask:
        """Tell where the car stands.

        Returns
        -------
        ndarray of bool, shape (n,)
            True where nothing says that it moves, with a minute's distance to any driving.
        """
        moves = moving(self.recording, self.t)
        if moves is None:
            moves = np.nan_to_num(np.abs(self.kW("driving"))) > 0.5
        # "same" would give the window's length where a recording is shorter than the window
        near = np.convolve(moves.astype(np.float64), np.ones(121))[60 : 60 + len(moves)]
        return np.asarray(near < 0.5)

    def heat_kW(self) -> Array:
        """Give the electrical heat of drive units and heater that is meant for the pack.

        Returns
        -------
        ndarray of float64, shape (n,)
            The power; NaN where none is known [kW].
        """
        parts = [self.kW(n) for n in ("drive-unit-heating", "pack-heater") if n in self.flows.flows]
        return np.sum(parts, axis=0) if parts else np.full(len(self.t), np.nan)

    def windings(self) -> list[str]:
        """Name the thermometers of the drive units.

        Returns
        -------
        list of str
            Concrete paths.
        """
        return [p for p in paths_like(self.recording, MOTOR, ".Temperature") if "Engine" not in p]

    def bulk(self) -> str | None:
        """Name the thermometer that stands best for the whole pack.

        Returns
        -------
        str or None
            Concrete path; None where the pack has none.
        """
        for which in ("Average", "Max", "Min"):
            if self.has(f"{BATTERY}Temperature.{which}"):
                return f"{BATTERY}Temperature.{which}"
        return None

    def before(self, name: str, touched_by: Sequence[str] = ()) -> list[Figure]:
        """Gather a figure of earlier mornings.

        Parameters
        ----------
        name : str
            Name of the figure.
        touched_by : sequence of str
            Kinds of findings that make a morning no standard for it.

        Returns
        -------
        list of Figure
            The figures, the earliest first.
        """
        return [
            one.values[name]
            for one in self.earlier
            if name in one.values and not set(one.suspected) & set(touched_by)
        ]


def blocks(values: Array, width: int, least: float = 0.6) -> Array:
    """Average a series over blocks.

    Parameters
    ----------
    values : ndarray of float64, shape (n,)
        The series; NaN where nothing is known [unit].
    width : int
        Ticks of a block [1].
    least : float
        Share of a block that must be known [1].

    Returns
    -------
    ndarray of float64, shape (n // width,)
        Means; NaN where too little is known [unit].
    """
    count = len(values) // width
    cut = values[: count * width].reshape(count, width)
    known = ~np.isnan(cut)
    number = known.sum(axis=1)
    total = np.where(known, cut, 0.0).sum(axis=1)
    return np.where(number >= least * width, total / np.maximum(number, 1), np.nan)
