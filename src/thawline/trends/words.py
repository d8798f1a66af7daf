"""A trend in plain words."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from thawline.report.numbers import number
from thawline.trends.trends import Effect, Trend

UNITS = {"degC": "°C", "percent": "%", "mOhm": "mΩ"}
#: A morning that counts for less than this is odd [1].
ODD = 0.35
PERCENT = 100.0


def unit_word(unit: str) -> str:
    """Write a unit as people do.

    Parameters
    ----------
    unit : str
        The unit.

    Returns
    -------
    str
        The unit in print.
    """
    return UNITS.get(unit, unit)


def with_unit(value: float, unit: str, places: int | None = None) -> str:
    """Write a value with its unit.

    Parameters
    ----------
    value : float
        The value [unit].
    unit : str
        Its unit.
    places : int, optional
        Decimals; by default three digits are shown [1].

    Returns
    -------
    str
        Value and unit.
    """
    if places is None:
        size = abs(value)
        places = 0 if size >= 100.0 else 1 if size >= 10.0 else 2 if size >= 1.0 else 3
    return f"{number(value, places)} {unit_word(unit)}".strip()


def _conditions(effects: tuple[Effect, ...]) -> str:
    said = [f"{one.title} ({with_unit(one.at, one.unit, 1)})" for one in effects]
    return said[0] if len(said) == 1 else f"{', '.join(said[:-1])} and {said[-1]}"


def sentence_of(trend: Trend, better: str) -> Trend:
    """Put a trend into words.

    Parameters
    ----------
    trend : Trend
        The trend.
    better : str
        ``less`` or ``more``, where one of them is; else empty.

    Returns
    -------
    Trend
        The same, with its sentence.
    """
    parts = [_change(trend, better)]
    if trend.effects:
        parts.append(f"Brought to the middle of {_conditions(trend.effects)}.")
    if trend.not_taken_out:
        left = ", ".join(trend.not_taken_out)
        parts.append(f"Not taken out, as it did not differ or was not always recorded: {left}.")
    odd = [
        name for name, w in zip(trend.recordings, trend.weights.tolist(), strict=True) if w < ODD
    ]
    if odd and trend.change is not None:
        parts.append(f"Odd for its day, and counted less: {', '.join(odd)}.")
    return replace(trend, sentence=" ".join(parts))


def _change(trend: Trend, better: str) -> str:
    count = f"{trend.mornings} morning{'' if trend.mornings == 1 else 's'}"
    level = with_unit(trend.level or 0.0, trend.unit)
    if trend.change is None or trend.change_sigma is None:
        return f"{level} from {count}: too few, or too close together, to tell a change."
    sign = "+" if trend.change >= 0.0 else "−"
    places = 1 if abs(trend.change) < 10.0 or trend.change_sigma < 3.0 else 0
    size = number(abs(trend.change), places)
    doubt = number(trend.change_sigma, places)
    unit = unit_word(trend.change_unit)
    change = f"{sign}{size} ± {doubt} {unit} in {trend.days:.0f} days ({count})"
    if not trend.is_change:
        return f"No change that the scatter could not make: {change}, about {level}."
    word = "more" if trend.change > 0.0 else "less"
    sense = "" if not better else "; that is to the good" if word == better else "; that is worse"
    strength = _strength(trend.change, trend.change_sigma, trend.change_unit)
    return f"A change: {change}, about {level}; {strength:.1f} times its uncertainty{sense}."


def _strength(change: float, sigma: float, unit: str) -> float:
    """Hold a change against its uncertainty; one in percent by its logarithm, as it was judged."""
    if unit == "percent" and change > -PERCENT:
        ratio = 1.0 + change / PERCENT
        change, sigma = float(np.log(ratio)), sigma / PERCENT / ratio
    return abs(change) / max(sigma, float(np.finfo(float).tiny))
