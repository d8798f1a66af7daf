"""Groups of cells out of balance, and groups that hold less charge."""

import numpy as np
import pytest

from tests.findings.made import CURRENT, current, kinds_of, looked, noisy
from thawline.findings.imbalance import HIGH, LOW

#: Charge moves a cell by a millivolt for each ampere-second over this [A*s/mV].
SLOPE = 60.0


def cells(rest_V: float, moves: float):
    """Lowest and highest cell: apart at rest, and further apart as charge goes in."""

    def went(t: np.ndarray) -> np.ndarray:
        return np.cumsum(draws(t)) * (t[1] - t[0] if len(t) > 1 else 1.0)

    def mean(t: np.ndarray) -> np.ndarray:
        return 3.7 + went(t) / SLOPE / 1e3

    def parts(t: np.ndarray) -> np.ndarray:
        return 0.004 + 0.5 * rest_V + 0.5 * moves * np.abs(went(t)) / SLOPE / 1e3

    return {
        CURRENT: noisy(draws, 0.05, 0.1, 9),
        LOW: noisy(lambda t: mean(t) - parts(t), 5e-4, 1e-3, 21),
        HIGH: noisy(lambda t: mean(t) + parts(t), 5e-4, 1e-3, 22),
    }


def draws(t: np.ndarray) -> np.ndarray:
    """What the balance of powers leaves to the pack [A]."""
    return current(t)


@pytest.mark.parametrize(("rest_V", "moves"), [(0.08, 0.0), (0.0, 0.25)])
def test_a_group_that_is_apart_or_moves_further_is_told(rest_V, moves):
    """80 mV at rest, or a quarter further for the same charge."""
    found = looked(cells(rest_V, moves))
    assert "lagging-cell-group" in kinds_of(found)
    one = next(f for f in found.found if f.kind == "lagging-cell-group")
    assert ("Without current" in one.because) == (rest_V > 0.0)


@pytest.mark.parametrize(("rest_V", "moves"), [(0.0, 0.0), (0.02, 0.0), (0.0, 0.04)])
def test_twenty_millivolts_or_a_few_per_cent_are_nothing(rest_V, moves):
    """Cells of a sound pack differ by some millivolts and some per cent."""
    assert "lagging-cell-group" not in kinds_of(looked(cells(rest_V, moves)))


def test_a_spread_that_grew_since_earlier_mornings_is_told_sooner():
    """From 8 to 45 mV: the past is a sharper standard than what is usual."""
    before = [looked(cells(0.0, 0.0)).figures] * 2
    assert "lagging-cell-group" in kinds_of(looked(cells(0.04, 0.0), before))
