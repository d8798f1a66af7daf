"""The lines of an account as a report shows them."""

from __future__ import annotations

import csv
import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from thawline.ledger.ledger import Line
from thawline.report.numbers import uncertain

#: Below this a part that stands for times without data is not worth a word [kWh].
BRIDGED_KWH = 0.0005


@dataclass(frozen=True, slots=True)
class Row:
    """One line of an account.

    Parameters
    ----------
    line, title, short : str
        Its name in the account, for people, and for narrow pictures.
    side : str
        ``in`` (gives), ``out`` (takes), ``within`` (a transfer inside the account) or
        ``rest`` (what is unaccounted).
    colour : str
        Name in the palette.
    kWh, plus_minus_kWh : float or None
        Energy and standard uncertainty; None where they cannot be told [kWh].
    value : str
        Both as people read them, without the unit.
    origin, note : str
        Where it comes from.
    """

    line: str
    title: str
    short: str
    side: str
    colour: str
    kWh: float | None
    plus_minus_kWh: float | None
    value: str
    origin: str
    note: str

    @property
    def is_known(self) -> bool:
        """Whether the line has a value."""
        return self.kWh is not None and math.isfinite(self.kWh)


@cache
def _table() -> dict[tuple[str, str], dict[str, str]]:
    text = files("thawline.report").joinpath("accounts.csv").read_text("utf-8")
    return {(row["account"], row["line"]): row for row in csv.DictReader(text.splitlines())}


def rows_of(account: str, lines: Iterable[Line]) -> list[Row]:
    """Prepare the lines of an account.

    Parameters
    ----------
    account : str
        ``electrical`` or ``heat``.
    lines : iterable of Line
        Its lines.

    Returns
    -------
    list of Row
        In the same order.
    """
    rows = []
    for line in lines:
        about = _table()[account, line.line]
        note = line.note
        if abs(line.bridged_kWh) >= BRIDGED_KWH:
            bridged = f"{line.bridged_kWh:.3f} kWh of it stand for times without data"
            note = f"{note.rstrip('.')}; {bridged}" if note else bridged
        known = line.kWh is not None and math.isfinite(line.kWh)
        rows.append(
            Row(
                line=line.line,
                title=about["title"],
                short=about["short"],
                side=about["side"],
                colour=about["colour"],
                kWh=line.kWh if known else None,
                plus_minus_kWh=line.plus_minus_kWh if known else None,
                value=uncertain(line.kWh, line.plus_minus_kWh),
                origin=line.origin,
                note=note,
            )
        )
    return rows
