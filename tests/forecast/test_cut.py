"""A cut recording knows nothing of what came after."""

from dataclasses import replace

import numpy as np

from tests.warmup.proving_car import Build, Morning, record
from thawline.forecast.cut import cut_at


def test_a_cut_ends_where_it_is_told():
    """No channel has a later sample; a channel that had none yet is gone."""
    recording, _ = record(Build(), Morning(duration_s=900.0, gap_s=(300.0, 400.0)))
    part = cut_at(recording, 350.0)
    assert part.duration_s == 350.0
    assert all(channel.t[-1] <= 350.0 for channel in part.channels.values())
    assert part.gaps == ()
    assert cut_at(recording, 900.0).gaps == recording.gaps


def test_sensors_are_judged_by_what_came_until_then():
    """Madness that comes later changes neither step nor noise of what is kept."""
    recording, _ = record(Build(), Morning(duration_s=900.0))
    mad = {
        path: replace(c, values=np.where(c.t > 500.0, 3.14 * c.values + 0.7, c.values))
        for path, c in recording.channels.items()
    }
    one, other = cut_at(recording, 500.0), cut_at(replace(recording, channels=mad), 500.0)
    for path, channel in one.channels.items():
        twin = other.channels[path]
        assert np.array_equal(channel.values, twin.values)
        assert (channel.resolution, channel.noise) == (twin.resolution, twin.noise)
