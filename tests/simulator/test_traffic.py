"""The whole bus, and what the logger does to it."""

import numpy as np
import pytest

from tests.simulator.made import short_morning
from thawline.simulator.demo import vehicle
from thawline.simulator.encode import Sent
from thawline.simulator.events import Logger
from thawline.simulator.traffic import logged, traffic


def sent(seconds: int = 100) -> Sent:
    """A frame a second, each with its own identifier."""
    t = np.arange(float(seconds))
    return Sent(
        t,
        np.arange(seconds, dtype=np.uint32),
        np.full(seconds, 8, dtype=np.uint8),
        np.zeros((seconds, 8), dtype=np.uint8),
    )


@pytest.mark.parametrize("rate", [120.0, 1000.0])
def test_the_bus_is_as_busy_as_asked(rate):
    """Messages of unknown meaning fill the bus up, all in order of time."""
    found = traffic(short_morning(), vehicle("gannet")[1], rate)
    assert len(found.t) / 900.0 == pytest.approx(rate, rel=0.01)
    assert np.all(np.diff(found.t) >= 0.0)


def test_known_identifiers_are_not_used_twice():
    """Unknown messages keep off the identifiers of known ones."""
    layout = vehicle("gannet")[1]
    bare = traffic(short_morning(), layout, 0.0)
    full = traffic(short_morning(), layout, 300.0)
    known = {message.identifier for message in layout.messages}
    assert set(bare.identifier.tolist()) == known
    assert np.isin(full.identifier, list(known)).sum() == len(bare.t)


def test_messages_keep_their_rate():
    """Each message comes as often as its period says, with a little scatter."""
    layout = vehicle("petrel")[1]
    found = traffic(short_morning(), layout, 0.0)
    number = layout.messages[0].identifier
    steps = np.diff(found.t[found.identifier == number])
    assert steps.mean() == pytest.approx(layout.messages[0].period_s, rel=0.01)
    assert steps.std() > 0.0


def test_a_gap_holds_nothing():
    """Frames within a gap are not in the log."""
    found = logged(sent(), Logger(gaps=((20.0, 30.0),)))
    assert len(found.t) == 90
    assert not np.any((found.t >= 20.0) & (found.t < 30.0))


def test_the_clock_jumps_back():
    """Times after a jump are shifted, the order of frames is not."""
    found = logged(sent(), Logger(steps=((50.0, -8.0),)))
    assert found.t[50] == 42.0
    assert found.identifier.tolist() == list(range(100))


def test_a_doubled_stretch_stands_twice():
    """The frames of the stretch come a second time behind it."""
    found = logged(sent(), Logger(doubled=((10.0, 13.0),)))
    assert found.identifier[10:16].tolist() == [10, 11, 12, 10, 11, 12]
    assert len(found.t) == 103
