"""What the data alone show of the plain morning, and votes by path."""

from __future__ import annotations

from functools import cache

from tests.suggest import morning
from thawline.suggest.anchors import Anchors, find_anchors
from thawline.suggest.kinds import all_readings


@cache
def anchors(*without: str) -> Anchors:
    """Pack, balance, supply and warm-up of the morning, some signals left out."""
    scene, _ = morning.scene(without=without)
    return find_anchors(scene, all_readings(scene.candidates), {})


def readings(*without: str, blank: bool = False):
    """All readings by kind."""
    scene, _ = morning.scene(blank=blank, without=without)
    return all_readings(scene.candidates)


def named(votes, *without: str) -> dict[str, dict[str, float]]:
    """Weights by path and by the name that the morning has for a signal."""
    _, keys = morning.scene(without=without)
    names = {path: name for name, path in morning.PATHS.items()}
    found: dict[str, dict[str, float]] = {}
    for vote in votes:
        name = names[keys[vote.key]]
        by_name = found.setdefault(vote.path, {})
        by_name[name] = by_name.get(name, 0.0) + vote.weight
    return found
