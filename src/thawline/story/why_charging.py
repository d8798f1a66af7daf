"""What keeps charging from being more at an instant."""

from __future__ import annotations

from thawline.story import names
from thawline.story.bounds import Bound, answer, around, near, power_around, tightest
from thawline.story.figures import degrees, joined, kilowatt, percent, voltage
from thawline.story.full_power import takers
from thawline.story.gates import cell_name, coldest, coldest_path
from thawline.story.known_limits import KnownLimit
from thawline.story.loads import ceiling_of
from thawline.story.offers import offer_unknown
from thawline.story.story import Evidence, WhyNot
from thawline.story.tell import Acts
from thawline.story.thresholds import threshold
from thawline.story.told import flowing, seen
from thawline.story.why_known import allowed_here, learned_bound

LOADS = ("drive-unit-heating", "pack-heater", "cabin-heating", "low-voltage")
HEATERS = LOADS[:3]
BY_SUPPLY = ("supply", "charger-rating", "loads-first")


def _supply_state(acts: Acts, t_s: float, i: int) -> Bound | None:
    """Say so if no supply is there."""
    scene, supplied = acts.scene, acts.supplied
    for path in scene.like(names.CABLE):
        connected = scene.value(path, t_s)
        if connected is not None and connected > 0.5:
            break
    else:
        if scene.like(names.CABLE) and scene.value(scene.like(names.CABLE)[0], t_s) is not None:
            path = scene.like(names.CABLE)[0]
            evidence = (Evidence(path, 0.0, "", 0.5, t_s),)
            return Bound("supply", 0.0, "no cable is connected", evidence)
    volts = supplied.offer.volts
    here = None if volts is None else around(scene, volts, i)
    if here is not None and here < threshold("supply_gone_V"):
        path = next(iter(scene.like(names.PHASE_VOLTAGE)), names.DIRECT_VOLTAGE)
        evidence = (Evidence(path, here, "V", threshold("supply_gone_V"), t_s),)
        return Bound("supply", 0.0, f"no supply is there, {voltage(here)}", evidence)
    return None


def _target(acts: Acts, t_s: float) -> Bound | None:
    scene = acts.scene
    shown = names.CHARGE_SHOWN if names.CHARGE_SHOWN in scene.signals else names.CHARGE_PHYSICAL
    charge, limit = scene.value(shown, t_s), scene.value(names.CHARGE_TARGET, t_s)
    if charge is None or limit is None or charge < limit - threshold("target_margin_percent"):
        return None
    text = f"the charge is at {percent(charge)}, its target {percent(limit)}"
    return Bound("target-reached", 0.0, text, seen(scene, shown, t_s, limit))


def _not_wanted(acts: Acts, t_s: float) -> Bound | None:
    wanted = acts.scene.value(names.CHARGE_WANTED, t_s)
    if wanted is None or wanted > 0.5:
        return None
    evidence = (Evidence(names.CHARGE_WANTED, 0.0, "", 0.5, t_s),)
    return Bound("not-requested", 0.0, "charging is not requested", evidence)


def _cell(acts: Acts, t_s: float, i: int, known: KnownLimit | None) -> Bound | None:
    """Give the pack's own limit."""
    scene, gate = acts.scene, acts.charge_gate
    path, cell = coldest_path(scene), coldest(scene, t_s)
    limit = around(scene, scene.signal(gate.path), i)
    cell_seen = seen(scene, path, t_s, gate.from_degC) if path else ()
    if limit is None:
        if cell is None or cell >= gate.from_degC:
            return learned_bound(acts, known, t_s)
        text = f"{cell_name(scene)} is at {degrees(cell)}, below {gate.wording('charging')}"
        return Bound("coldest-cell", 0.0, text, cell_seen)
    allowed = max(limit, 0.0)
    evidence = (*cell_seen, Evidence(gate.path, limit, "kW", None, t_s))
    if cell is None:
        text = (
            f"the pack's limit is {kilowatt(allowed)}; no temperature of the pack is known "
            "(TractionBattery.Temperature.Min would tell why)"
        )
        return Bound("nothing-known", allowed, text, evidence)
    shut = allowed <= threshold("limit_on_kW")
    reach = threshold("learned_within_K") if shut else threshold("warm_above_K")
    if cell > gate.from_degC + reach:
        text = (
            f"the pack's limit is {kilowatt(allowed)} although {cell_name(scene)} is at "
            f"{degrees(cell)}; no signal says why"
        )
        return Bound("nothing-known", allowed, text, evidence)
    if cell < gate.from_degC and shut:
        text = f"{cell_name(scene)} is at {degrees(cell)}, below {gate.wording('charging')}"
    else:
        text = (
            f"{cell_name(scene)} is at {degrees(cell)} and the pack's limit allows "
            f"{kilowatt(allowed)}"
        )
    # a limit that is shut allows nothing, whatever its reading dithers to
    return Bound("coldest-cell", 0.0 if shut else allowed, text, evidence)


def _efficiency(acts: Acts, i: int) -> float:
    scene = acts.scene
    drawn, given = power_around(scene, "supply", i), power_around(scene, "charger-output", i)
    if drawn is not None and given is not None and drawn > threshold("power_on_kW"):
        return min(max(given / drawn, 0.5), 1.0)
    stated = scene.recording.vehicle.charger.efficiency
    return threshold("efficiency") if stated is None else stated


def _supply(acts: Acts, t_s: float, i: int) -> Bound | None:
    """Give what the supply leaves for the pack."""
    scene = acts.scene
    ceiling = ceiling_of(scene, acts.supplied, i)
    if ceiling is None:
        return None
    most, who = ceiling
    powers = {name: power_around(scene, name, i) for name in LOADS}
    loads = sum(power for power in powers.values() if power is not None)
    heaters = sum(power for name in HEATERS if (power := powers[name]) is not None)
    left = max(_efficiency(acts, i) * most - loads, 0.0)
    drawn = power_around(scene, "supply", i)
    of_which = _feeding(acts, i)
    evidence = flowing(scene, "supply", t_s, most)
    text = _has(ceiling, drawn)
    into = power_around(scene, "pack", i)
    full = drawn is not None and drawn >= threshold("full_power_share") * most
    lacks = full and into is not None and into < left / 2.0 and not near(left, into)
    if full and into is not None:  # all is drawn: what the pack gets is all that is left
        left = min(left, max(into, 0.0))
    if heaters > max(threshold("power_on_kW"), threshold("heaters_share") * most):
        return Bound("loads-first", left, f"{text}, and loads come first: {of_which}", evidence)
    if lacks and into is not None:
        rest = f"loads that are not recorded take most of it, the pack {kilowatt(into)}"
        if into <= 0.0:
            rest = f"loads that are not recorded take it, and the pack gives {kilowatt(-into)}"
        return Bound("loads-first", left, f"{text}: {rest}", evidence)
    return Bound("supply" if who in ("plateau", "here") else who, left, text, evidence)


def _has(ceiling: tuple[float, str] | None, drawn_kW: float | None) -> str:
    """Say what the supply has, and how much of it is drawn."""
    if ceiling is None:
        return f"the supply gives {kilowatt(drawn_kW or 0.0)}"
    most, who = ceiling
    if who == "plateau":
        level = kilowatt(most if drawn_kW is None else drawn_kW)
        return f"the supply gives {level}, the highest level that the recording shows and keeps"
    if who == "here":
        return f"the supply gives {kilowatt(most)} and no more, though the pack has to help"
    offered = "the charger is rated for" if who == "charger-rating" else "the supply has"
    text = f"{offered} {kilowatt(most)}"
    return text if drawn_kW is None else f"{text}, of which {kilowatt(drawn_kW)} are drawn"


def _feeding(acts: Acts, i: int) -> str:
    few = int(threshold("look_around_s") / acts.scene.step_s)
    return takers(acts.scene, max(0, i - few), 2 * few)


def _supply_remark(acts: Acts, i: int) -> list[str]:
    """Say what the supply has and who takes it, beside another limit."""
    ceiling = ceiling_of(acts.scene, acts.supplied, i)
    drawn = power_around(acts.scene, "supply", i)
    if ceiling is None and drawn is None:
        return []
    has, who = _has(ceiling, drawn), _feeding(acts, i)
    return [f"{has}: {who}" if who else has]


def _nothing(acts: Acts) -> Bound:
    scene = acts.scene
    would = [
        name
        for name, missing in (
            ("Limits.ChargePower", names.CHARGE_LIMIT not in scene.signals),
            ("TractionBattery.Temperature.Min", coldest_path(scene) is None),
            ("Charging.IsRequested", names.CHARGE_WANTED not in scene.signals),
            ("Charging.ChargeLimit", names.CHARGE_TARGET not in scene.signals),
            (offer_unknown(acts.supplied.offer), acts.supplied.offer.supply_kW is None),
        )
        if missing and name
    ]
    tail = f" ({joined(would)} would tell more)" if would else ""
    return Bound("nothing-known", float("inf"), f"no signal says what holds it{tail}")


def why_not_charging(acts: Acts, t_s: float, known: KnownLimit | None = None) -> WhyNot:
    """Say what keeps charging from being more at an instant.

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
    scene, charged = acts.scene, acts.charged
    i = scene.tick(t_s)
    flowing_now = around(scene, charged.kW, i)
    held = any(s.first <= i <= s.last for s in charged.stretches)
    now = None if flowing_now is None else max(flowing_now, 0.0) if held else 0.0
    absent = _supply_state(acts, t_s, i)
    found = [absent, _target(acts, t_s), _not_wanted(acts, t_s), _cell(acts, t_s, i, known)]
    if absent is None:
        found.append(_supply(acts, t_s, i))
    bounds = [bound for bound in found if bound is not None]
    best = tightest(bounds)
    told = allowed_here(acts, known, t_s)
    taught = [] if told is None or any(told[1] in b.because for b in bounds) else [told[1]]
    if best is None or (now is not None and not near(best.allowed_kW, now)):
        remarks = [b.because for b in bounds if b.limit not in BY_SUPPLY]
        return answer(
            "charging", t_s, now, _nothing(acts), remarks + taught + _supply_remark(acts, i)
        )
    if best.limit not in BY_SUPPLY:
        remarks = taught if best.limit == "coldest-cell" else []
        remarks = remarks + (_supply_remark(acts, i) if absent is None else [absent.because])
    else:
        others = [b for b in bounds if b is not best and b.limit != "supply"]
        remarks = [b.because for b in others if b.limit in ("coldest-cell", "not-requested")]
    return answer("charging", t_s, now, best, remarks)
