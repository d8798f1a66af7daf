"""What all recordings of a vehicle teach of its cells."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.charge.resisting import ResistanceCurve

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Threshold:
    """The temperature at which a limit leaves zero.

    Parameters
    ----------
    degC : float or None
        Coldest cell at which it does; None where no recording shows it [degC].
    plus_minus_K : float or None
        Standard uncertainty [K].
    zero_until_degC : float or None
        Warmest coldest cell at which the limit was still zero [degC].
    above_from_degC : float or None
        Coldest one at which it was above zero [degC].
    openings : int
        Times that it was seen to leave zero [1].
    note : str
        How it was found, or why not.
    """

    degC: float | None
    plus_minus_K: float | None
    zero_until_degC: float | None
    above_from_degC: float | None
    openings: int
    note: str


@dataclass(frozen=True, slots=True)
class LimitPoints:
    """Samples that a curve comes from.

    Parameters
    ----------
    degC, charge_pct, kW : ndarray of float64, shape (n,)
        Coldest cell [degC], physical state of charge, NaN where not recorded [percent], and
        power [kW].
    recording : ndarray of int64, shape (n,)
        Which recording each comes from [1].
    """

    degC: Array
    charge_pct: Array
    kW: Array
    recording: NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class LimitCurve:
    """A power that the pack allows: the smaller of a curve by temperature and one by charge.

    Parameters
    ----------
    what : str
        ``charging`` or ``regeneration``.
    origin : str
        ``limit signal``, or ``achieved``: the upper envelope of what was achieved, a lower bound
        of what is allowed.
    against : str
        ``coldest cell``; where it is not recorded, ``mean of the pack`` or ``warmest cell``.
    degC, kW, low_kW, high_kW : ndarray of float64, shape (n,)
        Coldest cell, rising [degC], the power, never falling, and the ends of its interval of
        90 % [kW].
    threshold : Threshold
        Where it leaves zero.
    full_from_degC : float or None
        Coldest cell from which it rises no more; None where no recording is so warm [degC].
    enough_from_degC, enough_kW : float or None
        Coldest cell from which more is allowed than the most that was ever asked [degC], and
        how much that was [kW].
    charge_pct, charge_kW : ndarray of float64, shape (m,)
        State of charge, rising [percent], and the power that it leaves, never rising [kW]; empty
        where charge held nothing back.
    charge_seen_pct : tuple of (float, float) or None
        States of charge that the recordings cover; None if not recorded [percent].
    misfit : float
        Share by which 90 % of the samples lie within the curve [1].
    points : LimitPoints
        What it comes from.
    recordings : int
        Recordings that it comes from [1].
    """

    what: str
    origin: str
    against: str
    degC: Array
    kW: Array
    low_kW: Array
    high_kW: Array
    threshold: Threshold
    full_from_degC: float | None
    enough_from_degC: float | None
    enough_kW: float | None
    charge_pct: Array
    charge_kW: Array
    charge_seen_pct: tuple[float, float] | None
    misfit: float
    points: LimitPoints
    recordings: int

    def at(self, coldest_degC: Array, charge_pct: Array | None = None) -> Array:
        """Read the curve.

        Parameters
        ----------
        coldest_degC : ndarray of float64, shape (n,)
            Coldest cell [degC].
        charge_pct : ndarray of float64, shape (n,), optional
            State of charge [percent].

        Returns
        -------
        ndarray of float64, shape (n,)
            Power; NaN outside the temperatures that were recorded [kW].
        """
        begin = self.threshold.degC if self.threshold.degC is not None else -np.inf
        kW = np.interp(coldest_degC, self.degC, self.kW, left=np.nan, right=np.nan)
        kW = np.where(coldest_degC < begin, 0.0, kW)
        if charge_pct is not None and len(self.charge_pct):
            kW = np.minimum(kW, np.interp(charge_pct, self.charge_pct, self.charge_kW))
        return np.asarray(kW)


@dataclass(frozen=True, slots=True)
class Capacity:
    """The pack's capacity, or why it cannot be told.

    Parameters
    ----------
    Ah, plus_minus_Ah : float or None
        Charge between empty and full by the physical state of charge [A*h].
    kWh, plus_minus_kWh : float or None
        The same as energy at the mean voltage of the recordings at rest [kWh].
    moved_pct : float
        The most that one recording moved [percent].
    recordings : int
        Recordings that moved enough [1].
    note : str
        How it was found, or why not.
    """

    Ah: float | None
    plus_minus_Ah: float | None
    kWh: float | None
    plus_minus_kWh: float | None
    moved_pct: float
    recordings: int
    note: str


@dataclass(frozen=True, slots=True)
class HiddenCurve:
    """What the cold hides from the display, by the pack's mean temperature.

    Parameters
    ----------
    degC, hidden_pct, low_pct, high_pct : ndarray of float64, shape (n,)
        Temperature, rising [degC], physical less displayed charge, never rising, and the ends
        of its interval of 90 % [percent].
    usable_kWh : ndarray of float64, shape (n,)
        Energy that the display leaves of a full pack at that temperature [kWh].
    pct_per_K : float or None
        Mean slope while something is hidden [percent/K].
    none_from_degC : float or None
        Temperature from which nothing is hidden; None where no recording is so warm [degC].
    points_degC, points_pct : ndarray of float64, shape (m,)
        The samples that it comes from [degC], [percent].
    """

    degC: Array
    hidden_pct: Array
    low_pct: Array
    high_pct: Array
    usable_kWh: Array
    pct_per_K: float | None
    none_from_degC: float | None
    points_degC: Array
    points_pct: Array


@dataclass(frozen=True, slots=True)
class OpenCircuit:
    """Voltage at rest by state of charge, as far as recordings tell.

    Parameters
    ----------
    charge_pct, volts, plus_minus_V : ndarray of float64, shape (n,)
        State of charge, rising [percent], voltage of the whole pack and its standard
        uncertainty [V].
    cells_in_series : int or None
        Cells in series, if known [1].
    """

    charge_pct: Array
    volts: Array
    plus_minus_V: Array
    cells_in_series: int | None


@dataclass(frozen=True, slots=True)
class Learned:
    """What all recordings of a vehicle teach of its cells.

    Parameters
    ----------
    vehicle : str
        The vehicle's name.
    recordings : tuple of str
        The recordings' names, in the order of their start.
    charging, regeneration : LimitCurve or None
        What the pack allows; None where nothing tells it.
    resistance : ResistanceCurve or None
        Its resistance.
    capacity : Capacity
        Its capacity.
    hidden : HiddenCurve or None
        What the cold hides from the display.
    open_circuit : OpenCircuit or None
        Its voltage at rest.
    lost : tuple of str
        What could not be learned, and why.
    """

    vehicle: str
    recordings: tuple[str, ...]
    charging: LimitCurve | None
    regeneration: LimitCurve | None
    resistance: ResistanceCurve | None
    capacity: Capacity
    hidden: HiddenCurve | None
    open_circuit: OpenCircuit | None
    lost: tuple[str, ...]
