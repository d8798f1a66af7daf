"""What was wanted: charging, conditioning of the pack, a warm cabin."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.story import names
from thawline.story.onset import state_edge
from thawline.story.scene import Scene
from thawline.story.stretch import Edge, Stretch, holding, reach
from thawline.story.stretches import Rule, stretches
from thawline.story.supply import any_on
from thawline.story.thresholds import threshold


@dataclass(frozen=True, slots=True)
class Wish:
    """When something was wanted.

    Parameters
    ----------
    path : str
        The signal that tells.
    stretches : tuple of Stretch
        When it was true.
    t : ndarray of float64, shape (n,)
        Middles of the ticks [s].
    """

    path: str
    stretches: tuple[Stretch, ...]
    t: NDArray[np.float64]

    def falls(self) -> list[float]:
        """List when it ceased to be true [s]."""
        return [s.ends.t_s for s in self.stretches if s.ends]

    def rise_before(self, t_s: float, slack_s: float) -> float | None:
        """Find when the wish began that holds at an instant.

        Parameters
        ----------
        t_s : float
            The instant [s].
        slack_s : float
            How late the signal may come [s].

        Returns
        -------
        float or None
            When it began, minus infinity if it held from the start [s]; None if nothing was
            wanted.
        """
        found = holding(self.stretches, self.t, t_s, slack_s)
        return None if found is None else reach(found, self.t)[0]


def read_wish(scene: Scene, path: str) -> Wish | None:
    """Read a state that tells what is wanted or going on.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    path : str
        The signal.

    Returns
    -------
    Wish or None
        When it was true; None if it was not recorded.
    """
    state = any_on(scene, [path] if path in scene.signals else [])
    if state is None:
        return None
    hold = threshold("state_blip_s")
    found = stretches(scene.t, scene.step_s, state, Rule(hold, hold, hold))
    channel = scene.channel(path)

    def sharp(edge: Edge | None) -> Edge | None:
        return state_edge(channel, edge) if edge is not None else None

    return Wish(
        path,
        tuple(Stretch(s.first, s.last, sharp(s.begins), sharp(s.ends)) for s in found),
        scene.t,
    )


@dataclass(frozen=True, slots=True)
class Wishes:
    """All that was wanted; None where no signal tells.

    Parameters
    ----------
    charging, conditioning, conditioning_now, cabin : Wish or None
        Charging; conditioning of the pack switched on; conditioning at work; a warm cabin.
    """

    charging: Wish | None
    conditioning: Wish | None
    conditioning_now: Wish | None
    cabin: Wish | None


def read_wishes(scene: Scene) -> Wishes:
    """Read all that was wanted.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.

    Returns
    -------
    Wishes
        When each thing was wanted.
    """
    return Wishes(
        read_wish(scene, names.CHARGE_WANTED),
        read_wish(scene, names.CONDITIONING_ON),
        read_wish(scene, names.CONDITIONING_NOW),
        read_wish(scene, names.CABIN_WANTED),
    )


def fell_near(
    wishes: Iterable[Wish | None], t_s: float, slack_s: float
) -> list[tuple[Wish, float]]:
    """Find wishes that ended shortly before an instant.

    Parameters
    ----------
    wishes : iterable of Wish or None
        Wishes.
    t_s : float
        The instant [s].
    slack_s : float
        How late a signal may come [s].

    Returns
    -------
    list of tuple of Wish and float
        Each with the time at which it ended [s].
    """
    early = t_s - threshold("cause_before_s")
    return [
        (wish, fall)
        for wish in wishes
        if wish is not None
        for fall in wish.falls()
        if early <= fall <= t_s + slack_s
    ]
