"""Steps and swings of a current."""

from __future__ import annotations

import numpy as np
import pytest

from thawline.ledger.steps import current_steps, current_swings, slope_of


def test_a_ramp_is_no_step() -> None:
    """A current that drifts slowly has no steps, one that jumps has one per jump."""
    ramp = np.linspace(0.0, 100.0, 2000)
    assert len(current_steps(ramp, ramp, 5.0).at) == 0
    jump = np.where(np.arange(500) < 250, 0.0, 50.0)
    found = current_steps(jump, 0.1 * jump, 5.0)
    assert len(found.at) == 1
    assert abs(found.at[0] - 250) < 5
    assert (found.by_A[0], found.by_V[0]) == (pytest.approx(50.0), pytest.approx(5.0))


def test_a_hole_is_no_step() -> None:
    """Nothing is read across a time without data."""
    jump = np.where(np.arange(500) < 250, 0.0, 50.0)
    jump[245:255] = np.nan
    assert len(current_steps(jump, 0.1 * jump, 5.0).at) == 0
    short = current_steps(jump[:5], jump[:5], 5.0)
    assert len(short.at) == 0


def test_swings_leave_out_what_is_slow() -> None:
    """A drift of the open-circuit voltage does not move the slope."""
    t = np.arange(3000.0)
    amps = 20.0 * np.sin(t / 5.0)
    found = current_swings(amps, 350.0 + t / 100.0 + 0.08 * amps)
    ohm, sigma = slope_of(found.by_A, found.by_V, 0.0, found.ticks_alike)
    assert ohm == pytest.approx(0.08, rel=1e-3)
    assert sigma < 1e-3


def test_the_slopes_sigma_is_the_scatter_of_slopes() -> None:
    """Over many draws the slope errs as its standard uncertainty says: about two in three."""
    rng = np.random.default_rng(0)
    hits = []
    for _ in range(300):
        amps = rng.normal(0.0, 20.0, 40)
        ohm, sigma = slope_of(amps, 0.1 * amps + rng.normal(0.0, 0.5, 40), 0.0)
        hits.append(abs(ohm - 0.1) < sigma)
    assert 0.60 < np.mean(hits) < 0.76


def test_nothing_moved() -> None:
    """Without any movement nothing is known."""
    assert slope_of(np.zeros(10), np.zeros(10), 0.1) == (0.0, float("inf"))
