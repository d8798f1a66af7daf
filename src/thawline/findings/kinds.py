"""The kinds of findings: title, cheapest next check, caution."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from thawline.physics.constants import read_table


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of finding.

    Parameters
    ----------
    kind : str
        Its short name.
    title : str
        What a reader calls it.
    next_check : str
        The cheapest check that would tell more.
    caution : str
        What must not be done for it.
    """

    kind: str
    title: str
    next_check: str
    caution: str


@cache
def kinds() -> dict[str, Kind]:
    """Read the kinds of findings.

    Returns
    -------
    dict of str to Kind
        Kinds by name, in the order of the table.
    """
    rows = read_table("thawline.findings", "kinds.csv")
    return {r["kind"]: Kind(r["kind"], r["title"], r["next_check"], r["caution"]) for r in rows}
