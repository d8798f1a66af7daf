"""How far a pack was warmed over a whole morning, whether or not it got anywhere."""

from __future__ import annotations

import numpy as np

from thawline.compare.comparison import Side
from thawline.compare.sides import ExplainedLike, channel, heat, setting
from thawline.compare.warming import COLDEST, Warming


def pace(explained: ExplainedLike, side: Side) -> Warming | None:
    """Read the warm-up of a whole morning.

    Parameters
    ----------
    explained : ExplainedLike
        The explained recording.
    side : Side
        Its clock.

    Returns
    -------
    Warming or None
        From the first heat to the last; None where nothing heated or it is not recorded.
    """
    power, coldest, t = heat(explained), channel(explained, COLDEST), explained.flows.t
    if power is None or coldest is None:
        return None
    on = np.flatnonzero((np.nan_to_num(power) > setting("heating_kW")) & ~np.isnan(coldest))
    if len(on) < 2:
        return None
    first, last = int(on[0]), int(on[-1])
    inside = power[first : last + 1]
    return Warming(
        float(t[first]) - side.zero_s,
        float(t[last] - t[first]),
        float(coldest[last] - coldest[first]),
        float(coldest[first]),
        float(np.nanmean(inside)),
    )
