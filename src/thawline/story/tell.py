"""Tell the story of a recording."""

from __future__ import annotations

from dataclasses import dataclass

from thawline.recording.flows import Flows
from thawline.recording.recording import Recording
from thawline.story.cabin import tell_cabin
from thawline.story.charging import Charged, find_charging
from thawline.story.coolant import tell_coolant, tell_gaps
from thawline.story.driving import tell_driving
from thawline.story.full_power import tell_full_power
from thawline.story.gates import Gate, charge_gate, regeneration_gate
from thawline.story.heating import Heated, find_heating
from thawline.story.regeneration import tell_regeneration
from thawline.story.requests import Wishes, read_wishes
from thawline.story.scene import Scene, make_scene
from thawline.story.story import KINDS, LANES, Story
from thawline.story.supply import Supplied, tell_supply
from thawline.story.tell_charging import tell_charging
from thawline.story.tell_heating import tell_heating
from thawline.story.thaw import tell_thaw


@dataclass(frozen=True, slots=True)
class Acts:
    """What is found before reasons are sought.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    wishes : Wishes
        What was wanted.
    supplied : Supplied
        When a supply was there.
    charge_gate, regeneration_gate : Gate
        The pack's limits.
    heated : Heated
        When the pack was heated.
    charged : Charged
        When it was charged.
    """

    scene: Scene
    wishes: Wishes
    supplied: Supplied
    charge_gate: Gate
    regeneration_gate: Gate
    heated: Heated
    charged: Charged


def find_acts(recording: Recording, flows: Flows) -> Acts:
    """Find what was on and when.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers.

    Returns
    -------
    Acts
        What was found.
    """
    scene = make_scene(recording, flows)
    wishes = read_wishes(scene)
    supplied = tell_supply(scene)
    return Acts(
        scene,
        wishes,
        supplied,
        charge_gate(scene),
        regeneration_gate(scene),
        find_heating(scene, wishes),
        find_charging(scene, supplied),
    )


def tell(recording: Recording, flows: Flows, acts: Acts | None = None) -> Story:
    """Tell what the car did and why.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers, from ``thawline.recording.flows.make_flows``.
    acts : Acts, optional
        What was found on and off, where that is at hand already; it changes nothing but the time.

    Returns
    -------
    Story
        Lanes, turning points with their reasons, and what could not be told.
    """
    acts = acts or find_acts(recording, flows)
    scene, wishes, supplied = acts.scene, acts.wishes, acts.supplied
    gate, heated, charged = acts.charge_gate, acts.heated, acts.charged
    driving = tell_driving(scene)
    parts = (
        supplied.told,
        tell_heating(scene, heated, wishes, supplied, gate),
        tell_coolant(scene),
        tell_charging(scene, charged, heated, wishes, supplied, gate),
        tell_full_power(scene, supplied.offer),
        tell_thaw(scene, heated.stretches, heated.kW),
        tell_cabin(scene, wishes),
        tell_regeneration(scene, acts.regeneration_gate),
        driving,
        tell_gaps(scene),
    )
    points = [point for part in parts for point in part.points]
    spans = [span for part in parts for span in part.spans]
    lost = [each for part in parts for each in part.lost]
    return Story(
        recording.id,
        tuple(sorted(points, key=lambda p: (p.t_s, KINDS.index(p.kind)))),
        tuple(sorted(spans, key=lambda s: (LANES.index(s.lane), s.from_s))),
        tuple(dict.fromkeys(lost)),
    )
