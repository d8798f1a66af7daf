"""Cutting a recording down to what was known at a time."""

import numpy as np
import pytest

from tests.library.made import COLDEST, VOLTAGE, a_morning, differences
from thawline.library.cut import cut_at
from thawline.recording.recording import Channel, Recording
from thawline.recording.sensor import noise, period, resolution, stale_after
from thawline.vehicle.vehicle import Pack, Vehicle


def estimated(t, values):
    """A channel whose figures were estimated from all of its samples."""
    return Channel(
        VOLTAGE,
        "V",
        t,
        values,
        resolution=resolution(values),
        noise=noise(values),
        period_s=period(t),
        stale_after_s=stale_after(t, (), is_state=False),
    )


def recording_of(channel):
    return Recording("r", Vehicle("V", Pack(50.0)), 0.0, float(channel.t[-1]), {VOLTAGE: channel})


def test_a_cut_after_the_end_changes_nothing():
    """Asked at a later time, all is known."""
    morning = a_morning()
    assert differences(morning, cut_at(morning, 1e9)) == []


def test_estimates_are_made_anew_from_what_is_left():
    """Noise that begins later is not known yet; the estimate is that of the part alone."""
    t = np.arange(0.0, 400.0)
    values = np.where(t < 200.0, 350.0 + np.round(t / 10.0), 350.0)
    values = values + np.where(t < 200.0, 0.0, np.random.default_rng(1).normal(0.0, 2.0, len(t)))
    cut = cut_at(recording_of(estimated(t, values)), 199.0).channels[VOLTAGE]
    assert cut.noise == noise(values[:200])
    assert cut.noise < 0.5 * noise(values)
    assert cut.resolution == resolution(values[:200]) == pytest.approx(1.0)


def test_figures_that_no_sample_gave_are_kept():
    """A resolution known from the database stays."""
    morning = a_morning()
    stated = {COLDEST: 0.5}
    channel = morning.channels[COLDEST]
    known = Channel(COLDEST, "degC", channel.t, channel.values, resolution=0.125, noise=0.3)
    cut = cut_at(Recording("r", morning.vehicle, 0.0, 599.0, {COLDEST: known}), 100.0).channels[
        COLDEST
    ]
    assert (cut.resolution, cut.noise) == (0.125, 0.3)
    assert stated[COLDEST] != cut.resolution


def test_a_channel_that_has_not_spoken_yet_is_not_there():
    """A signal whose first sample comes later is unknown."""
    late = estimated(np.arange(300.0, 400.0), np.linspace(0.0, 1.0, 100))
    assert cut_at(recording_of(late), 299.0).channels == {}


def test_an_empty_channel_stays_as_it_is():
    """A channel without any sample is no news at any time."""
    empty = Channel(VOLTAGE, "V", np.empty(0), np.empty(0))
    whole = Recording("r", Vehicle("V", Pack(50.0)), 0.0, 10.0, {VOLTAGE: empty})
    assert list(cut_at(whole, 5.0).channels) == [VOLTAGE]
