"""Why heating of the pack began, and why it ended."""

from __future__ import annotations

from thawline.story import names
from thawline.story.figures import capital, degrees
from thawline.story.gates import Gate, cell_name, coldest, coldest_path
from thawline.story.requests import Wishes, fell_near
from thawline.story.scene import Scene
from thawline.story.story import Evidence
from thawline.story.stretch import holding, reach
from thawline.story.supply import Supplied
from thawline.story.supply_causes import came_back, unplugged_near, volts_after
from thawline.story.thresholds import threshold
from thawline.story.told import Cause, charge_reached, seen


def _cold(scene: Scene, gate: Gate, t_s: float) -> tuple[str, tuple[Evidence, ...]] | None:
    """Say how cold the coldest cell is against the charging threshold, if it is below."""
    path, cell = coldest_path(scene), coldest(scene, t_s)
    if path is None or cell is None or cell >= gate.from_degC:
        return None
    text = f"{cell_name(scene)} at {degrees(cell)}, below {gate.wording('it')}"
    return text, seen(scene, path, t_s, gate.from_degC)


def _by_charging(
    scene: Scene, wishes: Wishes, supplied: Supplied, gate: Gate, t_s: float, slack_s: float
) -> list[Cause]:
    cold = _cold(scene, gate, t_s)
    if cold is None:
        return []
    text, evidence = cold
    there = holding(supplied.cable or supplied.present, scene.t, t_s, slack_s)
    plugged = [] if there is None else [reach(there, scene.t)[0]]
    if wishes.charging is not None:
        began = wishes.charging.rise_before(t_s, slack_s)
        if began is None:
            return []
        wanted = Evidence(wishes.charging.path, 1.0, "", 0.5, t_s)
        because = f"Charging was requested with {text}: the pack is heated first."
        return [Cause(max([began, *plugged[-1:]]), because, (wanted, *evidence))]
    if not plugged:
        return []
    because = (
        f"The car was plugged in with {text}: the pack is heated first. No signal says that "
        "charging was requested (Charging.IsRequested would)."
    )
    return [Cause(plugged[-1], because, evidence)]


def _by_request(scene: Scene, wishes: Wishes, t_s: float, slack_s: float) -> list[Cause]:
    causes = []
    path = coldest_path(scene)
    if wishes.cabin is not None:
        began = wishes.cabin.rise_before(t_s, slack_s)
        if began is not None:
            cell = coldest(scene, t_s)
            at = "" if cell is None else f", with {cell_name(scene)} at {degrees(cell)}"
            because = f"The cabin was requested{at}; a cabin request alone also warms the pack."
            evidence = (Evidence(wishes.cabin.path, 1.0, "", 0.5, t_s),)
            more = seen(scene, path, t_s) if path else ()
            causes.append(Cause(began, because, (*evidence, *more)))
    if wishes.conditioning is not None:
        began = wishes.conditioning.rise_before(t_s, slack_s)
        if began is not None:
            target = scene.value(names.CONDITIONING_TARGET, t_s)
            cell = coldest(scene, t_s)
            because = "Conditioning of the pack was switched on"
            if target is not None and cell is not None:
                because += f" with {cell_name(scene)} at {degrees(cell)}, target {degrees(target)}"
            evidence = (Evidence(wishes.conditioning.path, 1.0, "", 0.5, t_s),)
            more = seen(scene, path, t_s, target) if path else ()
            # a switch follows the request that threw it, so it counts a little earlier
            causes.append(Cause(began - 3.0, because + ".", (*evidence, *more)))
    return causes


def why_heating_began(
    scene: Scene, wishes: Wishes, supplied: Supplied, gate: Gate, t_s: float, slack_s: float
) -> list[Cause]:
    """List what may have set the heating going.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    wishes : Wishes
        What was wanted.
    supplied : Supplied
        When a supply was there.
    gate : Gate
        The limit of charging power.
    t_s : float
        When heating began [s].
    slack_s : float
        How late a signal may come [s].

    Returns
    -------
    list of Cause
        Candidates.
    """
    return [
        *_by_charging(scene, wishes, supplied, gate, t_s, slack_s),
        *_by_request(scene, wishes, t_s, slack_s),
        *came_back(scene, supplied, t_s, slack_s),
    ]


def began_unknown(wishes: Wishes) -> str:
    """Say which signals would tell why heating began.

    Parameters
    ----------
    wishes : Wishes
        What was wanted.

    Returns
    -------
    str
        A sentence.
    """
    would = [
        name
        for wish, name in (
            (wishes.charging, "Charging.IsRequested"),
            (wishes.cabin, "Cabin.HVAC.IsConditioningRequested"),
            (wishes.conditioning, "BatteryConditioning.IsActive"),
        )
        if wish is None
    ]
    tail = f" ({' or '.join(would)} would)" if would else ""
    return f"No signal says why heating began{tail}."


def _windings(scene: Scene, t_s: float) -> list[Cause]:
    hottest: Evidence | None = None
    for path in [*scene.like(names.WINDING), names.MOTOR + "Temperature"]:
        value = scene.value(path, t_s) if path in scene.signals else None
        if value is not None and (hottest is None or value > hottest.value):
            hottest = Evidence(path, value, "degC", threshold("windings_hot_degC"), t_s)
    if hottest is None or hottest.value < threshold("windings_hot_degC"):
        return []
    text = f"The windings had reached {degrees(hottest.value)} and were spared."
    return [Cause(t_s - 1.0, text, (hottest,))]


def _target(scene: Scene, t_s: float) -> list[Cause]:
    causes: list[Cause] = []
    path, cell = coldest_path(scene), coldest(scene, t_s)
    target = scene.value(names.CONDITIONING_TARGET, t_s)
    if path is not None and cell is not None and target is not None:
        step = scene.channel(path).resolution
        if cell >= target - max(threshold("target_margin_K"), step):
            who = capital(cell_name(scene))
            text = f"{who} reached {degrees(cell)}, the target of {degrees(target)}."
            causes.append(Cause(t_s, text, seen(scene, path, t_s, target)))
    return causes + charge_reached(scene, t_s)


def why_heating_ended(
    scene: Scene, wishes: Wishes, supplied: Supplied, t_s: float, slack_s: float
) -> list[Cause]:
    """List what may have stopped the heating.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    wishes : Wishes
        What was wanted.
    supplied : Supplied
        When a supply was there.
    t_s : float
        When heating ended [s].
    slack_s : float
        How late a signal may come [s].

    Returns
    -------
    list of Cause
        Candidates.
    """
    causes = _target(scene, t_s)
    causes += unplugged_near(scene, supplied, t_s, slack_s)
    what = {
        names.CHARGE_WANTED: "Charging was no longer requested",
        names.CABIN_WANTED: "The cabin was no longer requested",
    }
    for wish, fall in fell_near([wishes.charging, wishes.cabin], t_s, slack_s):
        evidence = Evidence(wish.path, 0.0, "", 0.5, fall)
        causes.append(Cause(fall, f"{what[wish.path]}.", (evidence,)))
    ends = [s.ends.t_s for s in supplied.present if s.ends is not None]
    near = [at for at in ends if -threshold("cause_before_s") < at - t_s <= slack_s]
    causes += [Cause(at, "The supply ended.", volts_after(scene, supplied, at)) for at in near]
    causes += _windings(scene, t_s)
    speed = scene.value(names.SPEED, t_s + 5.0, 10.0)
    if speed is not None and speed > threshold("drive_on_km_per_h"):
        causes.append(Cause(t_s - 2.0, "The car drove off.", seen(scene, names.SPEED, t_s + 5.0)))
    for wish, fall in fell_near([wishes.conditioning], t_s, slack_s):
        evidence = Evidence(wish.path, 0.0, "", 0.5, fall)
        text = "Conditioning of the pack was switched off."
        causes.append(Cause(fall - 3.0, text, (evidence,)))
    return causes


def ended_unknown(scene: Scene, gate: Gate, t_s: float) -> str:
    """Say what is known where no signal tells why heating ended.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    gate : Gate
        The limit of charging power.
    t_s : float
        When [s].

    Returns
    -------
    str
        A sentence.
    """
    cell = coldest(scene, t_s)
    at = "" if cell is None else f"; {cell_name(scene)} had reached {degrees(cell)}"
    would = "BatteryConditioning.TargetTemperature"
    tail = "" if names.CONDITIONING_TARGET in scene.signals else f" ({would} would)"
    if cell is not None and cell > gate.from_degC:
        at += f", above {gate.wording('charging')}"
    return f"No signal says why heating ended{tail}{at}."
