"""What the accounts rest on: the recording's powers, sensors and states on one clock."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from thawline.ledger.doubt import judged_ticks
from thawline.ledger.sensed import Sensed, sensed
from thawline.ledger.sensors import Sensors, sensors_of
from thawline.recording.clock import on_clock
from thawline.recording.flow import Flow
from thawline.recording.flows import Flows
from thawline.recording.powers import BATTERY, CHARGING, moving, paths_like, power
from thawline.recording.recording import Recording
from thawline.story.story import Story

#: A consumer counts as on above this [kW].
ON_KW = 0.1
OUTPUT = CHARGING + "OutputPower"


@dataclass(frozen=True, slots=True)
class Basis:
    """What the accounts rest on.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers; nothing is taken from the wall while the car moves.
    sensors : Sensors
        Causes of error.
    powers : mapping of str to Sensed
        The powers that are known, without holes.
    moves : ndarray of bool, shape (n,)
        Ticks at which the car moves, as far as it can be told.
    known_of : ndarray of int8, shape (n,)
        What is known of holes, tick by tick, see ``doubt`` [1].
    """

    recording: Recording
    flows: Flows
    sensors: Sensors
    powers: Mapping[str, Sensed]
    moves: NDArray[np.bool_]
    known_of: NDArray[np.int8]

    @property
    def hours(self) -> float:
        """Length of the clock [h]."""
        return len(self.flows.t) * self.flows.step_s / 3600.0

    def on(self, name: str) -> NDArray[np.bool_]:
        """Tell when a power is more than idle.

        Parameters
        ----------
        name : str
            Name of the flow.

        Returns
        -------
        ndarray of bool, shape (n,)
            Ticks at which it is on; none where it is not known.
        """
        power = self.powers.get(name)
        if power is None:
            return np.zeros(len(self.flows.t), dtype=bool)
        return np.asarray(power.kW > ON_KW)

    def channel(self, path: str) -> NDArray[np.float64] | None:
        """Lay a channel on the clock.

        Parameters
        ----------
        path : str
            Concrete catalogue path.

        Returns
        -------
        ndarray of float64, shape (n,), or None
            Its values, NaN where unknown; None if it was not recorded.
        """
        channel = self.recording.channels.get(path)
        if channel is None:
            return None
        values = on_clock(channel, self.flows.t, self.recording.gaps)
        return None if np.all(np.isnan(values)) else values

    def state(self, path: str) -> NDArray[np.bool_] | None:
        """Lay a state on the clock; where it is not known, the last known one holds.

        Parameters
        ----------
        path : str
            Concrete catalogue path.

        Returns
        -------
        ndarray of bool, shape (n,), or None
            Ticks at which it is true; None if it was not recorded.
        """
        values = self.channel(path)
        if values is None:
            return None
        known = ~np.isnan(values)
        last = np.maximum.accumulate(np.where(known, np.arange(len(values)), -1))
        first = int(np.argmax(known))
        return np.asarray(values[np.where(last < 0, first, last)] > 0.5)


def _moves(recording: Recording, flows: Flows, story: Story) -> NDArray[np.bool_]:
    known = moving(recording, flows.t)
    if known is not None:
        return known
    driven = np.zeros(len(flows.t), dtype=bool)
    drive = flows.flows.get("driving")
    if drive is not None:
        driven |= np.nan_to_num(np.abs(drive.kW)) > ON_KW
    for span in story.spans:
        if span.lane == "driving":
            driven |= (flows.t >= span.from_s) & (flows.t <= span.to_s)
    return driven


def _still_without_wall(flow: Flow, moves: NDArray[np.bool_]) -> Flow:
    silent = moves & np.isnan(flow.kW)
    return replace(
        flow,
        kW=np.where(silent, 0.0, flow.kW),
        sigma_kW=np.where(silent, 0.0, flow.sigma_kW),
    )


def _without_hidden_supply(recording: Recording, flows: Flows) -> Flows:
    """Forget a supply of which only direct current is recorded if it was an alternating one.

    The charger in the car then gave more than came in from outside.
    """
    supply, output = flows.flows.get("supply"), power(recording, flows.t, OUTPUT)
    if supply is None or output is None or any(".Phase" in path for path in supply.signals):
        return flows
    given, taken = np.nan_to_num(output.kW), np.nan_to_num(supply.kW)
    if not (np.sum(given) > 1.2 * np.sum(taken) and np.any(given - taken > ON_KW)):
        return flows
    kept = {name: flow for name, flow in flows.flows.items() if name != "supply"}
    if CHARGING + "PowerLoss" not in recording.channels:
        kept.pop("charger-loss", None)
    kept["charger-output"] = output
    why = "the charger in the car gave power, but its alternating current is not recorded"
    return replace(flows, flows=kept, lost={**flows.lost, "supply": why})


def basis_of(recording: Recording, flows: Flows, story: Story) -> Basis:
    """Gather what the accounts rest on.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers.
    story : Story
        Its story, which knows when the car was driven.

    Returns
    -------
    Basis
        All of it.
    """
    moves = _moves(recording, flows, story)
    flows = _without_hidden_supply(recording, flows)
    at_wall = {
        name: _still_without_wall(flow, moves)
        for name, flow in flows.flows.items()
        if name in ("supply", "charger-output", "charger-loss")
    }
    flows = replace(flows, flows={**flows.flows, **at_wall})
    known_of = judged_ticks(recording, flows.t)
    found = {name: sensed(recording, flows, name, known_of) for name in flows.flows}
    powers = {name: power for name, power in found.items() if power is not None}
    return Basis(recording, flows, sensors_of(recording), powers, moves, known_of)


def is_plugged_in(basis: Basis) -> NDArray[np.bool_] | None:
    """Tell when a charging cable is connected.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.

    Returns
    -------
    ndarray of bool, shape (n,), or None
        Ticks with a cable in any port; None if no port is recorded.
    """
    ports = paths_like(basis.recording, CHARGING + "ChargingPort.", ".IsChargingCableConnected")
    states = [state for path in ports if (state := basis.state(path)) is not None]
    return np.asarray(np.any(states, axis=0)) if states else None


def conditioning(basis: Basis) -> NDArray[np.bool_] | None:
    """Tell when the car says that it conditions the pack.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.

    Returns
    -------
    ndarray of bool, shape (n,), or None
        Ticks at which it does; None if it says nothing.
    """
    for name in ("IsOngoing", "IsActive"):
        state = basis.state(BATTERY + "BatteryConditioning." + name)
        if state is not None:
            return state
    return None
