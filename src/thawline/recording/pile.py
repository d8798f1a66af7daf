"""What one file gave, before it becomes channels."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from thawline.recording.recording import Quality
from thawline.recording.samples import Raw

#: The log is silent if nothing comes for this long [s] ...
GAP_AT_LEAST_S = 3.0
#: ... or for this many median intervals, whichever is longer [1].
GAP_INTERVALS = 12.0


@dataclass(frozen=True, slots=True)
class Pile:
    """What one file gave, before it becomes channels.

    Parameters
    ----------
    raws : mapping of str to Raw
        Samples by concrete catalogue path; times since the epoch or the log's zero [s]. Each is
        made anew when it is asked for.
    first, last : float
        First and last time [s].
    intervals : tuple of (float, float)
        Silent times between neighbours, candidates for gaps [s].
    median_s : float
        Median interval [s].
    is_epoch : bool
        Whether times count from 1970-01-01 UTC.
    quality : Quality
        Counts and warnings.
    others : mapping of str to Raw
        What the vehicle file does not map, by ``Message.Signal`` or column, if it is kept.
    """

    raws: Mapping[str, Raw]
    first: float
    last: float
    intervals: tuple[tuple[float, float], ...]
    median_s: float
    is_epoch: bool
    quality: Quality = field(default_factory=Quality)
    others: Mapping[str, Raw] = field(default_factory=dict)
