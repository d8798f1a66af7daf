"""The ledger: two accounts of the same morning."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

ELECTRICAL = (
    "supply",
    "charger-loss",
    "drive-unit-heating",
    "cabin-heating",
    "other-loads",
    "pack-in",
    "pack-out",
    "unaccounted",
)
HEAT = (
    "drive-unit-heating",
    "cell-resistance",
    "coolant-into-pack",
    "stored-in-pack",
    "pack-to-ambient",
    "stored-elsewhere",
    "unaccounted",
)


@dataclass(frozen=True, slots=True)
class Line:
    """One line of an account.

    Parameters
    ----------
    line : str
        One of ``ELECTRICAL`` or ``HEAT``.
    kWh : float or None
        Energy; None where it cannot be told [kWh].
    plus_minus_kWh : float or None
        Standard uncertainty [kWh].
    origin : str
        ``measured``, ``derived``, ``assumed`` or ``unknown``.
    note : str
        How it was found, or why not, in plain words.
    bridged_kWh : float
        The part that stands for times without data [kWh].
    """

    line: str
    kWh: float | None
    plus_minus_kWh: float | None
    origin: str
    note: str = ""
    bridged_kWh: float = 0.0


@dataclass(frozen=True, slots=True)
class Feed:
    """Who fed whom over time, on the clock of ``Flows``.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Time since the recording's start [s].
    supply_to : dict of str to ndarray of float64
        Power from the supply to ``heat``, ``cabin``, ``other``, ``pack``, ``loss`` [kW].
    pack_to : dict of str to ndarray of float64
        Power from the pack to ``heat``, ``cabin``, ``other`` [kW].
    helping : tuple of (float, float)
        Spans in which the pack had to help although a supply was there [s].
    """

    t: NDArray[np.float64]
    supply_to: dict[str, NDArray[np.float64]]
    pack_to: dict[str, NDArray[np.float64]]
    helping: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Ledger:
    """The accounts.

    Electrical: supply + pack-out = charger-loss + drive-unit-heating + cabin-heating +
    other-loads + pack-in + unaccounted. Heat: drive-unit-heating + cell-resistance =
    stored-in-pack + pack-to-ambient + stored-elsewhere + unaccounted; coolant-into-pack is
    the transfer inside it.

    Parameters
    ----------
    electrical : tuple of Line
        In the order of ``ELECTRICAL``.
    heat : tuple of Line
        In the order of ``HEAT``.
    feed : Feed or None
        Who fed whom; None where pack power is not known.
    covered_s : float
        Time with data [s].
    notes : tuple of str
        What limits the accounts, in plain words.
    """

    electrical: tuple[Line, ...]
    heat: tuple[Line, ...]
    feed: Feed | None
    covered_s: float
    notes: tuple[str, ...] = ()
