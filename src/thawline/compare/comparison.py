"""Two mornings side by side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.physics.constants import constants

Array = NDArray[np.float64]
#: A reason for less is not worth a word [min]; ours.
LEAST_MINUTES = constants("thawline.compare", "settings.csv")["least_minutes"]


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two mornings.

    Parameters
    ----------
    label : str
        ``A`` or ``B``.
    recording_id, vehicle : str
        The recording and its vehicle.
    starts_at : float
        First sample, since 1970-01-01 UTC [s].
    duration_s : float
        From the first sample to the last [s].
    zero_s : float
        The moment from which both are counted: the plugging in, else the first sample [s].
    is_from_plug_in : bool
        Whether it is the plugging in.
    """

    label: str
    recording_id: str
    vehicle: str
    starts_at: float
    duration_s: float
    zero_s: float
    is_from_plug_in: bool


@dataclass(frozen=True, slots=True)
class Row:
    """One figure of both mornings.

    Parameters
    ----------
    key, group, title : str
        Short name, the group it belongs to, and its name.
    unit : str
        Its unit.
    a, b : float or None
        Its values; None where it cannot be told [unit].
    a_sigma, b_sigma : float
        Standard uncertainties; 0 where none is known [unit].
    least : float
        A difference below this is not worth a word [unit].
    """

    key: str
    group: str
    title: str
    unit: str
    a: float | None
    b: float | None
    a_sigma: float = 0.0
    b_sigma: float = 0.0
    least: float = 0.0

    @property
    def difference(self) -> float | None:
        """B less A."""
        return None if self.a is None or self.b is None else self.b - self.a

    @property
    def sigma(self) -> float:
        """Standard uncertainty of the difference."""
        return float(np.hypot(self.a_sigma, self.b_sigma))

    @property
    def differs(self) -> bool:
        """Whether the difference is more than its uncertainty and worth a word."""
        apart = self.difference
        return apart is not None and abs(apart) > max(2.0 * self.sigma, self.least)


@dataclass(frozen=True, slots=True)
class Turning:
    """One kind of turning point in both mornings.

    Parameters
    ----------
    kind : str
        Its kind.
    a_s, b_s : float or None
        Time from plugging in to the first of its kind; None where it did not come [s].
    a_sigma_s, b_sigma_s : float
        Standard uncertainties [s].
    """

    kind: str
    a_s: float | None
    b_s: float | None
    a_sigma_s: float = 0.0
    b_sigma_s: float = 0.0

    @property
    def later_s(self) -> float | None:
        """How much later it came in B."""
        return None if self.a_s is None or self.b_s is None else self.b_s - self.a_s


@dataclass(frozen=True, slots=True)
class Part:
    """One reason for a difference in time, with its share.

    Parameters
    ----------
    key : str
        ``began``, ``start-temperature``, ``heat-power`` or ``heat-effect``.
    minutes : float
        How much later it made B [min].
    because : str
        Why, with its numbers.
    sigma_min : float
        Standard uncertainty of its share [min].
    """

    key: str
    minutes: float
    because: str
    sigma_min: float = 0.0

    @property
    def is_told(self) -> bool:
        """Whether it is more than its uncertainty and worth a word."""
        return abs(self.minutes) >= max(LEAST_MINUTES, 2.0 * self.sigma_min)


@dataclass(frozen=True, slots=True)
class Share:
    """One reason for a difference in what was charged, with its share.

    Parameters
    ----------
    key : str
        ``supply-power``, ``supply-asked``, ``supply-time``, ``supply``, ``heat-colder``,
        ``heat-effect``, ``heat-power``, ``heat-after``, or a line of the electrical account.
    kWh : float
        How much more it left for B's pack [kWh].
    sigma_kWh : float
        Standard uncertainty [kWh].
    because : str
        Why, with its numbers.
    """

    key: str
    kWh: float
    sigma_kWh: float
    because: str


@dataclass(frozen=True, slots=True)
class Charged:
    """The difference in what was charged, taken apart by the electrical accounts.

    Parameters
    ----------
    kWh, sigma_kWh : float
        How much more went into B's pack, less what came out of it, and its uncertainty [kWh].
    shares : tuple of Share
        Reasons, the largest first.
    untold_kWh : float
        What the shares leave; with them it adds up to the difference [kWh].
    missing : tuple of str
        Lines that one of the accounts does not know.
    """

    kWh: float
    sigma_kWh: float
    shares: tuple[Share, ...]
    untold_kWh: float
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Overlay:
    """One quantity of both mornings over the time from plugging in.

    Parameters
    ----------
    key, title, unit : str
        What it is, and its catalogue unit.
    a_t, a, b_t, b : ndarray of float64
        Times [s] and values of both; empty where not recorded, NaN where unknown [unit].
    """

    key: str
    title: str
    unit: str
    a_t: Array
    a: Array
    b_t: Array
    b: Array


@dataclass(frozen=True, slots=True)
class Comparison:
    """What differs between two mornings, and the likely reason.

    Parameters
    ----------
    a, b : Side
        The mornings.
    rows : tuple of Row
        Figures side by side.
    turnings : tuple of Turning
        Time to each turning point.
    target : str
        What the parts below explain, for instance ``coldest-cell-thaws``; empty if nothing.
    parts : tuple of Part
        Reasons for the difference in time to it; they add up.
    sentences : tuple of str
        What differs and why, in plain words.
    overlays : tuple of Overlay
        What is drawn one over the other.
    per_kWh : float or None
        Price of a kilowatt-hour, if one was given [1/kWh].
    charged : Charged or None
        The difference in what was charged; None where an account does not know it.
    """

    a: Side
    b: Side
    rows: tuple[Row, ...]
    turnings: tuple[Turning, ...]
    target: str
    parts: tuple[Part, ...]
    sentences: tuple[str, ...]
    overlays: tuple[Overlay, ...]
    per_kWh: float | None
    charged: Charged | None = None
