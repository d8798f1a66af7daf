"""What was found on a fleet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from thawline.fleet.source import Entry
from thawline.trends.study import Study
from thawline.trends.trends import Trends


@dataclass(frozen=True, slots=True)
class Learned:
    """One figure of a vehicle: by itself, and with what others of its model teach.

    Parameters
    ----------
    vehicle, model : str
        The vehicle.
    kind : str
        ``warm-up``, ``limit`` or ``level``.
    name : str
        The parameter.
    unit : str
        Unit of the numbers; empty where it is a ratio.
    is_log : bool
        Whether sigmas are relative: of the logarithm.
    mornings : int
        Mornings that tell it [1].
    own, own_sigma : float or None
        By the vehicle's own mornings; None where they tell nothing [unit].
    pooled, pooled_sigma : float
        With what others of its model teach [unit].
    model_mean, model_sigma : float
        What they share [unit].
    spread : float
        Standard deviation from vehicle to vehicle [unit].
    """

    vehicle: str
    model: str
    kind: str
    name: str
    unit: str
    is_log: bool
    mornings: int
    own: float | None
    own_sigma: float | None
    pooled: float
    pooled_sigma: float
    model_mean: float
    model_sigma: float
    spread: float


@dataclass(frozen=True, slots=True)
class Shared:
    """What a vehicle takes from others of its model, as plain values.

    Parameters
    ----------
    vehicles : dict of str to dict
        For a vehicle of the fleet: what all others of its model taught, but not itself.
    models : dict of str to dict
        For a vehicle that nobody has seen: what all of its model taught.
    """

    vehicles: dict[str, dict[str, Any]]
    models: dict[str, dict[str, Any]]


@dataclass(frozen=True, slots=True)
class Fleet:
    """Many recordings, studied.

    Parameters
    ----------
    address : str
        Where they lie.
    code : str
        The code that studied them.
    entries : tuple of Entry
        The recordings, in the order of their start.
    studies : mapping of str to Study
        By name of the recording.
    errors : tuple of (str, str, str)
        Recording or vehicle, stage and what was wrong.
    trends : tuple of Trends
        One for each vehicle, in the order of their names.
    limits : mapping of str to dict
        What each vehicle's pack allows, as plain values.
    learned : tuple of Learned
        Figures of each vehicle, by itself and pooled.
    priors : mapping of str to dict
        The warm-up model's prior of each vehicle, as plain values.
    shared : mapping of str to dict
        What vehicles take from others of their model, as plain values; see ``share``.
    computed, reused : int
        Tasks that were done now, and before [1].
    """

    address: str
    code: str
    entries: tuple[Entry, ...]
    studies: Mapping[str, Study]
    errors: tuple[tuple[str, str, str], ...]
    trends: tuple[Trends, ...]
    limits: Mapping[str, dict[str, Any]] = field(default_factory=dict)
    learned: tuple[Learned, ...] = ()
    priors: Mapping[str, dict[str, Any]] = field(default_factory=dict)
    shared: Mapping[str, dict[str, Any]] = field(default_factory=dict)
    computed: int = 0
    reused: int = 0
