"""In and out of the pack, with noise."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thawline.ledger.signs import into_and_out, noise_at_rest

REST = np.zeros(3600, dtype=bool)


def sums(values: np.ndarray, restless: np.ndarray = REST) -> tuple[float, float]:
    into, out = into_and_out(values, restless)
    return float(values[into].sum()) / 3600.0, float(-values[out].sum()) / 3600.0


def test_noise_about_zero_makes_no_energy() -> None:
    """An idle pack with 0.2 kW of noise takes in and gives nearly nothing.

    Adding up max(P, 0) would give 0.08 kWh an hour on either side: sigma / sqrt(2 pi).
    """
    noise = np.random.default_rng(1).normal(0.0, 0.2, 3600)
    plain = float(np.maximum(noise, 0.0).sum()) / 3600.0
    assert plain == pytest.approx(0.2 / np.sqrt(2 * np.pi), rel=0.05)
    gained, given_out = sums(noise)
    assert abs(gained) < 0.1 * plain
    assert abs(given_out) < 0.1 * plain


def test_small_power_under_noise_keeps_its_side() -> None:
    """0.3 kW out under 0.2 kW of noise is counted as out, to within the noise's mean."""
    rng = np.random.default_rng(2)
    gained, given_out = sums(-0.3 + rng.normal(0.0, 0.2, 3600))
    assert given_out == pytest.approx(0.3, abs=0.015)
    assert gained == pytest.approx(0.0, abs=0.01)


def test_without_noise_the_sign_decides() -> None:
    """A clean power is sorted by its own sign."""
    values = np.where(np.arange(3600) < 1200, 3.0, -1.5)
    assert sums(values) == pytest.approx((1.0, 1.0))


def test_a_drive_keeps_its_own_signs() -> None:
    """Short strokes of regeneration are not drowned by the driving around them."""
    values = np.full(3600, -12.0)
    values[::20] = 8.0
    gained, _ = sums(values, np.ones(3600, dtype=bool))
    assert gained == pytest.approx(180 * 8.0 / 3600.0)


def test_noise_is_found_at_rest() -> None:
    """The noise of the standing half is found, though the driving half swings."""
    rng = np.random.default_rng(3)
    values = np.concatenate([rng.normal(0, 0.1, 1800), rng.normal(0, 20.0, 1800)])
    moves = np.arange(3600) >= 1800
    assert noise_at_rest(values, moves) == pytest.approx(0.1, rel=0.3)
    assert noise_at_rest(values[:2], moves[:2]) == 0.0


@settings(max_examples=30)
@given(st.integers(0, 10_000), st.floats(-1.0, 1.0), st.floats(0.0, 1.0))
def test_in_less_out_is_the_net_energy(seed: int, mean: float, sigma: float) -> None:
    """Whatever the noise, the two sides differ by exactly the net energy."""
    values = np.random.default_rng(seed).normal(mean, sigma, 400)
    into, out = into_and_out(values, np.zeros(400, dtype=bool))
    assert np.all(into ^ out)
    assert values[into].sum() + values[out].sum() == pytest.approx(values.sum())
