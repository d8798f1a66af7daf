"""Learn limits by temperature from earlier mornings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.allowed import LearnedLimits as LearnedLimits
from thawline.forecast.allowed import TemperatureLimit, usual_limit
from thawline.forecast.settings import setting
from thawline.forecast.ways import cabin_took_over, charging_came_first, steady_supply_kW
from thawline.recording.flows import make_flows
from thawline.recording.recording import Recording
from thawline.story import names
from thawline.story.gates import Gate
from thawline.story.scene import Scene
from thawline.story.tell import Acts, find_acts
from thawline.story.thresholds import threshold
from thawline.vehicle.vehicle import Vehicle
from thawline.warmup.edges import edges, step_of
from thawline.warmup.settings import setting as model_setting

Array = NDArray[np.float64]
#: A temperature range with fewer samples says nothing [1].
KNOT_SAMPLES = 5
COLD = (
    "Powertrain.TractionBattery.Temperature.Min",
    "Powertrain.TractionBattery.Temperature.Average",
)


@dataclass(frozen=True, slots=True)
class Shown:
    """What one morning showed of a limit.

    Parameters
    ----------
    from_degC : float
        Where it began [degC].
    sd_K : float
        How surely [K].
    above_K : ndarray of float64, shape (n,)
        Temperatures above that [K].
    kW : ndarray of float64, shape (n,)
        What was allowed there [kW].
    """

    from_degC: float
    sd_K: float
    above_K: Array
    kW: Array


def coldest_curve(recording: Recording, t: Array, *, between_edges: bool = False) -> Array | None:
    """Read the coldest cell at instants, between the edges of a coarse reading.

    Parameters
    ----------
    recording : Recording
        The recording.
    t : ndarray of float64, shape (n,)
        Instants [s].
    between_edges : bool
        Whether a coarse reading tells nothing before its first edge and after its last.

    Returns
    -------
    ndarray of float64, shape (n,) or None
        Temperature, NaN where nothing tells it [degC]; None if no temperature of the pack is
        recorded.
    """
    for path in COLD:
        channel = recording.channels.get(path)
        if channel is None or len(channel.t) < 2:
            continue
        step = step_of(channel.values)
        read = np.interp(t, channel.t, channel.values)
        found = edges(channel.t, channel.values, step) if step > 0.0 else ()
        if len(found) < 2:
            return np.asarray(read)
        between = np.interp(t, [e.t_s for e in found], [e.degC for e in found])
        outside = (t < found[0].t_s) | (t > found[-1].t_s)
        near = np.clip(between, read - step, read + step)
        return np.asarray(np.where(outside, np.nan if between_edges else read, near))
    return None


def coldest_step(recording: Recording) -> float:
    """Give the step of the thermometer that stands for the coldest cell.

    Parameters
    ----------
    recording : Recording
        The recording.

    Returns
    -------
    float
        Its step; 0 for fine readings [K].
    """
    channel = next(recording.channels[path] for path in COLD if path in recording.channels)
    return step_of(channel.values)


def shown_by(scene: Scene, gate: Gate, usual: float) -> Shown | None:
    """Look at the first time that a limit leaves zero for the temperature.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    gate : Gate
        The limit.
    usual : float
        Where it is expected to leave zero [degC].

    Returns
    -------
    Shown or None
        What was seen; None if it never left zero anywhere near.
    """
    for stretch in gate.open or ():
        if stretch.begins is None or stretch.begins.silence_s:
            continue
        part = slice(stretch.first, stretch.last + 1)
        begins = coldest_curve(scene.recording, np.array([stretch.begins.t_s]))
        curve = coldest_curve(scene.recording, scene.t[part], between_edges=True)
        if begins is None or curve is None:
            continue
        begin, limit = float(begins[0]), scene.signals[gate.path][part]
        if abs(begin - usual) > threshold("learned_within_K") + 2.0:
            continue
        known = ~np.isnan(limit) & ~np.isnan(curve)
        top = float(np.nanmax(limit))
        rising = known & (limit < 0.95 * top) & (curve > begin)
        last = int(np.argmax(np.nan_to_num(limit) >= 0.95 * top)) or len(limit)
        rising[last:] = False
        return Shown(
            begin,
            setting("reading_share") * coldest_step(scene.recording),
            curve[rising] - begin,
            limit[rising],
        )
    return None


def knots_of(shown: Sequence[Shown]) -> tuple[tuple[float, ...], tuple[float, ...]] | None:
    """Find what is allowed by temperature: medians over narrow ranges, never falling.

    Parameters
    ----------
    shown : sequence of Shown
        What mornings showed.

    Returns
    -------
    tuple or None
        Temperatures above the beginning [K] and powers [kW]; None if too little was seen.
    """
    above = np.concatenate([s.above_K for s in shown]) if shown else np.zeros(0)
    kW = np.concatenate([s.kW for s in shown]) if shown else np.zeros(0)
    width = setting("knot_K")
    cell = np.floor(above / width).astype(int)
    found = [(0.0, 0.0)]
    for number in np.unique(cell):
        here = cell == number
        if here.sum() >= KNOT_SAMPLES:
            top = max(float(np.median(kW[here])), found[-1][1] + 1e-6)
            found.append((max(float(np.median(above[here])), found[-1][0] + 1e-3), top))
    if len(found) < 3 or found[-1][0] < 2.0 * width:
        return None
    knots, powers = zip(*found, strict=True)
    return tuple(knots), tuple(powers)


def _spread(values: Sequence[float], usual: float) -> float:
    """Give the standard deviation for a new morning, with some mornings' worth of prior."""
    n, weight = len(values), setting("learned_weight")
    squares = float(np.sum((np.asarray(values) - np.mean(values)) ** 2))
    variance = (squares + weight * usual**2) / (n - 1 + weight)
    return float(np.sqrt(variance * (1.0 + 1.0 / n)))


def _learn_limit(vehicle: Vehicle, what: str, shown: Sequence[Shown]) -> TemperatureLimit | None:
    if not shown:
        return None
    usual, knots = usual_limit(vehicle, what), knots_of(shown)
    beginnings = [s.from_degC for s in shown]
    spread = _spread(beginnings, setting("learned_K"))
    return TemperatureLimit(
        float(np.mean(beginnings)),
        float(np.hypot(spread, np.mean([s.sd_K for s in shown]))),
        *(knots or (usual.knots_K, usual.knots_kW)),
        setting("slope_learned_sigma") if knots else usual.sigma,
        "learned",
        len(shown),
    )


def _heat_ended(acts: Acts) -> float | None:
    """Find the coldest cell at which heating stopped though it was still wanted."""
    scene = acts.scene
    supply = [(s.first, s.last) for s in acts.supplied.present]
    for stretch in acts.heated.stretches:
        if stretch.ends is None or stretch.ends.silence_s:
            continue
        later = stretch.last + int(threshold("cause_before_s") / scene.step_s)
        still = not supply or any(a <= stretch.last and b >= later for a, b in supply)
        if still and later < len(scene.t) and not cabin_took_over(scene, stretch.ends.t_s):
            found = coldest_curve(scene.recording, np.array([stretch.ends.t_s]))
            if found is not None and found[0] > setting("regeneration_from_degC") - 2.0:
                return float(found[0])
    return None


def _middle(values: Array | None) -> list[float]:
    """Give the median of what is known and runs, or nothing."""
    if values is None:
        return []
    running = values[np.nan_to_num(values) > setting("on_kW")]
    return [float(np.median(running))] if len(running) else []


def learn(recordings: Sequence[Recording]) -> LearnedLimits | None:
    """Learn a vehicle's limits and habits from earlier recordings.

    Parameters
    ----------
    recordings : sequence of Recording
        Earlier mornings of one vehicle.

    Returns
    -------
    LearnedLimits or None
        What they taught; None if there are no recordings.
    """
    if not recordings:
        return None
    vehicle = recordings[-1].vehicle
    shown: dict[str, list[Shown]] = {"regeneration": [], "charging": []}
    ended: list[float] = []
    heats: list[float] = []
    flows: list[float] = []
    ways: list[bool] = []
    supplies: list[float] = []
    for recording in recordings:
        acts = find_acts(recording, make_flows(recording))
        gates = {"regeneration": acts.regeneration_gate, "charging": acts.charge_gate}
        for what, gate in gates.items():
            usual = usual_limit(vehicle, what).from_degC
            if (one := shown_by(acts.scene, gate, usual)) is not None:
                shown[what].append(one)
        if (end := _heat_ended(acts)) is not None:
            ended.append(end)
        if (first := charging_came_first(acts)) is not None:
            ways.append(first)
        if (level := steady_supply_kW(acts)) is not None:
            supplies.append(level)
        heat = acts.heated.kW
        if acts.heated.stretches:
            longest = max(acts.heated.stretches, key=lambda s: s.last - s.first)
            part = slice(longest.first, longest.last + 1)
            flow = acts.scene.signal(names.COOLANT_FLOW)
            heats += _middle(None if heat is None else heat[part])
            flows += _middle(None if flow is None else flow[part])
    return LearnedLimits(
        _learn_limit(vehicle, "regeneration", shown["regeneration"]),
        _learn_limit(vehicle, "charging", shown["charging"]),
        float(np.mean(ended)) if ended else None,
        _spread(ended, setting("heat_until_learned_K")) if ended else 0.0,
        float(np.median(heats)) if heats else None,
        float(np.median(flows)) / model_setting("flow_reference_l_per_min") if flows else None,
        len(recordings),
        float(np.mean(ways)) if ways else None,
        max(supplies, default=None),
    )
