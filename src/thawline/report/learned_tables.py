"""Tables of what was learned, written out for people."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from thawline.charge.learned import Learned, LimitCurve
from thawline.recording.dated import has_date
from thawline.report.moments import Moments
from thawline.report.numbers import number, uncertain

#: A curve is told at so many temperatures [1].
ROWS = 9


@dataclass(frozen=True, slots=True)
class Table:
    """A table.

    Parameters
    ----------
    title : str
        What it shows.
    heads : tuple of str
        Names of its columns.
    rows : tuple of tuple of str
        Its rows.
    """

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def learned_tables(found: Learned) -> list[Table]:
    """Write out what was learned.

    Parameters
    ----------
    found : Learned
        What was learned.

    Returns
    -------
    list of Table
        Limits by temperature, resistance by temperature and by morning, what is hidden.
    """
    tables = [_limit(c) for c in (found.charging, found.regeneration) if c is not None]
    if found.resistance is not None:
        tables.append(
            Table(
                "Resistance by temperature",
                ("mean of the pack, °C", "mΩ"),
                tuple(
                    (number(row.degC, 1), uncertain(row.mOhm, row.plus_minus_mOhm))
                    for row in found.resistance.table
                ),
            )
        )
        tables.append(
            Table(
                f"Resistance by morning, at {number(found.resistance.reference_degC, 1)} °C",
                ("morning", "mΩ"),
                tuple(
                    (_when(row.recording_id, row.starts_at),
                     uncertain(row.mOhm, row.plus_minus_mOhm))
                    for row in found.resistance.mornings
                ),
            )
        )  # fmt: skip
    if found.hidden is not None:
        hidden = found.hidden
        chosen = _chosen(len(hidden.degC))
        tables.append(
            Table(
                "Hidden from the display, and the energy that it leaves of a full pack",
                ("mean of the pack, °C", "points", "kWh"),
                tuple(
                    (
                        number(float(hidden.degC[i]), 1),
                        number(float(hidden.hidden_pct[i]), 1),
                        number(float(hidden.usable_kWh[i]), 1),
                    )
                    for i in chosen
                ),
            )
        )
    return tables


def _chosen(count: int) -> list[int]:
    return sorted({round(i) for i in np.linspace(0, count - 1, min(ROWS, count)).tolist()})


def _limit(curve: LimitCurve) -> Table:
    title = "Charging" if curve.what == "charging" else "Regeneration"
    kind = "allowed" if curve.origin == "limit signal" else "achieved, a lower bound"
    return Table(
        f"{title} {kind}",
        (f"{curve.against}, °C", "kW", "90 % interval, kW"),
        tuple(
            (
                number(float(curve.degC[i]), 1),
                number(float(curve.kW[i]), 1),
                f"{number(float(curve.low_kW[i]), 1)} to {number(float(curve.high_kW[i]), 1)}",
            )
            for i in _chosen(len(curve.degC))
        ),
    )


def _when(name: str, starts_at: float) -> str:
    if not has_date(starts_at):
        return name
    return Moments(starts_at, 0.0, False).date
