"""Thinning keeps peaks and gaps."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from thawline.recording.recording import Channel, Gap
from thawline.report.thinning import POINTS, calmed, flickers, mean_by_bins, thin, with_breaks


def channel(t, values, stale_after_s=10.0):
    return Channel("Speed", "km/h", np.asarray(t, float), np.asarray(values, float),
                   stale_after_s=stale_after_s)  # fmt: skip


def test_a_silence_becomes_one_break():
    """Longer than stale, or a gap of the log: one NaN between the samples."""
    t, values = with_breaks(channel([0, 1, 30, 31, 32], [1, 2, 3, 4, 5]), (Gap(31, 32),))
    assert np.array_equal(np.isnan(values), [False, False, True, False, False, True, False])
    assert np.array_equal(np.sort(t), t)


def test_thinning_keeps_extremes_and_breaks():
    """A one-sample peak in a million is still there, and so is a gap."""
    t = np.arange(1_000_000.0)
    values = np.sin(t / 1e5)
    values[333_333], values[700_000] = 9.0, np.nan
    _, kept = thin(t, values)
    assert len(kept) <= POINTS + 1
    assert np.nanmax(kept) == 9.0
    assert np.isnan(kept).sum() == 1


@settings(max_examples=30, deadline=None)
@given(
    st.integers(0, 8000),
    st.lists(st.integers(0, 7999), max_size=20, unique=True),
    st.integers(0, 2**32 - 1),
)
def test_thinning_chooses_from_what_is_there(n, breaks, seed):
    """What is kept are samples, in order, with the extremes; gaps do not close."""
    rng = np.random.default_rng(seed)
    t, values = np.cumsum(rng.uniform(0.1, 2.0, n)), rng.normal(size=n)
    values[[b for b in breaks if b < n]] = np.nan
    kept_t, kept = thin(t, values, 500)
    where = np.searchsorted(t, kept_t)
    assert np.array_equal(values[where], kept, equal_nan=True)
    assert np.all(np.diff(where) > 0)
    assert len(kept) <= 500 + len(breaks)
    for at in np.flatnonzero(np.isnan(values)):
        after = np.searchsorted(kept_t, t[at])
        assert after == len(kept_t) or np.isnan(kept[after]) or t[where[after]] >= t[at]
    if n and not np.isnan(values).all():
        assert np.nanmax(kept) <= np.nanmax(values)


def test_a_flickering_thermometer_is_calmed_but_keeps_its_breaks():
    """Half-degree steps to and fro become a line near the truth; a break stays a break."""
    rng = np.random.default_rng(3)
    t = np.arange(0.0, 3600.0, 0.5)
    truth = -10.0 + t / 400.0
    values = np.round((truth + rng.normal(0, 0.2, len(t))) * 2.0) / 2.0
    values[5000:5003] = np.nan
    assert flickers(values)
    calm_t, calm = calmed(t, values, 12.0)
    assert np.all(np.diff(calm_t) > 0)
    assert np.isnan(calm).sum() == 3
    known = ~np.isnan(calm)
    assert np.abs(calm - np.interp(calm_t, t, truth))[known].mean() < 0.08
    assert calm_t[np.isnan(calm)][0] == t[5000]


def test_a_staircase_does_not_flicker():
    """Steps that are not undone are left alone, and so is a channel with few samples."""
    assert not flickers(np.round(np.linspace(-10.0, 10.0, 5000) * 2.0) / 2.0)
    assert not flickers(np.array([1.0, 2.0, 1.0]))


def test_means_of_bins_keep_areas_and_gaps():
    """Neighbours are averaged; a bin without any value stays unknown."""
    means = mean_by_bins(np.array([1.0, 3.0, np.nan, 5.0, np.nan, np.nan, 7.0]), 2)
    assert np.array_equal(means, [2.0, 5.0, np.nan, 7.0], equal_nan=True)
