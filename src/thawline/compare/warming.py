r"""Why one pack took longer to thaw: a warm-up taken apart into start, power and effect.

The kelvins that both had to rise are held against each other as each recording tells them; what
the colder one took beyond them is the colder start's. Of the common kelvins :math:`\Delta T`

.. math:: t = \tau + \frac{\Delta T}{P\,e}

with the lag :math:`\tau` in which coolant and drive units take the heat, the mean heat *P* and its
effect *e* in kelvins per kilowatt-hour. The difference is shared out by the logarithmic mean, so
that the parts add up [1]_; the lag counts as effect.

References
----------
.. [1] B. W. Ang, "The LMDI approach to decomposition analysis: a practical guide", Energy
   Policy 33 (2005) 867, doi:10.1016/j.enpol.2003.10.010 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from thawline.compare.comparison import Part, Side
from thawline.compare.curve import Curve, curve_of
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
    curve : Curve or None
        Time and heat to each kelvin of it; None counts as even.
    """

    wait_s: float
    heated_s: float
    rise_K: float
    from_degC: float
    heat_kW: float
    curve: Curve | None = None

    @property
    def K_per_kWh(self) -> float:
        """What a kilowatt-hour of heat did."""
        return self.rise_K / (self.heat_kW * self.heated_s / HOUR_S)

    def until(self, rise_K: float) -> Stretch:
        """Read the stretch from the beginning of heating until a rise.

        Parameters
        ----------
        rise_K : float
            The rise [K].

        Returns
        -------
        Stretch
            Its time, heat and lag.
        """
        if self.curve is None:
            time_s = self.heated_s * rise_K / self.rise_K
            return Stretch(time_s, self.heat_kW * time_s / HOUR_S, 0.0, 0.0)
        lag_s, doubt_s = self.curve.lag_s(rise_K)
        return Stretch(self.curve.time_s(rise_K), self.curve.heat_kWh(rise_K), lag_s, doubt_s)


@dataclass(frozen=True, slots=True)
class Stretch:
    """The same first kelvins of a warm-up.

    Parameters
    ----------
    time_s : float
        How long they took [s].
    heat_kWh : float
        Heat in them [kWh].
    lag_s, doubt_s : float
        How long the heat ran ahead of the coldest cell, and the doubt of that [s].
    """

    time_s: float
    heat_kWh: float
    lag_s: float
    doubt_s: float

    @property
    def heat_kW(self) -> float:
        """Mean heat in it."""
        return self.heat_kWh * HOUR_S / self.time_s

    def heat_at_kWh(self, kW: float) -> float:
        """Tell what heat it would have taken at another power: the lag is one of time.

        Parameters
        ----------
        kW : float
            The power [kW].

        Returns
        -------
        float
            The heat [kWh].
        """
        return (self.lag_s * kW + (self.time_s - self.lag_s) * self.heat_kW) / HOUR_S


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
    assert coldest is not None  # else nothing was known beside the moments
    curve = curve_of(t[inside], coldest[inside], power[inside], low, rise)
    heated = reached.t_s - begin
    if curve is not None:  # its clock begins and ends within a tick of the moments
        curve = replace(curve, times_s=curve.times_s * (heated / curve.times_s[-1]))
    return Warming(begin - side.zero_s, heated, rise, low, mean, curve)


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
    common = min(a.rise_K, b.rise_K)
    one, other = a.until(common), b.until(common)
    colder_s = (b.heated_s - other.time_s) - (a.heated_s - one.time_s)
    lasting = one.time_s - one.lag_s, other.time_s - other.lag_s
    power_s = _log_mean(*lasting) * float(np.log(one.heat_kW / other.heat_kW))
    effect_s = other.time_s - one.time_s - power_s
    doubt_s = float(np.hypot(one.doubt_s, other.doubt_s))
    pace = max(a.heated_s / a.rise_K, b.heated_s / b.rise_K) * setting("temperature_K")
    # what a kelvin took at the same power: the geometric mean of both
    kW = float(np.sqrt(one.heat_kW * other.heat_kW))
    effects = [common / part.heat_at_kWh(kW) for part in (one, other)]
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
            colder_s / MINUTE_S,
            f"its coldest cell began {abs(warmer):.1f} K {sense}, "
            f"at {b.from_degC:.1f} instead of {a.from_degC:.1f} °C",
            pace / MINUTE_S,
        ),
        Part(
            "heat-power",
            power_s / MINUTE_S,
            f"it had {other.heat_kW:.1f} kW of heat instead of {one.heat_kW:.1f} kW",
            doubt_s * abs(float(np.log(one.heat_kW / other.heat_kW))) / MINUTE_S,
        ),
        Part(
            "heat-effect",
            effect_s / MINUTE_S,
            f"over the same {common:.1f} K a kilowatt-hour of heat warmed it by "
            f"{effects[1]:.1f} K instead of {effects[0]:.1f} K",
            float(np.hypot(doubt_s * abs(float(np.log(one.heat_kW / other.heat_kW))), pace))
            / MINUTE_S,
        ),
    )


def _log_mean(a: float, b: float) -> float:
    ratio = float(np.log(b / a))
    return a if abs(ratio) < 1e-9 else (b - a) / ratio


def _minutes(seconds: float) -> str:
    return f"{seconds / MINUTE_S:.1f} min"
