"""A simulated morning: everything as it truly was."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.simulator.build import Build
from thawline.simulator.scenario import Scenario

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class TruePoint:
    """A turning point as it truly was.

    Parameters
    ----------
    kind : str
        Its kind.
    t_s : float
        When, since the morning's beginning [s].
    slow_s : float
        How slowly it turned: from the instant until a power or limit is 0.15 kW, or for
        0.1 K at a temperature; 0 for what turns at once [s].
    """

    kind: str
    t_s: float
    slow_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Truth:
    """What is to be found.

    Parameters
    ----------
    electrical : mapping of str to float
        Lines of the electrical account; they balance [kWh].
    heat : mapping of str to float
        Lines of the heat account; they balance [kWh].
    more : mapping of str to float
        What the lines are made of [kWh].
    charge : mapping of str to float
        ``shown``, ``charged``, ``warmed-back``, from the first instant to the last, before
        the display rounds [percent].
    points : tuple of TruePoint
        Turning points in order of time.
    """

    electrical: Mapping[str, float]
    heat: Mapping[str, float]
    more: Mapping[str, float]
    charge: Mapping[str, float]
    points: tuple[TruePoint, ...]


@dataclass(frozen=True, slots=True)
class Morning:
    """A simulated morning.

    Parameters
    ----------
    build : Build
        The vehicle.
    scenario : Scenario
        The morning.
    t : ndarray of float64, shape (n,)
        Times; powers hold from each to the next [s].
    step_s : float
        Their distance [s].
    values : mapping of str to ndarray of float64
        What the car's computers could know, by concrete catalogue path, in its unit; states
        as 0 and 1 [unit].
    modules_degC : ndarray of float64, shape (n, modules + 1)
        Cell temperatures along the coolant's path, the end cell last [degC].
    powers : mapping of str to ndarray of float64
        ``supply``, ``ceiling``, ``charger-output``, ``charger-loss``, ``drive-unit-heating``,
        ``pack-heater``, ``cabin-heating``, ``low-voltage``, ``driving``, ``driving-loss``,
        ``pack`` (positive into it), and of heat ``cells``, ``into-pack``, ``plates``,
        ``pack-to-ambient``, ``elsewhere-to-ambient`` [W].
    truth : Truth
        What is to be found.
    """

    build: Build
    scenario: Scenario
    t: Array
    step_s: float
    values: Mapping[str, Array]
    modules_degC: Array
    powers: Mapping[str, Array]
    truth: Truth
