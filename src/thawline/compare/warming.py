r"""Why one pack took longer to thaw: a warm-up taken apart into start, power and effect.

.. math:: t = t_0 + \frac{\Delta T}{P\,e}

with the wait before heating :math:`t_0`, the rise of the coldest cell :math:`\Delta T`, the mean
heat *P* and its effect *e* in kelvins per kilowatt-hour. The difference of two times is shared
out by the logarithmic mean, so that the parts add up [1]_.

References
----------
.. [1] B. W. Ang, "The LMDI approach to decomposition analysis: a practical guide", Energy
   Policy 33 (2005) 867, doi:10.1016/j.enpol.2003.10.010 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from thawline.compare.comparison import Part, Side
from thawline.compare.sides import ExplainedLike, beside, channel, heat, setting
from thawline.recording.powers import BATTERY
from thawline.story.story import TurningPoint

HOUR_S, MINUTE_S = 3600.0, 60.0
COLDEST = BATTERY + "Temperature.Min"


@dataclass(frozen=True, slots=True)
class Warming:
    """A warm-up to a turning point.

    Parameters
    ----------
    wait_s : float
        From plugging in to the beginning of heating [s].
    heated_s : float
        From there to the turning point [s].
    rise_K : float
        How far the coldest cell rose in it [K].
    from_degC : float
        Where it began [degC].
    heat_kW : float
        Mean heat in it [kW].
    """

    wait_s: float
    heated_s: float
    rise_K: float
    from_degC: float
    heat_kW: float

    @property
    def K_per_kWh(self) -> float:
        """What a kilowatt-hour of heat did."""
        return self.rise_K / (self.heat_kW * self.heated_s / HOUR_S)


def first(explained: ExplainedLike, kind: str, after_s: float = -np.inf) -> TurningPoint | None:
    """Find the first turning point of a kind.

    Parameters
    ----------
    explained : ExplainedLike
        The explained recording.
    kind : str
        The kind.
    after_s : float
        Not before this [s].

    Returns
    -------
    TurningPoint or None
        It, or None.
    """
    points = explained.story.turning_points
    return next((p for p in points if p.kind == kind and p.t_s >= after_s), None)


def warming(explained: ExplainedLike, side: Side, target: str) -> Warming | None:
    """Read the warm-up to a turning point.

    Parameters
    ----------
    explained : ExplainedLike
        The explained recording.
    side : Side
        Its clock.
    target : str
        Kind of the turning point.

    Returns
    -------
    Warming or None
        None where it did not come, nothing heated before it, or it is not recorded.
    """
    reached, begun = first(explained, target), first(explained, "pack-heating-begins")
    power, t = heat(explained), explained.flows.t
    if reached is None or power is None:
        return None
    begin = max(begun.t_s if begun is not None else 0.0, 0.0)
    if begin >= reached.t_s:
        return None
    coldest = channel(explained, COLDEST)
    low, high = beside(t, coldest, begin), beside(t, coldest, reached.t_s)
    inside = (t >= begin) & (t <= reached.t_s)
    known = power[inside][~np.isnan(power[inside])]
    if low is None or high is None or not len(known):
        return None
    mean, rise = float(np.mean(known)), high - low
    if mean < setting("heating_kW") or rise < setting("least_rise_K"):
        return None
    return Warming(begin - side.zero_s, reached.t_s - begin, rise, low, mean)


def parts(a: Warming, b: Warming) -> tuple[Part, ...]:
    """Share the difference in time out among its reasons.

    Parameters
    ----------
    a, b : Warming
        Both warm-ups.

    Returns
    -------
    tuple of Part
        Wait, start, power and effect; their minutes add up to the difference.
    """
    ratio = b.heated_s / a.heated_s
    apart = b.heated_s - a.heated_s
    mean = a.heated_s if abs(np.log(ratio)) < 1e-9 else apart / float(np.log(ratio))

    def share(x: float) -> float:
        return mean * float(np.log(x)) / MINUTE_S

    warmer = a.from_degC - b.from_degC
    sense = "colder" if warmer > 0.0 else "warmer"
    return (
        Part(
            "began",
            (b.wait_s - a.wait_s) / MINUTE_S,
            f"its heating began at {_minutes(b.wait_s)}, not at {_minutes(a.wait_s)}",
        ),
        Part(
            "start-temperature",
            share(b.rise_K / a.rise_K),
            f"its coldest cell began {abs(warmer):.1f} K {sense}, "
            f"at {b.from_degC:.1f} instead of {a.from_degC:.1f} °C",
        ),
        Part(
            "heat-power",
            share(a.heat_kW / b.heat_kW),
            f"it had {b.heat_kW:.1f} kW of heat instead of {a.heat_kW:.1f} kW",
        ),
        Part(
            "heat-effect",
            share(a.K_per_kWh / b.K_per_kWh),
            f"a kilowatt-hour of heat warmed it by {b.K_per_kWh:.1f} K instead of "
            f"{a.K_per_kWh:.1f} K (losses outside, coolant and drive units taking their share)",
        ),
    )


def _minutes(seconds: float) -> str:
    return f"{seconds / MINUTE_S:.1f} min"
