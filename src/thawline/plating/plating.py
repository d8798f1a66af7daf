"""The plating margin of a textbook cell, and a recording's charging on it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

#: What must be said wherever the map is shown.
CAUTION = (
    "This is a textbook cell, computed from published parameters; it is not this car's cell. "
    "Where its electrode reaches 0 V says where lithium could begin to plate in that cell, not "
    "in this one. It is no licence to charge harder: the car's own limits hold."
)


@dataclass(frozen=True, slots=True)
class PlatingMap:
    """C-rates at which a cell's negative electrode reaches 0 V against lithium.

    Parameters
    ----------
    parameter_set, paper : str
        Name of the set of parameters, and the paper that it comes from.
    model, version : str
        The cell model, and the version of the package that computed it.
    charge_s : float
        How long it is charged before the electrode is judged [s].
    degC : ndarray of float64, shape (n,)
        Temperatures, rising [degC].
    charge_pct : ndarray of float64, shape (m,)
        States of charge at the beginning, rising [percent].
    rate_per_h : ndarray of float64, shape (n, m)
        The C-rate at each [1/h].
    is_cached : bool
        Whether it was computed before and only read now.
    """

    parameter_set: str
    paper: str
    model: str
    version: str
    charge_s: float
    degC: Array
    charge_pct: Array
    rate_per_h: Array
    is_cached: bool = False

    def at(self, degC: Array, charge_pct: Array) -> Array:
        """Read the map between its points.

        Parameters
        ----------
        degC : ndarray of float64, shape (k,)
            Cell temperature [degC].
        charge_pct : ndarray of float64, shape (k,)
            State of charge [percent].

        Returns
        -------
        ndarray of float64, shape (k,)
            C-rate; NaN outside the map [1/h].
        """
        from scipy.interpolate import RegularGridInterpolator  # loads slowly: only with a map

        read = RegularGridInterpolator(
            (self.degC, self.charge_pct), self.rate_per_h, bounds_error=False, fill_value=np.nan
        )
        return np.asarray(read(np.column_stack((degC, charge_pct))), dtype=np.float64)


@dataclass(frozen=True, slots=True)
class KeptDistance:
    """A recording's own charging against the map.

    Parameters
    ----------
    recording_id : str
        The recording.
    t : ndarray of float64, shape (k,)
        Moments at which the pack was charged or regenerated [s].
    degC, charge_pct : ndarray of float64, shape (k,)
        Coldest cell [degC] and state of charge [percent].
    rate_per_h : ndarray of float64, shape (k,)
        C-rate into the pack [1/h].
    limit_per_h : ndarray of float64, shape (k,)
        C-rate of the map there; NaN outside it [1/h].
    regenerates : ndarray of bool, shape (k,)
        Whether it came from driving: short pulses, where the map means ten minutes.
    nearest : int or None
        Number of the moment of charging that came nearest; None if there was none on the map
        [1].
    capacity_Ah : float
        Capacity that turned amperes into C-rates [A*h].
    sentence : str
        The same in plain words.
    """

    recording_id: str
    t: Array
    degC: Array
    charge_pct: Array
    rate_per_h: Array
    limit_per_h: Array
    regenerates: NDArray[np.bool_]
    nearest: int | None
    capacity_Ah: float
    sentence: str
