r"""A power with what each sensor's error does to it.

For a power :math:`P = \sum_k I_k U_k` a gain error of a current or a voltage changes it by
its own part :math:`I_k U_k`, a zero error of the current by :math:`U_k`, one of the voltage
by :math:`I_k`. For a power that is itself measured they change it by :math:`P` and by 1.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from thawline.ledger.bridging import STOOD_STILL, Hole, bridge
from thawline.quantities import converter
from thawline.recording.clock import on_clock
from thawline.recording.flow import Flow
from thawline.recording.flows import Flows
from thawline.recording.recording import Channel, Recording

Array = NDArray[np.float64]
#: Rounding to steps of q spreads evenly: its standard deviation is q over this [1].
ROOT_12 = float(np.sqrt(12.0))


@dataclass(frozen=True, slots=True)
class Sensed:
    """A power on the clock, without holes.

    Parameters
    ----------
    name : str
        Name of the flow.
    t : ndarray of float64, shape (n,)
        Middle of each tick [s].
    step_s : float
        Length of a tick [s].
    kW : ndarray of float64, shape (n,)
        The power; holes are bridged [kW].
    by_gain, by_zero : mapping of str to ndarray of float64
        Change of the power per unit of a sensor's gain error [kW], and per unit of its
        zero error [kW per unit of the channel], by path.
    common_kW : ndarray of float64, shape (n,)
        Standard uncertainty common to all ticks that no sensor explains [kW].
    noise_kW : float
        Standard deviation from tick to tick [kW].
    between_kWh : float
        Standard uncertainty of the whole energy for what went on between samples [kWh].
    holes : tuple of Hole
        What was bridged.
    signals : tuple of str
        Paths that it rests on.
    origin : str
        As in ``Flow``.
    note : str
        As in ``Flow``.
    """

    name: str
    t: Array
    step_s: float
    kW: Array
    by_gain: Mapping[str, Array] = field(default_factory=dict)
    by_zero: Mapping[str, Array] = field(default_factory=dict)
    common_kW: Array = field(default_factory=lambda: np.zeros(0))
    noise_kW: float = 0.0
    between_kWh: float = 0.0
    holes: tuple[Hole, ...] = ()
    signals: tuple[str, ...] = ()
    origin: str = "measured"
    note: str = ""


def _add(to: dict[str, Array], path: str, more: Array) -> None:
    to[path] = to[path] + more if path in to else more


def _partner(current: str, voltages: Sequence[str]) -> str | None:
    """Find the voltage that goes with a current, as the flows pair them."""
    last = current.rsplit(".", 1)[-1]
    matching = [path for path in voltages if path.rsplit(".", 1)[-1] == last]
    return next(iter([*matching, *voltages]), None)


def _parts(
    recording: Recording, flow: Flow, t: Array
) -> tuple[dict[str, Array], dict[str, Array], Array]:
    """Find what each sensor gives to a flow, and what its zero error does to it."""
    gain: dict[str, Array] = {}
    zero: dict[str, Array] = {}
    total = np.zeros(len(t))
    channels = {p: recording.channels[p] for p in flow.signals if p in recording.channels}
    values = {p: on_clock(c, t, recording.gaps) for p, c in channels.items()}
    voltages = [p for p, c in channels.items() if c.unit == "V"]
    for path, channel in channels.items():
        if channel.unit in ("W", "kW"):
            factor = converter(channel.unit, "kW")[0]
            part = values[path] * factor
            _add(gain, path, part)
            _add(zero, path, np.full(len(t), factor))
        elif channel.unit == "A" and (volts := _partner(path, voltages)) is not None:
            cells = recording.vehicle.pack.cells_in_series or 1 if "CellVoltage" in volts else 1
            part = values[path] * values[volts] * cells / 1e3
            _add(gain, path, part)
            _add(gain, volts, part)
            _add(zero, path, values[volts] * cells / 1e3)
            _add(zero, volts, values[path] * cells / 1e3)
        else:
            continue
        total = total + part
    return gain, zero, total


def _noise_of(channel: Channel, step_s: float) -> float:
    """Noise of a channel's mean over one tick."""
    share = channel.period_s / step_s if 0.0 < channel.period_s < step_s else 1.0
    return channel.noise * float(np.sqrt(share))


def ticks_per_sample(recording: Recording, power: Sensed) -> int:
    """Tell how many ticks lie between two samples of a power's slowest sensor.

    Parameters
    ----------
    recording : Recording
        The recording.
    power : Sensed
        The power.

    Returns
    -------
    int
        At least one [1].
    """
    periods = [recording.channels[path].period_s for path in power.by_gain]
    return max(1, round(max(periods, default=0.0) / power.step_s))


def between_samples(channel: Channel, weight: float = 1.0) -> float:
    r"""Bound what an integral misses between samples.

    A step between two samples may have come at any time between them: it adds
    :math:`|\Delta x|\,\Delta t / \sqrt{12}`, and steps add as independent errors.

    Parameters
    ----------
    channel : Channel
        The channel.
    weight : float
        What one unit of the integral is worth [unit].

    Returns
    -------
    float
        Standard uncertainty of the channel's integral, times ``weight`` [unit].
    """
    if len(channel.t) < 2:
        return 0.0
    width = np.diff(channel.t)
    steps = np.diff(channel.values) * np.where(width > channel.stale_after_s, 0.0, width)
    return float(np.sqrt(np.sum(steps**2))) / ROOT_12 * abs(weight)


def sensed(
    recording: Recording, flows: Flows, name: str, known_of: NDArray[np.int8] | None = None
) -> Sensed | None:
    """Take a flow apart into its sensors.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers.
    name : str
        Name of the flow.
    known_of : ndarray of int8, shape (n,), optional
        What is known of holes, tick by tick [1].

    Returns
    -------
    Sensed or None
        The power without holes; None if it is not known at any time.
    """
    flow = flows.flows.get(name)
    if flow is None or np.all(np.isnan(flow.kW)):
        return None
    gain, zero, total = _parts(recording, flow, flows.t)
    kW, found = bridge(flow.kW, flows.step_s, known_of)
    common = np.zeros(len(kW))
    if not gain:
        common = bridge(np.where(np.isnan(flow.kW), np.nan, flow.sigma_kW))[0]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(np.abs(total) > 1e-9, flow.kW / total, 1.0)
    share = np.where(np.isnan(total) | np.isnan(flow.kW), 0.0, np.clip(share, -1.0, 1.0))
    known = ~np.isnan(flow.kW)
    at = np.arange(len(kW))
    stood_still = np.zeros(len(kW), dtype=bool)
    if known_of is not None:
        stood_still = ~known & (known_of == STOOD_STILL)

    def whole(part: Array) -> Array:
        scaled = np.nan_to_num(part) * share
        between = np.interp(at, at[known], scaled[known])
        return np.asarray(np.where(stood_still, 0.0, between))

    noise, between = 0.0, 0.0
    for path in gain:
        channel = recording.channels[path]
        per_unit = float(np.sqrt(np.nanmean((zero[path] * share) ** 2)))
        noise = float(np.hypot(noise, per_unit * _noise_of(channel, flows.step_s)))
        between = float(np.hypot(between, between_samples(channel, per_unit / 3600.0)))
    return Sensed(
        name=name,
        t=flows.t,
        step_s=flows.step_s,
        kW=kW,
        by_gain={path: whole(part) for path, part in gain.items()},
        by_zero={path: whole(part) for path, part in zero.items()},
        common_kW=common,
        noise_kW=noise,
        between_kWh=between,
        holes=tuple(found),
        signals=flow.signals,
        origin=flow.origin,
        note=flow.note,
    )
