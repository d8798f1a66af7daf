"""Bridging of times without data."""

from __future__ import annotations

import numpy as np
import pytest

from thawline.ledger.bridging import DOUBTED, STOOD_STILL, bridge, change_over, holes


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
    """A constant power bridges to itself; the longer the hole, the larger the doubt."""
    shares = []
    for width in (10, 100, 3000):
        values = np.full(5000, 3.0)
        values[100 : 100 + width] = np.nan
        filled, found = bridge(values)
        np.testing.assert_allclose(filled, 3.0)
        shares.append(found[0].sigma_kW / 3.0)
    assert 0.0 < shares[0] < 0.01
    assert 0.03 < shares[1] < 0.06
    assert 0.35 < shares[2] < 0.41


def test_what_is_known_of_a_hole_counts() -> None:
    """A doubted bridge is wide; where nothing went on there is no bridge at all."""
    values = np.full(500, 3.0)
    values[100:200] = np.nan
    known_of = np.zeros(500, dtype=np.int8)
    known_of[100:200] = DOUBTED
    filled, found = bridge(values, 1.0, known_of)
    assert filled[150] == 3.0
    assert found[0].sigma_kW == pytest.approx(1.8)
    known_of[100:200] = STOOD_STILL
    filled, found = bridge(values, 1.0, known_of)
    assert filled[150] == 0.0
    assert found[0].sigma_kW == pytest.approx(0.6)


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
