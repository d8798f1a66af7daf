"""The powers in the car on one clock: who gives, who takes.

The clock ticks once a second. Fast channels are averaged over each tick, so that energies
keep; slow ones are interpolated; states hold. Where nothing was recorded, values are NaN.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

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


@dataclass(frozen=True, slots=True)
class Flows:
    """All powers that the recording knows.

    Names: ``supply`` (taken from the wall, or direct current from outside),
    ``charger-output`` (direct-current side), ``charger-loss``, ``drive-unit-heating``,
    ``pack-heater``, ``cabin-heating`` (heaters and compressor), ``low-voltage`` (converter),
    ``driving`` (electrical power of the drive units when the car moves, positive when it
    drives), ``pack`` (positive into the pack).

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Middle of each tick, since the recording's start [s].
    step_s : float
        Length of a tick [s].
    flows : mapping of str to Flow
        The powers by name; what is not known is absent.
    lost : mapping of str to str
        Name to the reason why it is not known, in plain words.
    """

    t: NDArray[np.float64]
    step_s: float
    flows: Mapping[str, Flow] = field(default_factory=dict)
    lost: Mapping[str, str] = field(default_factory=dict)
