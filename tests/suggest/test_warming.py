from dataclasses import replace

import numpy as np
import pytest

from tests.suggest import morning
from thawline.suggest.warming import CELLS, OUTLET, WINDING, find_warming, is_regulated

SEGMENT = np.zeros(morning.SECONDS, dtype=np.int64)
NAMES = ("winding", "inlet", "outlet", "warmest", "mean", "coldest", "cabin", "outside")


def temperatures(*names):
    return [morning.reading(name, "temperature", order=i) for i, name in enumerate(names)]


def test_inlet_outlet_winding_and_cells_are_told_apart():
    """Each plays its own part in the first minutes."""
    best = find_warming(temperatures(*NAMES), SEGMENT)[0]
    assert best.inlet.key == "inlet"
    assert [one.reading.key for one in best.of(WINDING)] == ["winding"]
    assert [one.reading.key for one in best.of(OUTLET)] == ["outlet"]
    assert {one.reading.key for one in best.of(CELLS)} == {"warmest", "mean", "coldest"}


def test_the_outlet_follows_as_far_as_heat_is_left_in_it():
    """420 W/K of cells on 550 W/K of coolant leave (1 - 420/550) of a step at the outlet."""
    best = find_warming(temperatures(*NAMES), SEGMENT)[0]
    (outlet,) = best.of(OUTLET)
    ends = 6 * 60.0
    assert outlet.at_once == pytest.approx(1.0 - ends / 550.0, abs=0.06)
    assert outlet.is_exact


def test_colder_cells_follow_more_slowly():
    """The time constants stand in the order of the temperatures."""
    best = find_warming(temperatures(*NAMES), SEGMENT)[0]
    tau = {one.reading.key: one.tau_s for one in best.of(CELLS)}
    assert tau["warmest"] < tau["mean"] < tau["coldest"]


def test_cells_are_never_taken_for_the_inlet():
    """Without coolant signals, nothing that takes minutes to come up to speed is the inlet."""
    found = find_warming(temperatures("warmest", "mean", "coldest"), SEGMENT)
    assert found == []


def test_a_cabin_that_is_held_is_regulated_and_a_winding_is_not():
    """Ten minutes at one comfortable temperature."""
    held = np.minimum(20.0, -9.0 + 0.05 * np.arange(morning.SECONDS))
    cabin = replace(morning.reading("cabin", "temperature"), values=held)
    assert is_regulated(cabin)
    assert not is_regulated(morning.reading("winding", "temperature"))


def test_a_gap_in_the_warm_up_does_not_disturb():
    """The window ends before a gap; what follows is told from what came before."""
    cut = np.r_[0:400, 900 : morning.SECONDS]
    segment = np.repeat([0, 1], [400, morning.SECONDS - 900])
    made = [replace(one, values=one.values[cut]) for one in temperatures(*NAMES)]
    assert find_warming(made, segment)[0].inlet.key == "inlet"


def test_no_warm_up_no_roles():
    """A car that rests at its temperature says nothing."""
    flat = [replace(one, values=np.full(morning.SECONDS, -9.0)) for one in temperatures(*NAMES)]
    assert find_warming(flat, SEGMENT) == []
