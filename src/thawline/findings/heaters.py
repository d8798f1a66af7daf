"""A heater or drive unit that gives less than the others beside it, or than it used to."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from thawline.findings.case import Array, Case, blocks
from thawline.findings.finding import Checked, Figure, Finding, Unchecked
from thawline.findings.settings import setting
from thawline.findings.weigh import finding, step_at, usual
from thawline.quantities import converter
from thawline.recording.powers import CABIN, MOTOR, paths_like
from thawline.story.story import Evidence

KIND = "heater-dead"
EARLIER = "earlier that morning"
#: The cheapest check of a drive unit that heats.
UNITS_CHECK = (
    "Compare the temperatures of the drive units while the pack heats; read stored faults."
)


def check_heaters(case: Case) -> Checked:
    """Check the cabin's heaters and the drive units against one another and their past.

    Parameters
    ----------
    case : Case
        The recording.

    Returns
    -------
    Checked
        Findings, if any; figures ``share.<path>`` and ``most.<path>``.
    """
    cabin = paths_like(case.recording, CABIN + "Heater.", ".Power")
    units = paths_like(case.recording, MOTOR, ".StandstillHeat")
    if not cabin and not units and not case.has(MOTOR + "StandstillHeat"):
        return Checked(unchecked=(Unchecked(KIND, "no power of a heater or drive unit"),))
    found, figures = [], dict[str, Figure]()
    for paths in (cabin, units):
        width = int(setting("block_s"))
        powers = {
            p: blocks(case.lay(p) * converter(case.recording.channels[p].unit, "kW")[0], width)
            for p in paths
        }
        own = None
        if len(paths) > 1:
            coarse_kW = max(_step_kW(case, p) for p in paths)
            own = _among(case, powers, figures, coarse_kW, is_units=paths is units)
        elif len(paths) == 1 and paths is cabin:
            own = _alone(case, paths[0], powers[paths[0]], figures)
        if own is not None:
            found.append(own)
    return Checked(tuple(found), _alone_unchecked(case, cabin, units), figures)


def _alone_unchecked(case: Case, cabin: list[str], units: list[str]) -> tuple[Unchecked, ...]:
    """Say which heater has nothing beside it to be held against."""
    told = []
    if not units and case.has(MOTOR + "StandstillHeat"):
        told.append("the drive units' heat is known only as a sum")
    asked = [CABIN + "AmbientAirTemperature", CABIN + "IsConditioningRequested"]
    if len(cabin) == 1 and not all(case.has(p) for p in asked):
        told.append("one heater alone, without the cabin's air and wish")
    return tuple(Unchecked(KIND, why) for why in told)


def _step_kW(case: Case, path: str) -> float:
    """Give the smallest difference between two readings: what is less cannot be seen."""
    channel = case.recording.channels[path]
    levels = np.unique(channel.values[~np.isnan(channel.values)])
    if len(levels) < 2:
        return 0.0
    return float(np.diff(levels).min()) * converter(channel.unit, "kW")[0]


def _among(
    case: Case, powers: Mapping[str, Array], figures: dict[str, Figure], coarse_kW: float,
    *, is_units: bool,
) -> Finding | None:  # fmt: skip
    best: tuple[float, Finding] | None = None
    total = np.sum(list(powers.values()), axis=0)
    sigma = setting("unit_sigma" if is_units else "heater_sigma")
    for path, power in powers.items():
        others = total - power
        count = len(powers)
        busy = (others > setting("heater_least_kW")) & _settled(others)
        ratio = np.where(busy, power * (count - 1) / np.where(busy, others, 1.0), np.nan)
        known = ratio[~np.isnan(ratio)]
        if len(known) < 2:
            continue
        # of the cabin's heaters one may be spared once it is warmer: what it can give counts
        value = float(np.quantile(known, 0.5 if is_units else setting("heater_can")))
        figures[f"share.{path}"] = Figure(value, 0.01, "1")
        level = float(np.median(others[~np.isnan(ratio)])) / (count - 1)
        unseen = coarse_kW / level
        one = _judged(case, path, ratio, others, value, (sigma, unseen), 1.0 if is_units else None)
        if one is not None and (best is None or one[0] > best[0]):
            best = one
    return None if best is None else best[1]


def _settled(power: Array) -> np.ndarray:
    """Leave out ramps: blocks at the beginning and end of heat."""
    on = np.nan_to_num(power) > 0.6 * setting("heater_least_kW")
    inner = on.copy()
    inner[1:] &= on[:-1]
    inner[:-1] &= on[1:]
    return np.asarray(inner)


def _judged(
    case: Case, path: str, ratio: Array, others: Array, value: float,
    errors: tuple[float, float], alike: float | None,
) -> tuple[float, Finding] | None:  # fmt: skip
    """Hold a heater's power over the mean of the others against what it was, and should be.

    ``errors`` are the standard deviation of a share, and a difference that coarse readings hide.
    """
    gone, (sigma, unseen) = setting("heater_gone"), errors
    candidates: list[tuple[float, float, float, float, str]] = []
    past = usual(case.before(f"share.{path}", (KIND,)), sigma * 0.5)
    late = ratio[~np.isnan(ratio)][-max(3, len(ratio) // 20) :]
    now = value if alike is None else min(value, float(np.median(late)))
    begins = float(np.flatnonzero(~np.isnan(ratio))[0] * setting("block_s"))
    if past is not None and past.value > setting("heater_none"):
        z = (1.0 - now / past.value) / (past.sigma / past.value + sigma)
        candidates.append((z, now, past.value, begins, f"on {past.mornings} earlier mornings"))
    step = step_at(ratio, 2)
    if step is not None and step[1] > setting("heater_none") and (
        alike is not None or _breaks(ratio, others, *step[:3])
    ):  # fmt: skip
        at, before, after, spread = step
        z = (1.0 - after / before) / np.hypot(sigma, spread / before)
        when = float(at * setting("block_s"))
        candidates.append((z, after, before, when, EARLIER))
    if alike is not None:
        z = (alike - now) / (2.0 * sigma)
        candidates.append((z, now, alike, begins, "for drive units alike"))
    elif now < setting("heater_none") and _is_wanted(case, ratio, others):
        candidates.append((2.0 * setting("z"), now, 1.0, begins, "as the others give"))
    counted = [
        c
        for c in candidates
        if c[0] > setting("z") and 1.0 - c[1] / c[2] > gone and c[2] - c[1] > unseen
    ]
    if not counted:
        return None
    # what changed within the morning tells since when
    best = [c for c in counted if c[4] == EARLIER] or counted
    z, seen, expected, when_s, source = max(best, key=lambda c: (c[2] - c[1], c[0]))
    name = path.removeprefix(CABIN).removeprefix(MOTOR).rsplit(".", 1)[0]
    because = (
        f"{name} gives {seen:.0%} of what the others beside it give on average; it was, or should "
        f"be, {expected:.0%} {source}."
    )
    evidence = Evidence(path, seen, "1", expected, when_s)
    one = finding(KIND, when_s, z, because, [evidence])
    if alike is not None:
        one = one._replace(next_check=UNITS_CHECK)
    return 1.0 - seen / expected, one


def _breaks(ratio: Array, others: Array, at: int, before: float, after: float) -> bool:
    """Tell a heater that breaks from one that is spared: at once, and the others go on."""
    known = np.flatnonzero(~np.isnan(ratio))
    place = int(np.searchsorted(known, at))
    near = known[max(0, place - 3) : place], known[place : place + 3]
    if not len(near[0]) or not len(near[1]):
        return False
    was, now = (float(np.median(ratio[part])) for part in near)
    at_once = was - now > setting("heater_at_once") * (before - after)
    goes_on = np.median(others[near[1]]) > setting("heater_goes_on") * np.median(others[near[0]])
    return bool(at_once and goes_on)


def _is_wanted(case: Case, ratio: Array, others: Array) -> bool:
    """Tell whether all heaters were wanted for minutes: it was cold, or the others gave all."""
    known = ~np.isnan(ratio)
    air = blocks(case.lay(CABIN + "AmbientAirTemperature"), int(setting("block_s")))
    if np.any(~np.isnan(air)):
        return bool(np.count_nonzero((air < setting("cabin_cold_degC")) & known) >= 4)
    most = setting("heater_all") * float(others[known].max())
    return bool(np.count_nonzero(known & (others > most)) >= 6)


def _alone(case: Case, path: str, power: Array, figures: dict[str, Figure]) -> Finding | None:
    """Judge a single heater by the most that it gives while the cabin is far too cold."""
    air = blocks(case.lay(CABIN + "AmbientAirTemperature"), int(setting("block_s")))
    wanted = blocks(case.lay(CABIN + "IsConditioningRequested"), int(setting("block_s")))
    hard = (
        (wanted > 0.9)
        & (air < setting("cabin_cold_degC"))
        & _settled(np.where(wanted > 0.9, 1.0, 0.0))
    )
    hard &= ~np.isnan(power)
    if np.count_nonzero(hard) < 3:
        return None
    most = float(np.median(power[hard]))
    late = float(np.median(power[hard][-3:]))
    name = f"most.{path}"
    figures[name] = Figure(most, 0.02 * most + 0.01, "kW")
    past = usual(case.before(name, (KIND,)), 0.05 * most + 0.02)
    before = past.value if past is not None else float(np.nanmax(power[hard]))
    sigma = setting("heater_sigma") * before + (past.sigma if past is not None else 0.0)
    if before < setting("heater_least_kW"):
        return None
    z = (before - late) / sigma
    if z < setting("z") or 1.0 - late / before < setting("heater_gone"):
        return None
    low = np.flatnonzero(hard & (power < (1.0 - 0.5 * setting("heater_gone")) * before))
    when = float(low[0] * setting("block_s"))
    because = (
        f"The heater gives {late:.1f} kW although the cabin is cold and warmth is asked for; "
        f"{before:.1f} kW is what it gave before."
    )
    return finding(KIND, when, z, because, [Evidence(path, late, "kW", before, when)])
