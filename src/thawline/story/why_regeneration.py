"""What keeps regeneration from being more at an instant."""

from __future__ import annotations

from thawline.story import names
from thawline.story.bounds import Bound, answer, around, near
from thawline.story.figures import degrees, kilowatt, percent, plain
from thawline.story.gates import cell_name, coldest, coldest_path
from thawline.story.known_limits import KnownLimit
from thawline.story.regeneration import regenerated
from thawline.story.story import Evidence, WhyNot
from thawline.story.tell import Acts
from thawline.story.thresholds import threshold
from thawline.story.told import seen
from thawline.story.why_known import allowed_here, learned_bound


def _held_by(acts: Acts, t_s: float, limit: float | None, known: KnownLimit | None) -> Bound:
    """Say what sets the limit."""
    scene, gate = acts.scene, acts.regeneration_gate
    path, cell = coldest_path(scene), coldest(scene, t_s)
    evidence = seen(scene, path, t_s, gate.from_degC) if path else ()
    if limit is None:
        if cell is not None and cell < gate.from_degC:
            text = f"{cell_name(scene)} is at {degrees(cell)}, below {gate.wording('it')}"
            return Bound("coldest-cell", 0.0, text, evidence)
        bound = learned_bound(acts, known, t_s)
        if bound is not None:
            return bound
        text = "no limit is recorded (Limits.RegenerationPower would tell)"
        return Bound("nothing-known", float("inf"), text, evidence)
    allowed = max(limit, 0.0)
    evidence = (*evidence, Evidence(gate.path, limit, "kW", None, t_s))
    charge = scene.value(names.CHARGE_PHYSICAL, t_s)
    full = charge is not None and charge >= threshold("nearly_full_percent")
    if cell is None:
        text = (
            f"the limit is {kilowatt(allowed)}; no temperature of the pack is known "
            "(TractionBattery.Temperature.Min would tell why)"
        )
        return Bound("nothing-known", allowed, text, evidence)
    shut = allowed <= threshold("limit_on_kW")
    if cell < gate.from_degC and shut:
        text = f"{cell_name(scene)} is at {degrees(cell)}, below {gate.wording('it')}"
        return Bound("coldest-cell", allowed, text, evidence)
    if full and charge is not None and cell > gate.from_degC:
        text = f"the pack is at {percent(charge)} and its limit allows {kilowatt(allowed)}"
        more = seen(scene, names.CHARGE_PHYSICAL, t_s, threshold("nearly_full_percent"))
        return Bound("target-reached", allowed, text, (*evidence, *more))
    if cell > gate.from_degC + threshold("learned_within_K" if shut else "warm_above_K"):
        text = (
            f"the limit is {kilowatt(allowed)} with {cell_name(scene)} at {degrees(cell)}; "
            "no signal says why"
        )
        return Bound("nothing-known", allowed, text, evidence)
    text = f"{cell_name(scene)} is at {degrees(cell)} and the limit allows {kilowatt(allowed)}"
    return Bound("coldest-cell", allowed, text, evidence)


def why_not_regeneration(acts: Acts, t_s: float, known: KnownLimit | None = None) -> WhyNot:
    """Say what keeps regeneration from being more at an instant.

    Parameters
    ----------
    acts : Acts
        What was found in the recording.
    t_s : float
        The instant [s].
    known : KnownLimit, optional
        What other recordings of the vehicle taught of this limit.

    Returns
    -------
    WhyNot
        The answer.
    """
    scene = acts.scene
    i = scene.tick(t_s)
    found = regenerated(scene)
    now = None if found is None else around(scene, found[0], i)
    if now is not None and now < threshold("power_on_kW"):
        now = 0.0
    limit = around(scene, scene.signal(acts.regeneration_gate.path), i)
    held = _held_by(acts, t_s, limit, known)
    told = allowed_here(acts, known, t_s)
    taught = [] if told is None or told[1] in held.because else [told[1]]
    speed = scene.value(names.SPEED, t_s)
    if now is not None and near(held.allowed_kW, now):
        return answer("regeneration", t_s, now, held, taught)
    if speed is None or held.allowed_kW <= threshold("limit_on_kW"):
        return answer("regeneration", t_s, now, held, taught)
    stands = abs(speed) <= threshold("drive_on_km_per_h")
    moving = f"the car drives at {plain(round(speed, 0), 'km/h')} and does not brake harder"
    text = "the car stands" if stands else moving
    evidence = (*seen(scene, names.SPEED, t_s), *held.evidence)
    bound = Bound("not-requested", now or 0.0, text, evidence)
    return answer("regeneration", t_s, now, bound, [held.because, *taught])
