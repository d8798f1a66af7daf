"""Bridging of times without data."""

from __future__ import annotations

import numpy as np
import pytest

from thawline.ledger.bridging import bridge, change_over, holes


def test_holes_are_runs() -> None:
    """Runs of unknown ticks are found with both ends."""
    known = np.array([0, 1, 1, 0, 0, 1, 0], dtype=bool)
    assert holes(known) == [(0, 1), (3, 5), (6, 7)]
    assert holes(np.ones(4, dtype=bool)) == []


def test_straight_line_between_sides() -> None:
    """A hole between 2 and 4 kW is crossed by a straight line: its mean is 3 kW."""
    values = np.concatenate([np.full(50, 2.0), np.full(100, np.nan), np.full(50, 4.0)])
    filled, found = bridge(values)
    assert filled[50:150].mean() == pytest.approx(3.0)
    assert np.all(np.diff(filled[49:151]) >= 0.0)
    assert [(hole.first, hole.last) for hole in found] == [(50, 150)]
    assert found[0].sigma_kW >= 0.999 * 2.0 / np.sqrt(12.0)


def test_one_side_is_held() -> None:
    """A hole at an end takes its one side, and is less certain than one between two."""
    rng = np.random.default_rng(0)
    walk = np.cumsum(rng.normal(0, 0.05, 1000)) + 5.0
    ended, middle = walk.copy(), walk.copy()
    ended[900:] = np.nan
    middle[400:500] = np.nan
    filled, found = bridge(ended)
    assert filled[950] == pytest.approx(walk[895:900].mean())
    assert found[0].sigma_kW > bridge(middle)[1][0].sigma_kW


def test_a_power_that_never_moved_stays_a_little_uncertain() -> None:
    """A constant power bridges to itself, with a few per cent of doubt."""
    values = np.full(500, 3.0)
    values[100:200] = np.nan
    filled, found = bridge(values)
    np.testing.assert_allclose(filled, 3.0)
    assert 0.0 < found[0].sigma_kW < 0.2


def test_the_stated_width_is_right_for_a_random_walk() -> None:
    """For random walks, the bridge's error has the spread that is stated: two in three."""
    rng = np.random.default_rng(5)
    hits = []
    for _ in range(200):
        walk = np.cumsum(rng.normal(0, 0.1, 2000))
        torn = walk.copy()
        torn[800:900] = np.nan
        filled, found = bridge(torn)
        error = filled[800:900].mean() - walk[800:900].mean()
        hits.append(abs(error) < found[0].sigma_kW)
    assert 0.62 < np.mean(hits) < 0.97


def test_change_over_a_lag() -> None:
    """A ramp of 0.01 per tick changes by 1 over 100 ticks."""
    assert change_over(np.arange(1000) * 0.01, 100) == pytest.approx(1.0)
