"""The recording: the product that everything later is asked of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from thawline.quantities import Accuracy
from thawline.vehicle.vehicle import Vehicle


@dataclass(frozen=True, slots=True)
class Channel:
    """One signal on its own clock.

    Parameters
    ----------
    path : str
        Concrete catalogue path.
    unit : str
        Catalogue unit; empty for states.
    t : ndarray of float64, shape (n,)
        Time since the recording's start, never decreasing [s].
    values : ndarray of float64, shape (n,)
        Values in ``unit``, states as 0 or 1; never NaN [unit].
    is_state : bool
        Whether a value holds until the next sample.
    resolution : float
        Smallest step that the sensor shows; 0 if none can be told [unit].
    noise : float
        Standard deviation of what is not signal, from differences of neighbours [unit].
    period_s : float
        Median time between samples; 0 for fewer than two [s].
    stale_after_s : float
        A sample older than this says nothing about now [s].
    accuracy : Accuracy or None
        As the vehicle file states it.
    source : str
        ``Message.Signal`` or the column that it came from.
    """

    path: str
    unit: str
    t: NDArray[np.float64]
    values: NDArray[np.float64]
    is_state: bool = False
    resolution: float = 0.0
    noise: float = 0.0
    period_s: float = 0.0
    stale_after_s: float = 10.0
    accuracy: Accuracy | None = None
    source: str = ""


@dataclass(frozen=True, slots=True)
class Gap:
    """A time in which the log holds nothing at all.

    Parameters
    ----------
    from_s, to_s : float
        Last sample before, first sample after [s].
    """

    from_s: float
    to_s: float


@dataclass(frozen=True, slots=True)
class ClockStep:
    """A jump of the logger's clock.

    Parameters
    ----------
    at_s : float
        When, on the mended clock [s].
    by_s : float
        How far it jumped; negative is backward [s].
    """

    at_s: float
    by_s: float


@dataclass(frozen=True, slots=True)
class Quality:
    """How good the log was.

    Parameters
    ----------
    frames : int
        Frames read (rows, for a table) [1].
    frames_left_out : mapping of str to int
        What was not used, by reason [1].
    clock_steps : tuple of ClockStep
        Jumps of the clock that were found and mended.
    duplicates : int
        Frames that stood in the log twice and were dropped [1].
    warnings : tuple of str
        All that a reader should know, in plain words.
    """

    frames: int = 0
    frames_left_out: Mapping[str, int] = field(default_factory=dict)
    clock_steps: tuple[ClockStep, ...] = ()
    duplicates: int = 0
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Recording:
    """What was recorded on one occasion.

    Parameters
    ----------
    id : str
        Name in the library.
    vehicle : Vehicle
        The vehicle, as its file described it when the recording was added.
    starts_at : float
        First sample, since 1970-01-01 UTC [s].
    duration_s : float
        From the first sample to the last [s].
    channels : mapping of str to Channel
        By concrete catalogue path.
    gaps : tuple of Gap
        Times in which nothing was recorded.
    quality : Quality
        How good the log was.
    others : mapping of str to Channel
        What the vehicle file does not map, by ``Message.Signal`` or column, in the source's
        own unit; empty unless all was to be kept. A library reads each when it is asked for.
    """

    id: str
    vehicle: Vehicle
    starts_at: float
    duration_s: float
    channels: Mapping[str, Channel]
    gaps: tuple[Gap, ...] = ()
    quality: Quality = field(default_factory=Quality)
    others: Mapping[str, Channel] = field(default_factory=dict)
