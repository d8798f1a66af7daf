"""What was found of temperatures that follow a warm-up."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.suggest.kinds import Reading

Floats = NDArray[np.float64]
#: Roles of temperatures in a warm-up.
WINDING, PEER, OUTLET, CELLS = "winding", "peer", "outlet", "cells"


@dataclass(frozen=True, slots=True)
class Follower:
    """How a temperature follows the one taken as the inlet's.

    Parameters
    ----------
    reading : Reading
        The temperature.
    role : str
        ``winding``, ``peer``, ``outlet`` or ``cells``.
    at_once : float
        Share of the inlet's rise that it follows at once [1].
    tau_s : float
        Time constant of the rest [s].
    explained : float
        Share of its variance that the two explain [1].
    lead_K : float
        How far it is ahead of the inlet at most [K].
    is_exact : bool
        Whether no more is left than the sensor's steps and a thousandth of the course.
    """

    reading: Reading
    role: str
    at_once: float
    tau_s: float
    explained: float
    lead_K: float = 0.0
    is_exact: bool = False


@dataclass(frozen=True, slots=True)
class Warming:
    """A warm-up, one temperature taken as the inlet's.

    Parameters
    ----------
    inlet : Reading
        The temperature taken as the coolant's at the inlet.
    followers : tuple of Follower
        The others that fit in.
    begins : int
        Second in which the coolant begins to warm [s].
    score : float
        How much of a warm-up is there: windings, an outlet, cells [1].
    """

    inlet: Reading
    followers: tuple[Follower, ...]
    begins: int
    score: float

    @property
    def is_full(self) -> bool:
        """Whether something leads the inlet, or follows it at once: else it may be either."""
        return bool(self.of(WINDING) or self.of(OUTLET))

    def of(self, role: str) -> list[Follower]:
        """List the followers of a role.

        Parameters
        ----------
        role : str
            The role.

        Returns
        -------
        list of Follower
            In the order of the database.
        """
        return [one for one in self.followers if one.role == role]
