"""Guess units where none is stated, first alone and then in the light of one another."""

from __future__ import annotations

from thawline.suggest.anchors import SURE, find_anchors
from thawline.suggest.candidate import Scene
from thawline.suggest.guess import Guess, needs_unit, with_units
from thawline.suggest.kinds import all_readings
from thawline.suggest.surmise import surmise
from thawline.suggest.surmise_flows import surmise_rest
from thawline.suggest.surmise_pack import with_other_pack
from thawline.suggest.surmise_supply import surmise_supply

#: How much better a balance must be with the pack's power than with its current [1].
CLEARER = 0.02


def guess_units(scene: Scene) -> tuple[Scene, dict[str, Guess]]:
    """Guess units where none is stated, first alone and then in the light of one another.

    Parameters
    ----------
    scene : Scene
        The signals that may measure something.

    Returns
    -------
    scene : Scene
        The same with the units that were guessed.
    guesses : dict of str to Guess
        Guesses by key.
    """
    guesses = surmise(scene)
    if not any(needs_unit(one) for one in scene.candidates):
        return scene, {}
    guesses |= surmise_supply(with_units(scene, guesses))
    anchors = None
    for tried in with_other_pack(guesses):
        made = with_units(scene, tried)
        found = find_anchors(made, all_readings(made.candidates), {})
        if anchors is None or found.balance.explained > anchors.balance.explained + CLEARER:
            anchors, guesses = found, tried
        if anchors.balance.explained > SURE:
            break
    if anchors is None:
        return scene, {}
    scene = with_units(scene, guesses)
    for again in (True, False):
        rest = surmise_rest(scene, anchors)
        guesses |= rest
        scene = with_units(scene, rest)
        if again and rest:
            anchors = find_anchors(scene, all_readings(scene.candidates), {})
    return scene, guesses
