"""One signal while it grows: its samples, thinned, and the channel that they make so far.

A channel is made anew from all samples only when they have grown by a share, so that the work for
each sample stays bounded however long listening lasts; in between, the new samples are converted
together with a few before them and put behind.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from thawline.errors import VehicleFileError
from thawline.recording.recording import Channel, Gap
from thawline.recording.samples import make_channel
from thawline.recording.wanted import has_codes, raw_of
from thawline.signals.catalogue import SignalName
from thawline.signals.decode import Decoded
from thawline.signals.layout import SignalLayout
from thawline.vehicle.vehicle import SignalSource, Vehicle

#: A signal that comes more often than this is thinned [1/s] ...
OFTEN_PER_S = 20.0
#: ... to about this [1/s].
PER_SECOND = 10.0
#: A channel is made anew when its samples have grown by this share [1].
SHARE = 0.25
#: So many samples before the new ones are converted with them [1].
BEFORE = 200
#: Room for samples at first [1].
ROOM = 1024

Array = NDArray[np.float64]


class Series:
    """Numbers that grow; what was given out never changes."""

    def __init__(self, first: Array | None = None) -> None:
        start = np.empty(0) if first is None else first
        self._room = np.empty(max(ROOM, 2 * len(start)), dtype=np.float64)
        self._room[: len(start)] = start
        self._count = len(start)

    def __len__(self) -> int:
        """Count them."""
        return self._count

    def append(self, more: Array) -> None:
        """Put numbers behind.

        Parameters
        ----------
        more : ndarray of float64, shape (n,)
            The numbers [unit].
        """
        need = self._count + len(more)
        if need > len(self._room):
            wider = np.empty(2 * need, dtype=np.float64)
            wider[: self._count] = self._room[: self._count]
            self._room = wider
        self._room[self._count : need] = more
        self._count = need

    def all(self) -> Array:
        """Give all numbers.

        Returns
        -------
        ndarray of float64, shape (n,)
            A view that cannot be written to [unit].
        """
        view = self._room[: self._count]
        view.flags.writeable = False
        return view


def thinned(t: Array, values: Array, *, is_state: bool) -> NDArray[np.intp]:
    """Choose samples of a signal that comes often: the last of each tenth of a second.

    Every change of a state is kept, and all samples of a signal that comes seldom.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Times [s].
    values : ndarray of float64, shape (n,)
        Values [unit].
    is_state : bool
        Whether each change counts.

    Returns
    -------
    ndarray of int, shape (m,)
        Places of those that are kept [1].
    """
    if len(t) < 2 or (t[-1] - t[0]) * OFTEN_PER_S >= len(t) - 1:
        return np.arange(len(t))
    ticks = np.floor(t * PER_SECOND)
    keep = np.append(ticks[1:] != ticks[:-1], True)
    if is_state:
        keep[1:] |= values[1:] != values[:-1]
    return np.flatnonzero(keep)


class Growing:
    """One mapped signal.

    Parameters
    ----------
    name : SignalName
        Its row of the catalogue.
    spec : SignalSource
        Its entry in the vehicle file.
    layout : SignalLayout
        Its place in the frames.
    vehicle : Vehicle
        The vehicle.
    """

    def __init__(
        self, name: SignalName, spec: SignalSource, layout: SignalLayout, vehicle: Vehicle
    ) -> None:
        self._name, self._spec, self._layout, self._vehicle = name, spec, layout, vehicle
        self._t, self._values = Series(), Series()
        self._codes = Series() if has_codes(layout) else None
        self._made: Channel | None = None
        self._made_t, self._made_values = Series(), Series()
        self._made_of = self._taken = 0
        #: What a reader should know, in plain words.
        self.warnings: tuple[str, ...] = ()

    def append(self, part: Decoded, zero: float) -> None:
        """Put decoded samples behind.

        Parameters
        ----------
        part : Decoded
            The samples of a batch.
        zero : float
            The snapshot's start, on the clock of the samples [s].
        """
        if not len(part.t):
            return
        t = part.t - zero
        keep = thinned(t, part.values, is_state=self._name.is_state)
        self._t.append(t[keep])
        self._values.append(part.values[keep])
        if self._codes is not None and part.codes is not None:
            self._codes.append(part.codes[keep].astype(np.float64))

    def channel(self, gaps: Sequence[Gap]) -> Channel | None:
        """Give the channel so far.

        Parameters
        ----------
        gaps : sequence of Gap
            Times in which the bus was silent.

        Returns
        -------
        Channel or None
            The channel; None if there is no sample yet, or none that can be.
        """
        count = len(self._t)
        if count == self._taken:
            return self._made
        if self._made is None or count > (1.0 + SHARE) * self._made_of:
            self._make_anew(gaps)
        else:
            self._put_behind(gaps)
        self._taken = count
        return self._made

    def _make(self, begin: int, gaps: Sequence[Gap]) -> Channel | None:
        """Convert the samples from a place on."""
        codes = None if self._codes is None else self._codes.all()[begin:]
        raw = raw_of(self._layout, self._t.all()[begin:], self._values.all()[begin:], codes)
        try:
            made, told = make_channel(self._name, self._spec, raw, self._vehicle, gaps)
        except VehicleFileError as error:
            made, told = None, [str(error)]
        if begin == 0:
            self.warnings = tuple(told)
        return made

    def _make_anew(self, gaps: Sequence[Gap]) -> None:
        self._made = self._make(0, gaps)
        self._made_of = len(self._t)
        if self._made is not None:
            self._made_t, self._made_values = Series(self._made.t), Series(self._made.values)

    def _put_behind(self, gaps: Sequence[Gap]) -> None:
        part = self._make(max(0, self._taken - BEFORE), gaps)
        if part is None or self._made is None:
            return
        fresh = int(np.searchsorted(part.t, self._made_t.all()[-1], side="right"))
        self._made_t.append(part.t[fresh:])
        self._made_values.append(part.values[fresh:])
        self._made = replace(self._made, t=self._made_t.all(), values=self._made_values.all())
