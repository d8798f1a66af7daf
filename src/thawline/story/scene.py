"""Everything that the story reads, on one clock."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.recording.clock import on_clock
from thawline.recording.flows import Flow, Flows
from thawline.recording.powers import paths_like
from thawline.recording.recording import Channel, Recording
from thawline.story import names

#: Exact paths that the story reads; what flows already hold is not among them.
READS = (
    names.COLDEST,
    names.MEAN_TEMPERATURE,
    names.CHARGE_PHYSICAL,
    names.CHARGE_SHOWN,
    names.CHARGE_TARGET,
    names.CHARGE_LIMIT,
    names.REGENERATION_LIMIT,
    names.COOLANT_FLOW,
    names.IS_CHARGING,
    names.CHARGE_WANTED,
    names.PILOT,
    names.OFFER,
    names.CONDITIONING_ON,
    names.CONDITIONING_NOW,
    names.CONDITIONING_TARGET,
    names.CABIN_WANTED,
    names.CABIN_AIR,
    names.CABIN_TARGET,
    names.OUTSIDE_AIR,
    names.SPEED,
    names.DIRECT_VOLTAGE,
    names.DIRECT_CURRENT,
    names.DIRECT_LIMIT,
    names.MOTOR + "Temperature",
    names.MOTOR + "Speed",
    names.MOTOR + "Power",
)
#: The same for those that exist once per phase, port or drive unit.
READS_LIKE = (
    names.CABLE,
    names.PHASE_VOLTAGE,
    names.PHASE_CURRENT,
    names.PHASE_LIMIT,
    names.WINDING,
    names.MOTOR_SPEED,
    names.MOTOR_POWER,
)


@dataclass(frozen=True, slots=True)
class Scene:
    """A recording laid on the flows' clock.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers.
    signals : mapping of str to ndarray of float64
        What the story reads, by path, on the flows' clock; NaN where unknown [unit].
    """

    recording: Recording
    flows: Flows
    signals: Mapping[str, NDArray[np.float64]]

    @property
    def t(self) -> NDArray[np.float64]:
        """Middle of each tick [s]."""
        return self.flows.t

    @property
    def step_s(self) -> float:
        """Length of a tick [s]."""
        return self.flows.step_s

    def signal(self, path: str) -> NDArray[np.float64] | None:
        """Give a signal on the clock.

        Parameters
        ----------
        path : str
            Its path.

        Returns
        -------
        ndarray of float64 or None
            Its values; None if it was not recorded.
        """
        return self.signals.get(path)

    def channel(self, path: str) -> Channel:
        """Give a channel that is known to be there.

        Parameters
        ----------
        path : str
            Its path.

        Returns
        -------
        Channel
            The channel, on its own clock.
        """
        return self.recording.channels[path]

    def like(self, kind: tuple[str, str]) -> list[str]:
        """Find the signals of one kind.

        Parameters
        ----------
        kind : tuple of str
            Head and tail of the path.

        Returns
        -------
        list of str
            Concrete paths; empty if none was recorded.
        """
        return [path for path in paths_like(self.recording, *kind) if path in self.signals]

    def flow(self, name: str) -> Flow | None:
        """Give a power on the clock.

        Parameters
        ----------
        name : str
            Its name.

        Returns
        -------
        Flow or None
            The power; None if it is not known.
        """
        return self.flows.flows.get(name)

    def period_s(self, paths: tuple[str, ...]) -> float:
        """Tell how slow the slowest of some signals is.

        Parameters
        ----------
        paths : tuple of str
            Their paths.

        Returns
        -------
        float
            Its period, at least a tick [s].
        """
        there = self.recording.channels
        return max([self.step_s, *(there[path].period_s for path in paths if path in there)])

    def tick(self, t_s: float) -> int:
        """Find the tick of an instant.

        Parameters
        ----------
        t_s : float
            The instant [s].

        Returns
        -------
        int
            Index of the tick.
        """
        return int(np.clip(np.floor((t_s - self.t[0]) / self.step_s + 0.5), 0, len(self.t) - 1))

    def value(self, path: str, t_s: float, reach_s: float = 30.0) -> float | None:
        """Read a signal at an instant, or the last value known shortly before.

        Parameters
        ----------
        path : str
            Its path.
        t_s : float
            The instant [s].
        reach_s : float
            How far back to look [s].

        Returns
        -------
        float or None
            The value; None if it is not known.
        """
        values = self.signals.get(path)
        return None if values is None else last_known(values, self.tick(t_s), self._back(reach_s))

    def power(self, name: str, t_s: float, reach_s: float = 30.0) -> float | None:
        """Read a power at an instant, or the last value known shortly before.

        Parameters
        ----------
        name : str
            Name of the flow.
        t_s : float
            The instant [s].
        reach_s : float
            How far back to look [s].

        Returns
        -------
        float or None
            The power [kW]; None if it is not known.
        """
        flow = self.flow(name)
        return None if flow is None else last_known(flow.kW, self.tick(t_s), self._back(reach_s))

    def _back(self, reach_s: float) -> int:
        return int(reach_s / self.step_s)


def last_known(values: NDArray[np.float64], i: int, back: int) -> float | None:
    """Find the last value that is known.

    Parameters
    ----------
    values : ndarray of float64
        Values; NaN where unknown [unit].
    i : int
        Index to begin at [1].
    back : int
        How many values to look back [1].

    Returns
    -------
    float or None
        The value; None if none is known.
    """
    stretch = values[max(0, i - back) : i + 1]
    known = stretch[~np.isnan(stretch)]
    return float(known[-1]) if len(known) else None


def make_scene(recording: Recording, flows: Flows) -> Scene:
    """Lay a recording on the flows' clock.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers.

    Returns
    -------
    Scene
        What the story reads.
    """
    wanted = [path for path in READS if path in recording.channels]
    for kind in READS_LIKE:
        wanted += [path for path in paths_like(recording, *kind) if path not in wanted]
    signals = {
        path: on_clock(recording.channels[path], flows.t, recording.gaps)
        for path in wanted
        if len(recording.channels[path].t)
    }
    return Scene(recording, flows, signals)
