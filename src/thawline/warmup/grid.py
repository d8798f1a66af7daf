"""The clock of the model: steps of ten seconds or so that end now, with their inputs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.physics.battery import nominal_cell_V, resistance_at_mOhm, resistance_prior_mOhm
from thawline.recording.clock import on_clock
from thawline.recording.flows import Flows
from thawline.recording.powers import BATTERY
from thawline.recording.recording import Recording
from thawline.warmup.heat_sources import HeatSources, held
from thawline.warmup.settings import setting
from thawline.warmup.step_clock import back_from, lengths_of, on_from, round_number

Array = NDArray[np.float64]
#: Inputs of the model, in this order: heat in the drive units, heat of a coolant heater, heat
#: in the cells at the prior resistance, cabin heating [kW]; air outside [degC].
INPUTS = ("drive", "heater", "cells", "cabin", "outside")
COLD_PATHS = (
    BATTERY + "Temperature.Min",
    BATTERY + "Temperature.Average",
    BATTERY + "Temperature.Max",
)
OUTSIDE = "Exterior.AirTemperature"
#: Index of the level at which the coolant stands [1].
STILL = -1000


@dataclass(frozen=True, slots=True)
class Grid:
    """Steps with inputs that are held over each.

    Parameters
    ----------
    ends : ndarray of float64, shape (n,)
        End of each step [s].
    step_s : float
        Length of a step [s].
    inputs : ndarray of float64, shape (n, 5)
        ``INPUTS`` as means over the steps [kW, degC].
    level : ndarray of intp, shape (n,)
        Which flow level holds in each step [1].
    flows : ndarray of float64, shape (m,)
        Flow levels, over the reference flow [1].
    flow_known : bool
        Whether a flow is recorded.
    usual_heat_kW : float
        Mean heat while heating, for the scale of noise [kW].
    heat_so_far_kWh : float
        All the heat [kWh].
    begins_warm : bool
        Whether heat was already on at the first step.
    outside_known : bool
        Whether the air outside is recorded.
    last_s : float or None
        Length of the last step of a clock that grows; None: as the others, and it does not [s].
    """

    ends: Array
    step_s: float
    inputs: Array
    level: NDArray[np.intp]
    flows: Array
    flow_known: bool
    usual_heat_kW: float
    heat_so_far_kWh: float
    begins_warm: bool
    outside_known: bool
    last_s: float | None = None

    @property
    def lengths(self) -> Array:
        """Length of each step [s]."""
        return lengths_of(len(self.ends), self.step_s, self.last_s)

    def settled(self, count: int) -> int:
        """Tell how many of the first readings stand for all of them.

        Parameters
        ----------
        count : int
            Readings there are [1].

        Returns
        -------
        int
            All of them, or on a clock that grows the last round number [1].
        """
        return count if self.last_s is None else round_number(count)


def step_means(t: Array, values: Array, ends: Array, lengths_s: Array | float) -> Array:
    """Average over steps what stands on a finer clock.

    Parameters
    ----------
    t : ndarray of float64, shape (m,)
        The finer clock [s].
    values : ndarray of float64, shape (m,)
        Values; never NaN [unit].
    ends : ndarray of float64, shape (n,)
        Ends of the steps [s].
    lengths_s : ndarray of float64, shape (n,), or float
        Their lengths [s].

    Returns
    -------
    ndarray of float64, shape (n,)
        Means; the last value before where a step holds none [unit].
    """
    summed = np.concatenate(([0.0], np.cumsum(values)))
    first = np.searchsorted(t, ends - lengths_s, side="right")
    last = np.searchsorted(t, ends, side="right")
    count = last - first
    mean = (summed[last] - summed[first]) / np.maximum(count, 1)
    nearest = values[np.clip(last - 1, 0, len(values) - 1)]
    return np.asarray(np.where(count > 0, mean, nearest))


def pack_degC(recording: Recording, t: Array) -> Array | None:
    """Give a temperature of the pack on a clock: coldest, else mean, else warmest.

    Parameters
    ----------
    recording : Recording
        The recording.
    t : ndarray of float64, shape (n,)
        The clock [s].

    Returns
    -------
    ndarray of float64, shape (n,) or None
        The temperature, holes filled [degC]; None if none is recorded.
    """
    for path in COLD_PATHS:
        channel = recording.channels.get(path)
        if channel is not None and len(channel.t):
            return held(on_clock(channel, t, recording.gaps), float(channel.values[0]))
    return None


def cell_heat_kW(recording: Recording, flows: Flows, count: int | None = None) -> Array:
    """Find the heat that the pack's current makes in the cells, at the prior resistance.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers.
    count : int, optional
        So many of the first ticks tell the pack's usual voltage; all if it is not given [1].

    Returns
    -------
    ndarray of float64, shape (n,)
        Heat on the flows' clock; zero where no current is known [kW].
    """
    pack = flows.flows.get("pack")
    if pack is None:
        return np.zeros(len(flows.t))
    own = recording.vehicle.pack
    cells = own.cells_in_series or 100
    volts = np.full(len(flows.t), cells * nominal_cell_V(own.chemistry))
    channel = recording.channels.get(BATTERY + "CurrentVoltage")
    if channel is not None and len(channel.t):
        seen = on_clock(channel, flows.t, recording.gaps)
        volts = np.where(np.nan_to_num(seen) > 10.0, seen, volts)
    temperature = pack_degC(recording, flows.t)
    degC = np.zeros(len(flows.t)) if temperature is None else temperature
    if own.resistance_mOhm is not None:
        mOhm = resistance_at_mOhm(own.resistance_mOhm, degC, 20.0)
    else:
        middle = resistance_prior_mOhm(
            own.usable_energy_kWh, float(np.median(volts[:count])), own.chemistry
        )[0]
        mOhm = resistance_at_mOhm(middle, degC)
    amps = np.nan_to_num(pack.kW) * 1e3 / volts
    return np.asarray(amps**2 * mOhm / 1e6)


def _flow_levels(
    recording: Recording, flows: Flows, ends: Array, lengths_s: Array, heat: Array
) -> tuple[NDArray[np.intp], Array, bool]:
    channel = recording.channels.get(BATTERY + "Coolant.Flow")
    nothing = np.zeros(len(ends), dtype=np.intp)
    if channel is None or not len(channel.t):
        return nothing, np.ones(1), False
    litres = held(on_clock(channel, flows.t, recording.gaps), float(channel.values[0]))
    runs = litres > setting("flow_runs_l_per_min")
    if not runs.any():
        # heat without any flow in all the recording: the meter is not to be trusted
        return nothing, np.array([1.0 if (heat > setting("on_kW")).any() else 0.0]), False
    share = step_means(flows.t, litres, ends, lengths_s) / setting("flow_reference_l_per_min")
    still = share < setting("flow_runs_l_per_min") / setting("flow_reference_l_per_min")
    grain = setting("flow_levels")
    whole = np.round(np.log(np.maximum(share, 1e-3)) / grain).astype(int)
    whole[still] = STILL
    levels, index = np.unique(whole, return_inverse=True)
    shares = np.where(levels == STILL, 0.0, np.exp(np.maximum(levels, -99) * grain))
    return index.astype(np.intp), shares, True


def make_grid(
    recording: Recording,
    flows: Flows,
    sources: HeatSources,
    until_s: float,
    most_steps: int | None = None,
) -> Grid:
    """Lay the model's clock over a recording.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers.
    sources : HeatSources
        Where its heat comes from.
    until_s : float
        End of the last step [s].
    most_steps : int, optional
        Steps at most of a clock that grows; the clock of a fit if it is not given [1].

    Returns
    -------
    Grid
        Steps with their inputs, at least one.
    """
    heat, until_s = sources.total_kW, max(until_s, flows.step_s)
    on = np.flatnonzero((heat > setting("on_kW")) & (flows.t <= until_s))
    first = float(flows.t[on[0]]) if len(on) else until_s
    begin = max(0.0, first - setting("before_heating_s"))
    if most_steps is None:
        ends, step_s, last_s = back_from(until_s, begin)
    else:
        ends, step_s, last_s = on_from(begin, until_s, most_steps)
    lengths = lengths_of(len(ends), step_s, last_s)
    outside, outside_known = _outside(recording, flows)
    cabin = np.zeros(len(heat)) if sources.cabin_kW is None else sources.cabin_kW
    settled = None if last_s is None else round_number(len(flows.t))
    columns = (
        sources.drive_kW,
        sources.heater_kW,
        cell_heat_kW(recording, flows, settled),
        cabin,
        outside,
    )
    inputs = np.stack([step_means(flows.t, c, ends, lengths) for c in columns], axis=1)
    level, levels, known = _flow_levels(recording, flows, ends, lengths, heat)
    heated = inputs[:, 0] + inputs[:, 1]
    busy = heated[heated > setting("on_kW")]
    if last_s is not None:
        busy = busy[: round_number(len(busy))]
    return Grid(
        ends,
        step_s,
        inputs,
        level,
        levels,
        known,
        float(busy.mean()) if len(busy) else 0.0,
        float(np.sum(heated * lengths)) / 3600.0,
        bool(heated[0] > setting("on_kW")),
        outside_known,
        last_s,
    )


def _outside(recording: Recording, flows: Flows) -> tuple[Array, bool]:
    channel = recording.channels.get(OUTSIDE)
    if channel is not None and len(channel.t):
        seen = on_clock(channel, flows.t, recording.gaps)
        return held(seen, float(channel.values[0])), True
    pack = pack_degC(recording, flows.t)
    return np.full(len(flows.t), 0.0 if pack is None else float(pack[0])), False
