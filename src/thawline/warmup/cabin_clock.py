"""The cabin's own clock: steps from shortly before its first heat until now."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from thawline.recording.clock import on_clock
from thawline.recording.flows import Flows
from thawline.recording.recording import Channel, Recording
from thawline.warmup.grid import INPUTS, OUTSIDE, Grid, step_means
from thawline.warmup.heat_sources import held
from thawline.warmup.sensing import Seen, see_one
from thawline.warmup.settings import setting
from thawline.warmup.step_clock import back_from, lengths_of, on_from

Array = NDArray[np.float64]
OUTER = INPUTS.index("outside")


def _outside_degC(
    recording: Recording, flows: Flows, air: Channel, like: Grid, *, is_soaked: bool
) -> tuple[Array, bool]:
    """Give the air outside, else what a soaked cabin read first, else what the pack has."""
    channel = recording.channels.get(OUTSIDE)
    if channel is None or not len(channel.t):
        guess = float(air.values[0]) if is_soaked else float(like.inputs[0, OUTER])
        return np.full(len(flows.t), guess), False
    return held(on_clock(channel, flows.t, recording.gaps), float(channel.values[0])), True


def cabin_grid(
    recording: Recording, flows: Flows, air: Channel, until_s: float, like: Grid, cabin_kW: Array
) -> Grid:
    """Lay a clock over the time in which the cabin was heated.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers.
    air : Channel
        Air in the cabin.
    until_s : float
        End of the last step [s].
    like : Grid
        The pack's clock; what the cabin has no use for is taken from it.
    cabin_kW : ndarray of float64, shape (n,)
        Power of the cabin's heaters on the flows' clock [kW].

    Returns
    -------
    Grid
        Steps with the cabin's heat and the air outside, at least one.
    """
    on = np.flatnonzero((cabin_kW > setting("on_kW")) & (flows.t <= until_s))
    first = float(flows.t[on[0]]) if len(on) else until_s
    every = setting("cabin_grows_s")
    oldest = every * float(np.floor((until_s - setting("cabin_longest_s")) / every))
    begin = max(0.0, first - setting("cabin_before_s"), oldest)
    if like.last_s is None:
        ends, step_s, last_s = back_from(until_s, begin)
    else:
        ends, step_s, last_s = on_from(begin, until_s, int(setting("cabin_steps")))
    lengths = lengths_of(len(ends), step_s, last_s)
    soaked = not len(on) or on[0] > 0
    outside, known = _outside_degC(recording, flows, air, like, is_soaked=soaked)
    inputs = np.zeros((len(ends), len(INPUTS)))
    for name, values in (("cabin", cabin_kW), ("outside", outside)):
        inputs[:, INPUTS.index(name)] = step_means(flows.t, values, ends, lengths)
    return replace(
        like,
        ends=ends,
        step_s=step_s,
        inputs=inputs,
        level=np.zeros(len(ends), dtype=np.intp),
        flows=np.ones(1),
        begins_warm=bool(inputs[0, INPUTS.index("cabin")] > setting("on_kW")),
        outside_known=known,
        last_s=last_s,
    )


def see_air(air: Channel, grid: Grid) -> Seen | None:
    """Read the cabin's air: fine readings twice a minute, coarse ones at their edges.

    A thermometer stands at one place; how far that is from the mean of the cabin lasts.

    Parameters
    ----------
    air : Channel
        Air in the cabin.
    grid : Grid
        The cabin's clock.

    Returns
    -------
    Seen or None
        None where it says nothing.
    """
    seen = see_one("cabin air", air, grid)
    if seen is None or not np.isfinite(seen.degC).any():
        return None
    floor, degC = setting("floor_cabin_K"), seen.degC.copy()
    if not np.isfinite(seen.low).any():
        every, count = max(1, round(setting("cabin_read_s") / grid.step_s)), len(degC)
        turn = np.arange(count) % every == (count - 1 if grid.last_s is None else every - 1) % every
        turn[-1] = True
        degC[~turn] = np.nan
        if not np.isfinite(degC).any():
            degC = seen.degC
    return replace(
        seen,
        name="cabin",
        degC=degC,
        sd_K=np.hypot(seen.sd_K, floor),
        low=seen.low - floor,
        high=seen.high + floor,
    )
