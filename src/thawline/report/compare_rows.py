"""The figures of a comparison, ready for people."""

from __future__ import annotations

from dataclasses import dataclass

from thawline.compare.charged_words import charged_sentence, told_shares
from thawline.compare.comparison import Comparison, Row, Side
from thawline.compare.words import signed
from thawline.report.chronicle import title_of
from thawline.report.moments import Moments, duration_text
from thawline.report.numbers import number, symbol, uncertain

#: Digits of a figure without a stated uncertainty, by unit [1].
PLACES = {"degC": 1, "kW": 1, "percent": 1, "points": 1, "kWh": 2, "": 2}


@dataclass(frozen=True, slots=True)
class Told:
    """One line of a table of two mornings.

    Parameters
    ----------
    title, unit, a, b, difference : str
        Name, unit, both values and B less A, written out.
    differs : bool
        Whether the difference is worth a word.
    """

    title: str
    unit: str
    a: str
    b: str
    difference: str
    differs: bool


def _value(value: float | None, sigma: float, unit: str) -> str:
    if value is None:
        return "–"
    if sigma > 0.0:
        return uncertain(value, sigma)
    return number(value, PLACES.get(unit, 2))


def _difference(row: Row) -> str:
    apart = row.difference
    if apart is None:
        return "–"
    text = _value(apart, row.sigma, row.unit)
    return text if text.startswith("−") or apart == 0.0 else f"+{text}"


def told_rows(found: Comparison) -> dict[str, list[Told]]:
    """Write out the figures, group by group.

    Parameters
    ----------
    found : Comparison
        The comparison.

    Returns
    -------
    dict of str to list of Told
        Lines by group, in order.
    """
    groups: dict[str, list[Told]] = {}
    for row in found.rows:
        groups.setdefault(row.group, []).append(
            Told(
                row.title,
                symbol(row.unit) if row.unit != "points" else "points",
                _value(row.a, row.a_sigma, row.unit),
                _value(row.b, row.b_sigma, row.unit),
                _difference(row),
                row.differs,
            )
        )
    return groups


def told_turnings(found: Comparison) -> list[Told]:
    """Write out the times to each turning point, in minutes.

    Parameters
    ----------
    found : Comparison
        The comparison.

    Returns
    -------
    list of Told
        Lines, in the order of a morning.
    """
    lines = []
    for one in found.turnings:
        if one.kind == "plugged-in":
            continue
        later = one.later_s
        sign = "" if later is None or later < 0.0 else "+"
        lines.append(
            Told(
                title_of(one.kind),
                "min",
                "–" if one.a_s is None else number(one.a_s / 60.0, 1),
                "–" if one.b_s is None else number(one.b_s / 60.0, 1),
                "–" if later is None else sign + number(later / 60.0, 1),
                later is not None and abs(later) > 30.0,
            )
        )
    return lines


def told_charged(found: Comparison) -> list[Told]:
    """Write out the reasons for a difference in what was charged, in kilowatt-hours.

    Parameters
    ----------
    found : Comparison
        The comparison.

    Returns
    -------
    list of Told
        What is told, the largest first, then the rest and the whole; empty where as much was
        charged.
    """
    whole = found.charged
    if whole is None or charged_sentence(whole) is None:
        return []
    told = told_shares(whole)
    rest = whole.kWh - sum(share.kWh for share in told)
    lines = [(signed(share.because), share.kWh) for share in told]
    lines += [("cannot be told", rest), ("together", whole.kWh)]
    return [
        Told(title, "kWh", "", "", ("" if kWh < 0.0 else "+") + number(kWh, 2), True)
        for title, kWh in lines
    ]


def side_facts(side: Side) -> tuple[str, ...]:
    """Tell which morning a side is.

    Parameters
    ----------
    side : Side
        The side.

    Returns
    -------
    tuple of str
        Vehicle, day, length, and what it counts from.
    """
    moments = Moments(side.starts_at, side.zero_s, side.is_from_plug_in)
    when = f"{moments.date}, {moments.clock(0.0)} UTC" if moments.is_dated else "without a date"
    return (
        side.vehicle,
        when,
        duration_text(side.duration_s),
        f"minutes count from {moments.origin}",
    )
