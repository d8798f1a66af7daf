"""The split of what the display gained."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Gain:
    """A gain in points of charge.

    Parameters
    ----------
    pct : float or None
        Points of charge; None where it cannot be told [percent].
    plus_minus_pct : float or None
        Standard uncertainty [percent].
    note : str
        How it was found, or why not.
    """

    pct: float | None
    plus_minus_pct: float | None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Charge:
    """Displayed gain = charged + warmed back.

    Parameters
    ----------
    shown : Gain
        What the display gained.
    charged : Gain
        What really went in (coulomb count against the physical state of charge).
    warmed_back : Gain
        What came back by warming alone.
    sentence : str
        The same in plain words.
    """

    shown: Gain
    charged: Gain
    warmed_back: Gain
    sentence: str
