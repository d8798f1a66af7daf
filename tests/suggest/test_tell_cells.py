from dataclasses import replace

import numpy as np

from tests.suggest import morning
from tests.suggest.looked import anchors, named
from thawline.suggest.places import COLDEST, MEAN, WARMEST
from thawline.suggest.tell_cells import find_summaries, tell_cells
from thawline.suggest.warming import find_warming

SEGMENT = np.zeros(morning.SECONDS, dtype=np.int64)


def test_the_order_tells_lowest_mean_and_highest():
    """Lowest <= mean <= highest at nearly all times."""
    scene, _ = morning.scene()
    votes = tell_cells(find_summaries(anchors().warming, scene), anchors().warming)
    best = {path: max(by, key=by.get) for path, by in named(votes).items()}
    assert best == {COLDEST: "coldest", MEAN: "mean", WARMEST: "warmest"}


def test_single_cells_sent_by_turns_are_passed_over():
    """Six more cells in the same range do not take the summaries' places."""
    scene, _ = morning.scene()
    low, high = morning.rounded("coldest"), morning.rounded("warmest")
    more = tuple(
        replace(
            morning.candidate("mean", 40 + i),
            key=f"Turns.C{i}",
            values=low + (high - low) * i / 5.0,
            is_by_turns=True,
        )
        for i in range(6)
    )
    crowded = replace(scene, candidates=(*scene.candidates, *more))
    from thawline.suggest.kinds import all_readings

    warming = find_warming(all_readings(crowded.candidates)["temperature"], SEGMENT)[0]
    found = [one.key for one in find_summaries(warming, crowded)]
    assert len(found) == 3
    assert not any(key.startswith("Turns") for key in found)


def test_of_two_the_higher_may_be_the_mean():
    """So it is proposed with less weight than of three."""
    scene, _ = morning.scene(without=("mean",))
    warming = anchors("mean").warming
    votes = named(tell_cells(find_summaries(warming, scene), warming), "mean")
    assert 2.0 < votes[WARMEST]["warmest"] < 4.5


def test_without_a_warm_up_nothing_is_told():
    """No heat, no order."""
    scene, _ = morning.scene()
    assert find_summaries(None, scene) == []
