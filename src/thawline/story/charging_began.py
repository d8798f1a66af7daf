"""Why charging began."""

from __future__ import annotations

from collections.abc import Sequence

from thawline.story import names
from thawline.story.crossing import upward_crossings
from thawline.story.figures import capital, degrees, kilowatt
from thawline.story.gates import Gate, cell_name, coldest, coldest_path
from thawline.story.heating import Heated
from thawline.story.loads import loads_let_go
from thawline.story.requests import Wishes
from thawline.story.scene import Scene
from thawline.story.story import Evidence
from thawline.story.stretch import Stretch, holding, reach
from thawline.story.supply import Supplied
from thawline.story.thresholds import threshold
from thawline.story.told import Cause, flowing, seen

#: The limit is quoted as it stood this long after it left zero [s].
LATER_S = 30.0


def _begun(scene: Scene, stretches: Sequence[Stretch], t_s: float, slack_s: float) -> float | None:
    """Find when the stretch began that holds an instant."""
    found = holding(stretches, scene.t, t_s, slack_s)
    return None if found is None else reach(found, scene.t)[0]


def _offered(scene: Scene, supplied: Supplied, t_s: float) -> tuple[str, tuple[Evidence, ...]]:
    i = scene.tick(t_s + LATER_S)
    ceiling = supplied.offer.ceiling_kW(i)
    drawn = scene.power("supply", t_s + LATER_S)
    against = None if ceiling is None else ceiling[0]
    evidence = flowing(scene, "supply", t_s + LATER_S, against)
    if ceiling is not None and ceiling[1] == "charger-rating":
        return f" The charger is rated for {kilowatt(ceiling[0])}.", evidence
    if ceiling is not None:
        return f" The supply had {kilowatt(ceiling[0])} to give.", evidence
    if drawn is not None:
        return f" The supply gave {kilowatt(drawn)}.", evidence
    return "", evidence


def _by_cell(
    scene: Scene, supplied: Supplied, gate: Gate, t_s: float, slack_s: float
) -> list[Cause]:
    path = coldest_path(scene)
    offered, supply = _offered(scene, supplied, t_s)
    if gate.open is not None:
        # a slow signal tells an opening late, by its samples' distance and its own edge's
        opened = _begun(scene, gate.open, t_s, slack_s + 2.0 * scene.period_s((gate.path,)))
        if opened is None:
            return []
        cell = None if path is None else scene.value(path, opened if opened > 0 else t_s)
        limit = seen(scene, gate.path, t_s + LATER_S, 0.0)
        to = f" to {kilowatt(limit[0].value)} within {LATER_S:.0f} s" if limit else ""
        if opened < t_s - threshold("cause_before_s"):
            stood = f", at {kilowatt(limit[0].value)}," if limit else ""
            text = f"The pack's limit{stood} allows charging.{offered}"
            return [Cause(opened, text, (*limit, *supply))]
        if cell is None or path is None:
            text = (
                f"The charging limit left zero{to}; no temperature of the pack is recorded."
                f"{offered}"
            )
            return [Cause(opened, text, (*limit, *supply))]
        evidence = (*seen(scene, path, opened, gate.from_degC), *limit, *supply)
        if abs(cell - gate.from_degC) <= threshold("learned_within_K"):
            learned = (
                ""
                if gate.origin == "seen"
                else f"; expected from {degrees(gate.from_degC)}, {gate.source}"
            )
            text = (
                f"{capital(cell_name(scene))} reached {degrees(cell)} and the charging limit left "
                f"zero{to}{learned}.{offered}"
            )
        else:
            text = (
                f"The charging limit left zero{to} with {cell_name(scene)} at {degrees(cell)}; "
                f"no signal says what had held it.{offered}"
            )
        return [Cause(opened, text, evidence)]
    if path is None:
        return []
    passed = [
        edge.t_s
        for edge in upward_crossings(scene.channel(path), gate.from_degC, scene.recording.gaps)
        if edge.t_s <= t_s + slack_s + threshold("cause_after_s")
    ]
    cell = coldest(scene, t_s)
    if not passed or cell is None:
        return []
    text = (
        f"{capital(cell_name(scene))} stood at {degrees(cell)}, past {gate.wording('charging')}; "
        f"the limit itself is not recorded (Limits.ChargePower would tell).{offered}"
    )
    return [Cause(passed[-1], text, (*seen(scene, path, t_s, gate.from_degC), *supply))]


def why_charging_began(
    scene: Scene,
    wishes: Wishes,
    supplied: Supplied,
    heated: Heated,
    gate: Gate,
    t_s: float,
    slack_s: float,
) -> list[Cause]:
    """List what may have let charging begin.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    wishes : Wishes
        What was wanted.
    supplied : Supplied
        When a supply was there.
    heated : Heated
        When the pack was heated.
    gate : Gate
        The limit of charging power.
    t_s : float
        When charging began [s].
    slack_s : float
        How late a signal may come [s].

    Returns
    -------
    list of Cause
        Candidates.
    """
    causes = _by_cell(scene, supplied, gate, t_s, slack_s)
    cell = coldest(scene, t_s)
    warm = "" if cell is None else f" with {cell_name(scene)} at {degrees(cell)}"
    path = coldest_path(scene)
    cell_seen = seen(scene, path, t_s, gate.from_degC) if path else ()
    if wishes.charging is not None:
        wanted = wishes.charging.rise_before(t_s, slack_s)
        if wanted is not None and wanted > t_s - threshold("cause_before_s"):
            one = Evidence(wishes.charging.path, 1.0, "", 0.5, t_s)
            causes.append(Cause(wanted, f"Charging was requested{warm}.", (one, *cell_seen)))
    came = _begun(scene, supplied.present, t_s, slack_s)
    if came is not None and came > t_s - threshold("cause_before_s"):
        offered = supplied.offer.wording(scene.tick(came + 10.0))
        what = f" ({offered})" if offered else ""
        evidence = (*flowing(scene, "supply", t_s + LATER_S), *cell_seen)
        first = supplied.present[0]
        again = " back" if came > reach(first, scene.t)[1] else ""
        causes.append(Cause(came, f"The supply came{again}{what}{warm}.", evidence))
    ends = [s.ends.t_s for s in heated.stretches if s.ends is not None]
    let_go = [at for at in ends if abs(at - t_s) <= threshold("cause_after_s") + slack_s]
    if let_go:
        offered, evidence = _offered(scene, supplied, t_s)
        text = f"Heating of the pack ended and left the supply's power to the pack{warm}.{offered}"
        causes.append(Cause(let_go[-1], text, (*evidence, *cell_seen)))
    causes += loads_let_go(scene, supplied, t_s)
    return causes


def began_unknown(scene: Scene, wishes: Wishes) -> str:
    """Say which signals would tell why charging began.

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
            ("Limits.ChargePower", names.CHARGE_LIMIT not in scene.signals),
            ("TractionBattery.Temperature.Min", coldest_path(scene) is None),
            ("Charging.IsRequested", wishes.charging is None),
        )
        if missing
    ]
    tail = f" ({' or '.join(would)} might)" if would else ""
    return f"No signal says why charging began{tail}."
