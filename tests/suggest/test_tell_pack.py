from dataclasses import replace

import numpy as np

from tests.suggest import morning
from tests.suggest.looked import anchors, named, readings
from thawline.suggest.kinds import Reading
from thawline.suggest.places import (
    CELL_HIGH,
    CELL_LOW,
    CURRENT,
    DISPLAYED,
    PHYSICAL,
    POWER,
    VOLTAGE,
)
from thawline.suggest.tell_pack import cell_voltages, tell_pack

SEGMENT = np.zeros(morning.SECONDS, dtype=np.int64)


def test_voltage_current_and_both_charges_are_told():
    """Each path's best vote is for the right signal, and the current's sign with it."""
    votes = list(tell_pack(anchors(), readings(), SEGMENT))
    best = {path: max(by, key=by.get) for path, by in named(votes).items()}
    assert best[VOLTAGE] == "voltage"
    assert best[CURRENT] == "current"
    assert best[PHYSICAL] == "physical"
    assert best.get(DISPLAYED, "displayed") == "displayed"
    assert {vote.sign for vote in votes if vote.path == CURRENT and vote.weight > 3.0} == {-1}


def test_a_power_that_is_voltage_times_current_is_the_packs():
    """With the sign turned, too."""
    product = anchors().pair.power_kW
    power = Reading("P", "power", "kW", -product, 0.01, True, 90)
    votes = tell_pack(anchors(), {**readings(), "power": [power]}, SEGMENT)
    (vote,) = [vote for vote in votes if vote.path == POWER]
    assert (vote.key, vote.sign) == ("P", -1)


def test_cell_voltages_give_the_cells_in_series():
    """96 cells: the lowest cell a little below, the highest a little above the mean."""
    volts = anchors().pair.voltage
    cells = [
        replace(volts, key=key, values=np.round(volts.values / morning.CELLS + off, 3), step=0.001)
        for key, off in (("low", -0.01), ("high", 0.01))
    ]
    found = cell_voltages(anchors().pair, cells)
    assert [one.key for one, _ in found] == ["low", "high"]
    assert round(float(np.mean([times for _, times in found]))) == morning.CELLS
    votes = list(tell_pack(anchors(), {**readings(), "voltage": cells}, SEGMENT))
    told = {vote.path: vote.key for vote in votes if vote.path in (CELL_LOW, CELL_HIGH)}
    assert told == {CELL_LOW: "low", CELL_HIGH: "high"}


def test_without_a_pair_nothing_is_told():
    """No pack, no votes."""
    assert list(tell_pack(anchors("current"), readings("current"), SEGMENT)) == []
