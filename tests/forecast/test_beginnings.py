"""Where limits leave zero, as the recording allows."""

import numpy as np
import pytest

from thawline.forecast.allowed import TemperatureLimit
from thawline.forecast.beginnings import begins_where, thresholds

LIMIT = TemperatureLimit(-1.0, 0.3, (0.0, 1.0), (0.0, 2.0), 0.1, "learned", 2)
#: Common practice: charging from just above 0 degC, regeneration about 1 K before.
USUAL = TemperatureLimit(0.3, 0.8, (0.0, 1.0), (0.0, 2.0), 0.6, "common practice")


def test_thresholds_lie_above_what_is_ruled_out():
    """A limit that is still zero at 0 °C leaves zero above it, soon or late."""
    rng = np.random.default_rng(2)
    free = thresholds(LIMIT, None, rng, (4000,))
    assert np.median(free) == pytest.approx(-1.0, abs=0.03)
    held = thresholds(LIMIT, np.zeros(4000), rng, (4000,))
    assert held.min() >= 0.0
    assert np.median(held) < 2.5


def test_little_is_ruled_out_by_a_cold_pack():
    """Far below the threshold the truncation changes nothing."""
    rng = np.random.default_rng(3)
    drawn = thresholds(LIMIT, np.full(4000, -9.0), rng, (4000,))
    assert np.median(drawn) == pytest.approx(-1.0, abs=0.03)
    assert np.quantile(drawn, 0.75) - np.quantile(drawn, 0.25) == pytest.approx(0.42, abs=0.06)


def test_charging_that_nobody_has_seen_follows_regeneration():
    """Where regeneration came 2 K late, charging is expected late too; what was learned stays."""
    rng = np.random.default_rng(4)
    late, early = (thresholds(USUAL, None, rng, (4000,), np.full(4000, at)) for at in (1.0, -2.0))
    assert 0.3 < np.median(late) < 2.0
    assert -1.0 < np.median(early) < 0.3
    alone = thresholds(USUAL, None, rng, (4000,))
    spread = [np.subtract(*np.quantile(x, (0.75, 0.25))) for x in (late, early, alone)]
    assert max(spread[:2]) < spread[2]
    learned = thresholds(LIMIT, None, rng, (4000,), np.full(4000, 3.0))
    assert np.median(learned) == pytest.approx(-1.0, abs=0.03)


def test_an_open_limit_tells_how_steep_it_is():
    """Standing at 1 kW 5 K above where limits usually begin, a limit is flat, or began late."""
    rng = np.random.default_rng(5)
    usual = TemperatureLimit(-1.0, 0.5, (0.0, 9.0), (0.0, 18.0), 0.6, "common practice")
    coldest = np.full((400, 4), 4.0)
    begin, off = begins_where(usual, 1.0, coldest, rng)
    assert np.median(off) < -0.5
    assert np.median(begin) > -1.0
    assert usual.allowed_kW(coldest - begin, off) == pytest.approx(1.0, abs=1e-6)
    _, steep = begins_where(usual, 30.0, coldest, rng)
    assert np.median(steep) > 0.5
