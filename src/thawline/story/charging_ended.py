"""Why charging ended."""

from __future__ import annotations

from thawline.story import names
from thawline.story.figures import kilowatt
from thawline.story.full_power import takers
from thawline.story.gates import Gate
from thawline.story.loads import ceiling_kW
from thawline.story.requests import Wishes, fell_near
from thawline.story.scene import Scene
from thawline.story.story import Evidence
from thawline.story.supply import Supplied
from thawline.story.supply_causes import unplugged_near
from thawline.story.thresholds import threshold
from thawline.story.told import Cause, charge_reached, flowing, seen


def why_charging_ended(
    scene: Scene, wishes: Wishes, supplied: Supplied, gate: Gate, t_s: float, slack_s: float
) -> list[Cause]:
    """List what may have ended charging.

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
        When charging ended [s].
    slack_s : float
        How late a signal may come [s].

    Returns
    -------
    list of Cause
        Candidates.
    """
    causes = charge_reached(scene, t_s)
    causes += unplugged_near(scene, supplied, t_s, slack_s + 2.0)
    for wish, fall in fell_near([wishes.charging], t_s, slack_s + 2.0):
        none = Evidence(wish.path, 0.0, "", 0.5, fall)
        causes.append(Cause(fall, "Charging was no longer requested.", (none,)))
    for stretches, text, flow in (
        (supplied.present, "The supply ended.", "supply"),
        (gate.open or (), "The charging limit fell to zero.", ""),
    ):
        for stretch in stretches:
            if stretch.ends is None:
                continue
            at = stretch.ends.t_s
            if -threshold("cause_before_s") < at - t_s <= slack_s + 2.0:
                evidence = flowing(scene, flow, t_s + 3.0, 0.0) if flow else ()
                more = () if flow else seen(scene, gate.path, t_s + 3.0, 0.0)
                causes.append(Cause(at, text, (*evidence, *more)))
    loads = _loads_took_it(scene, supplied, t_s)
    return causes + loads


def _loads_took_it(scene: Scene, supplied: Supplied, t_s: float) -> list[Cause]:
    """Tell whether heaters took all that the supply could give."""
    after = t_s + 20.0
    ceiling = ceiling_kW(scene, supplied, scene.tick(after))
    drawn = scene.power("supply", after, 5.0)
    if ceiling is None or drawn is None or drawn < threshold("full_power_share") * ceiling:
        return []
    who = takers(scene, scene.tick(after), int(threshold("look_around_s") / scene.step_s))
    text = (
        f"Other loads took all that the supply gives, {kilowatt(drawn)} of {kilowatt(ceiling)}"
        f"{': ' + who if who else ''}."
    )
    return [Cause(t_s - 5.0, text, flowing(scene, "supply", after, ceiling))]


def ended_unknown(scene: Scene, wishes: Wishes) -> str:
    """Say which signals would tell why charging ended.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    wishes : Wishes
        What was wanted.

    Returns
    -------
    str
        A sentence.
    """
    would = [
        name
        for name, missing in (
            ("Charging.ChargeVoltage.Phase1", not scene.like(names.PHASE_VOLTAGE)),
            ("Charging.IsRequested", wishes.charging is None),
            ("Charging.ChargeLimit", names.CHARGE_TARGET not in scene.signals),
            ("Limits.ChargePower", names.CHARGE_LIMIT not in scene.signals),
        )
        if missing
    ]
    tail = f" ({' or '.join(would)} might)" if would else ""
    return f"No signal says why charging ended{tail}."
