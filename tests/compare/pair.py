"""Two explained mornings of one simulated car: the second colder, with a stronger supply."""

from __future__ import annotations

from functools import cache

from tests.charge.proving import mornings
from thawline.report.explained import Explained
from thawline.walk import explain


@cache
def pair() -> tuple[Explained, Explained]:
    """The middle morning (−7 °C) and the coldest (−14 °C)."""
    made = mornings()
    return explain(made[1][1]), explain(made[0][1])
