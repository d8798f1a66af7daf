"""One power on the clock, with what it rests on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Flow:
    """One power on the clock.

    Parameters
    ----------
    kW : ndarray of float64, shape (n,)
        The power; NaN where it is not known [kW].
    sigma_kW : ndarray of float64, shape (n,)
        Systematic standard uncertainty of each value, from stated accuracies and
        resolution, fully correlated from tick to tick [kW].
    signals : tuple of str
        Paths of the channels that it was computed from.
    origin : str
        ``measured``, ``derived`` (from other measured ones) or ``assumed`` (from a prior).
    note : str
        How, in plain words.
    """

    kW: NDArray[np.float64]
    sigma_kW: NDArray[np.float64]
    signals: tuple[str, ...]
    origin: str = "measured"
    note: str = ""
