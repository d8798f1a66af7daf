"""Colours that people with any colour vision tell apart, on paper and on a dark screen.

References
----------
.. [1] M. Okabe, K. Ito, "Color Universal Design (CUD): How to make figures and presentations
   that are friendly to colorblind people", 2008. Darkened for text and thin lines on white.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files


@dataclass(frozen=True, slots=True)
class Colour:
    """One colour.

    Parameters
    ----------
    name : str
        Its name.
    on_paper, on_dark : str
        As ``#rrggbb``, on a light and on a dark ground.
    """

    name: str
    on_paper: str
    on_dark: str


@cache
def palette() -> dict[str, Colour]:
    """Read the palette.

    Returns
    -------
    dict of str to Colour
        The colours by name.
    """
    text = files("thawline.report").joinpath("palette.csv").read_text("utf-8")
    return {
        row["name"]: Colour(row["name"], row["on_paper"], row["on_dark"])
        for row in csv.DictReader(text.splitlines())
    }
