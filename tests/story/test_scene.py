"""Everything that the story reads, on one clock."""

import numpy as np

from tests.story.mornings import BATTERY, Plan, scene
from thawline.signals.catalogue import find_signal
from thawline.story import names
from thawline.story.scene import READS, READS_LIKE, last_known

SHORT = Plan(duration_s=300.0, drive_s=None)


def test_every_path_that_is_read_is_in_the_catalogue():
    """The story asks for no signal that the catalogue does not have."""
    assert all(find_signal(path) is not None for path in READS)
    for head, tail in READS_LIKE:
        assert find_signal(f"{head}1{tail}") or find_signal(f"{head}Rear{tail}")
    assert names.short(names.CHARGE_LIMIT) == "Limits.ChargePower"


def test_signals_flows_and_periods():
    """Signals and flows are found by name; what is not there is None."""
    here = scene(SHORT)
    assert len(here.signals[names.COLDEST]) == len(here.t) == 300
    assert here.flow("pack") is not None and here.flow("pack-heater") is None
    assert here.signal(names.PILOT) is None
    assert here.like(names.PHASE_VOLTAGE) == [names.PHASE_VOLTAGE[0] + "1"]
    assert here.period_s((names.COLDEST, "unknown")) == 1.0


def test_values_are_read_at_or_shortly_before_an_instant():
    """A value holds for a while, and is unknown after."""
    here = scene(SHORT)
    assert here.value(names.COLDEST, 50.0) == here.signals[names.COLDEST][here.tick(50.0)]
    assert here.value("unknown", 50.0) is None and here.power("unknown", 50.0) is None
    assert here.power("supply", 50.0) == 0.0
    values = np.array([1.0, np.nan, np.nan, np.nan])
    assert last_known(values, 2, 5) == 1.0 and last_known(values, 3, 2) is None


def test_an_instant_beyond_the_ends_is_the_last_tick():
    """Ticks are clipped to the recording."""
    here = scene(SHORT)
    assert here.tick(-5.0) == 0 and here.tick(1e6) == 299
    assert BATTERY + "CurrentCurrent" not in here.signals
