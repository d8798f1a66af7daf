"""Learned limits as other rooms read them."""

from __future__ import annotations

import numpy as np
import pytest

from tests.charge.proving import build, mornings
from thawline.charge.known import known_limits, limits_of
from thawline.charge.learn import learn_from, look_at
from thawline.story.known_limits import KnownLimits


@pytest.fixture(scope="module")
def known() -> KnownLimits:
    seen = look_at(recording for _, recording in mornings())
    return known_limits(learn_from(seen))


def test_a_curve_is_within_ten_per_cent_or_says_so(known):
    """Everywhere above 1 kW the truth is within 10 % or two standard uncertainties."""
    for limit, allowed in (
        (known.charging, build().limits.charging_kW),
        (known.regeneration, build().limits.regeneration_kW),
    ):
        degC = np.linspace(limit.degC[0], limit.degC[-1], 60)
        kW, sigma = limit.at(degC)
        truth = np.array([allowed(one, 0.5) for one in degC.tolist()])
        large = truth > 1.0
        off = np.abs(kW - truth)[large]
        assert np.count_nonzero(large) > 20
        assert np.all((off < 0.1 * truth[large]) | (off < 2.0 * sigma[large]))
        assert np.mean(off < 0.1 * truth[large]) > 0.95


def test_below_the_threshold_nothing_and_outside_unknown(known):
    """Below where it leaves zero it is zero; warmer than any recording it is not known."""
    limit = known.charging
    kW, sigma = limit.at(np.array([limit.from_degC - 5.0, limit.degC[-1] + 5.0]))
    assert kW[0] == 0.0 and sigma[0] == 0.0
    assert np.isnan(kW[1])


def test_limits_alone_are_the_same(known):
    """Learning the limits and nothing else gives the same curves."""
    alone = limits_of(look_at(recording for _, recording in mornings()).observed)
    assert alone.recordings == known.recordings
    assert np.array_equal(alone.charging.kW, known.charging.kW)
    assert alone.regeneration.from_degC == known.regeneration.from_degC
