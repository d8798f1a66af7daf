"""Look ahead from an instant, to when each turning point will come."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from thawline.errors import RequestError
from thawline.forecast.ahead import Car, run_ahead, target_weights
from thawline.forecast.allowed import LearnedLimits
from thawline.forecast.cabin_ahead import run_cabin_ahead
from thawline.forecast.collapse import find_collapse
from thawline.forecast.forecast import Fan, Forecast
from thawline.forecast.habits import draw_habits
from thawline.forecast.limits_today import with_today
from thawline.forecast.members import Members, draw_members
from thawline.forecast.points import Outlook, tell_points
from thawline.forecast.settings import setting
from thawline.forecast.situation import charge_limit_now, last_value, read_situation
from thawline.forecast.standing import habits_standing, said_of, with_standing
from thawline.recording.flows import Flows
from thawline.recording.recording import Recording
from thawline.story import names
from thawline.story.story import Story
from thawline.story.tell import Acts, find_acts
from thawline.warmup.cabin import cabin_case
from thawline.warmup.case import Case, make_case, run_case_on
from thawline.warmup.going_on import Kept
from thawline.warmup.grid import INPUTS
from thawline.warmup.heat_sources import expected_heat_kW
from thawline.warmup.kalman import Filtered
from thawline.warmup.prior import to_values
from thawline.warmup.structure import Structure
from thawline.warmup.warmup import WarmUp

Array = NDArray[np.float64]


def _check(recording: Recording, warmup: WarmUp, now_s: float) -> None:
    if not 0.0 <= now_s <= recording.duration_s + 1e-6:
        raise RequestError(
            f"the instant (={now_s:g} s) must be in [0, {recording.duration_s:g}] s",
            cure="give an instant within the recording",
        )
    if warmup.recording_id == recording.id and warmup.until_s > now_s + 1.0:
        raise RequestError(
            f"the warm-up model has seen readings until {warmup.until_s:g} s, after the instant "
            f"(={now_s:g} s)",
            cure=f"fit it with until_s={now_s:g}",
        )


def _seen_by_both(case: Case, warmup: WarmUp) -> tuple[Case, Structure]:
    """Keep the fit's lumps; thermometers are those that spoke in the fit and speak now."""
    now = tuple(s for s in case.seen if s.name in warmup.structure.seen)
    names = tuple(s.name for s in now)
    return replace(case, seen=now), replace(warmup.structure, seen=names)


def _cell_heat_per_kW2(flows: Flows, case: Case) -> float:
    pack = flows.flows.get("pack")
    if pack is None:
        return 0.0
    squares = float(np.nansum(pack.kW**2))
    heat = float(case.grid.inputs[:, INPUTS.index("cells")] @ case.grid.lengths)
    return heat / (squares * flows.step_s) if squares > 1.0 else 0.0


def _members(
    case: Case,
    structure: Structure,
    warmup: WarmUp,
    now_s: float,
    rng: np.random.Generator,
    kept: Kept | None,
) -> Members:
    def run(z: Array, noise_times: Array | None, then: Kept | None) -> tuple[Filtered, Kept]:
        return run_case_on(case, structure, z, noise_times, then)

    return draw_members(warmup.pack, run, case.grid.ends, now_s, rng, kept)


def look_ahead(
    recording: Recording,
    flows: Flows,
    story: Story,
    warmup: WarmUp,
    limits: LearnedLimits | None,
    now_s: float,
    levels_kW: Sequence[float] = (),
    acts: Acts | None = None,
    before: Forecast | None = None,
) -> Forecast:
    """Forecast the turning points that are still to come.

    Parameters
    ----------
    recording : Recording
        The recording, cut at the instant; see ``thawline.forecast.cut.cut_at``.
    flows : Flows
        Its powers, made from the cut recording.
    story : Story
        Its story, told from the cut recording.
    warmup : WarmUp
        The model, fitted to no reading after the instant.
    limits : LearnedLimits or None
        What earlier mornings of the vehicle taught.
    now_s : float
        The instant [s].
    levels_kW : sequence of float
        Regenerative powers whose return is asked for [kW].
    acts : Acts, optional
        What the story found on and off, where that is at hand already.
    before : Forecast, optional
        An earlier forecast for this recording, whose filters go on; it changes nothing but the
        time.

    Returns
    -------
    Forecast
        Quantiles and the chance of never for each turning point.

    Raises
    ------
    RequestError
        If the instant is outside the recording, or before what the model has seen.
    """
    _check(recording, warmup, now_s)
    rng = np.random.default_rng(int(setting("seed")))
    acts = acts or find_acts(recording, flows)
    limits = with_today(limits, acts, recording.vehicle)
    case = make_case(recording, flows, story, now_s, int(setting("most_steps")))
    case, structure = _seen_by_both(case, warmup)
    now = read_situation(recording, flows, acts, case, limits, now_s)
    stood = (None, None) if before is None else before.kept
    members = _members(case, structure, warmup, now_s, rng, stood[0])
    collapse = find_collapse(case, structure, members, warmup)
    other = np.random.default_rng([int(setting("seed")), 1])
    stands = np.zeros(len(members.z), dtype=np.bool_)
    if collapse is not None:
        members, stands = with_standing(members, collapse, structure, other)
    p = to_values(structure.parameters, members.z)
    coldest = target_weights(structure) @ members.states
    windings = None
    if "metal" in structure.seen and structure.hot:
        rise = p["winding.rise"][:, None] * now.heat.drive_kW * (now.heat.state == "on")
        windings = members.states[:, structure.states.index(structure.hot[0])] + rise
    open_now = {
        "regeneration": last_value(recording, names.REGENERATION_LIMIT, now_s),
        "charging": charge_limit_now(recording, now, now_s),
    }
    habits = draw_habits(now, recording.vehicle, limits, coldest, windings, open_now, rng)
    if stands.any():
        habits = habits_standing(habits, stands, now_s, other)
        now = replace(now, still_share=0.0)
    now = replace(now, assumes=(*now.assumes, *said_of(collapse)))
    outside = float(case.grid.inputs[-1, INPUTS.index("outside")])
    cabin = cabin_case(recording, flows, case.grid, case.sources.cabin_kW)
    shape = (coldest.shape[0], coldest.shape[1])
    cabins = run_cabin_ahead(warmup.cabin, cabin, now, outside, shape, rng, stood[1])
    usual = case.grid.usual_heat_kW or expected_heat_kW(recording.vehicle)
    car = Car(structure, usual, outside, _cell_heat_per_kW2(flows, case))
    paths = run_ahead(car, members, habits, now, cabins.kW, rng)
    outlook = Outlook(recording, acts, story, now, habits, paths, cabins.air, open_now, structure)
    points = tell_points(outlook, levels_kW, rng)
    keep = np.unique(
        np.linspace(0, len(paths.t) - 1, int(setting("fan_points"))).round().astype(int)
    )
    flat = paths.coldest[keep].reshape(len(keep), -1)
    low, middle, high = np.quantile(flat, (0.1, 0.5, 0.9), axis=1)
    return Forecast(
        recording.id,
        now_s,
        float(paths.t[-1]),
        _verdict(warmup, members, now.heat.state),
        points,
        Fan(paths.t[keep], low, middle, high),
        now.assumes,
        needs_fit=members.effective < setting("effective_sets"),
        keeps_fit=collapse is not None and collapse.chance > setting("collapse_doubted"),
        kept=(members.kept, cabins.kept),
    )


def _verdict(warmup: WarmUp, members: Members, heat: str) -> str:
    text = warmup.verdict.sentence
    if heat == "not-yet":
        text += " Heating has not begun: a first guess from priors."
    if members.shaken:
        text += " The latest readings surprise the model; it now counts on a change in the car."
    return text
