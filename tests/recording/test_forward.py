"""A clock that was set forward, and a logger that slept."""

import numpy as np
import pytest

from thawline.recording.forward import set_forward

RANDOM = np.random.default_rng(5)


def bus(seconds=120.0, jitter=0.0002, messages=12):
    """A bus of periodic messages with their own phases, and a little jitter."""
    t, identifier = [], []
    for one in range(messages):
        period = float(RANDOM.choice([0.02, 0.05, 0.1, 0.2, 0.5, 1.0]))
        times = RANDOM.uniform(0, period) + np.arange(0, seconds, period)
        t.append(times + RANDOM.normal(0, jitter, len(times)))
        identifier.append(np.full(len(times), 0x100 + one, np.uint32))
    order = np.argsort(np.concatenate(t), kind="stable")
    return np.concatenate(t)[order], np.concatenate(identifier)[order]


@pytest.mark.parametrize("by", [7.0, 60.0, 3600.0, 86_400.0])
def test_a_jump_of_the_clock_is_found_with_its_size(by):
    """All messages come one period later plus the jump."""
    t, identifier = bus()
    at = len(t) // 2
    t = t + np.where(np.arange(len(t)) >= at, by, 0.0)
    assert set_forward(t, identifier, at) == pytest.approx(by, abs=0.02)


@pytest.mark.parametrize("seed", range(40))
def test_a_sleeping_logger_is_no_jump(seed):
    """Frames that were not logged leave each message at its own phase."""
    global RANDOM
    RANDOM = np.random.default_rng(100 + seed)
    t, identifier = bus()
    length = float(RANDOM.uniform(4.0, 50.0))
    keep = (t < 50.0) | (t > 50.0 + length)
    at = int((t < 50.0).sum())
    assert set_forward(t[keep], identifier[keep], at) is None


def test_too_few_messages_tell_nothing():
    """With two messages nobody can know."""
    t, identifier = bus(messages=2)
    at = len(t) // 2
    t = t + np.where(np.arange(len(t)) >= at, 600.0, 0.0)
    assert set_forward(t, identifier, at) is None
