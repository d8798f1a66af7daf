"""Hand learned limits to the rooms that do not see this one."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from thawline.charge.learned import Learned, LimitCurve
from thawline.charge.limits_learned import learn_limit
from thawline.charge.observed import Observed
from thawline.story.known_limits import KnownLimit, KnownLimits

#: Ends of an interval of 90 % lie so many standard deviations from its middle [1].
SIGMAS_OF_90 = 1.645


def known_limit(curve: LimitCurve | None) -> KnownLimit | None:
    """Turn a learned curve into what the story reads.

    Parameters
    ----------
    curve : LimitCurve or None
        What was learned.

    Returns
    -------
    KnownLimit or None
        The same curve; its interval of 90 % as a standard uncertainty.
    """
    if curve is None:
        return None
    return KnownLimit(
        curve.what,
        curve.origin,
        curve.against,
        curve.degC,
        curve.kW,
        np.maximum(curve.high_kW - curve.kW, curve.kW - curve.low_kW) / SIGMAS_OF_90,
        curve.threshold.degC,
        curve.threshold.plus_minus_K,
        curve.charge_pct,
        curve.charge_kW,
        curve.recordings,
    )


def known_limits(learned: Learned) -> KnownLimits:
    """Turn all that was learned of limits into what the story reads.

    Parameters
    ----------
    learned : Learned
        What was learned.

    Returns
    -------
    KnownLimits
        Both limits.
    """
    charging, regeneration = known_limit(learned.charging), known_limit(learned.regeneration)
    return KnownLimits(charging, regeneration, learned.recordings)


def limits_of(seen: Sequence[Observed]) -> KnownLimits:
    """Learn limits, and nothing else, from recordings of a vehicle.

    Parameters
    ----------
    seen : sequence of Observed
        The recordings on their clocks, in the order of their start.

    Returns
    -------
    KnownLimits
        Both limits; None for one that nothing tells.
    """
    return KnownLimits(
        known_limit(learn_limit(seen, "charging")),
        known_limit(learn_limit(seen, "regeneration")),
        tuple(one.recording_id for one in seen),
    )
