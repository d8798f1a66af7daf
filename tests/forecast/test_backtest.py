"""Replays, and what they score."""

import numpy as np
import pytest

from tests.warmup.proving_car import Build, Morning, record
from thawline.forecast.backtest import backtest, together, what_came
from thawline.forecast.limits import learn
from thawline.recording.flows import make_flows
from thawline.story.tell import tell
from thawline.warmup.fit import fit
from thawline.warmup.mornings import prior_from


@pytest.fixture(scope="module")
def replay():
    """A morning of a car that has an earlier one, forecast every two minutes."""
    earlier, _ = record(Build(), Morning(start_degC=-8.0, outside_degC=-9.0, seed=41))
    flows = make_flows(earlier)
    prior = prior_from([fit(earlier, flows, tell(earlier, flows))])
    recording, _ = record(Build(), Morning(seed=42, duration_s=2800.0))
    done = []
    found = backtest(
        recording, 120.0, prior, learn([earlier]), (10.0,), lambda n, of: done.append((n, of))
    )
    return recording, found, done


def test_forecasts_keep_their_word(replay):
    """From four minutes on: median error within 8 % of the time left, four in five hits."""
    _, found, _ = replay
    score = found.scores[-1]
    assert score.kind == "all"
    assert score.trials > 50
    assert score.median_share < 0.08
    assert score.coverage > 0.6
    assert score.crps_s < 60.0


def test_what_came_is_what_the_story_tells(replay):
    """Times of turning points, and of a regenerative power."""
    recording, found, _ = replay
    story = tell(recording, make_flows(recording))
    assert found.came == what_came(recording, story, (10.0,))
    limit = recording.channels["Powertrain.TractionBattery.Limits.RegenerationPower"]
    at = found.came["regeneration-at-kW", 10.0]
    assert limit.values[np.searchsorted(limit.t, at)] >= 10.0
    assert limit.values[np.searchsorted(limit.t, at) - 1] < 10.0


def test_only_forecasts_of_what_was_to_come_are_scored(replay):
    """From four minutes after heating began until it came, and none of what was past."""
    _, found, _ = replay
    for trial in found.trials:
        assert 90.0 + 239.0 <= trial.made_at_s < trial.came_at_s
        assert trial.p10_s <= trial.p50_s <= trial.p90_s


def test_progress_is_told(replay):
    """Once per forecast, up to all of them."""
    _, found, done = replay
    assert len(done) == len(found.forecasts)
    assert done[-1][0] == done[-1][1]


def test_several_recordings_are_scored_as_one(replay):
    """Trials add up; the median of twice the same is the same."""
    _, found, _ = replay
    both = together([found, found])
    assert len(both.trials) == 2 * len(found.trials)
    assert both.scores[-1].coverage == pytest.approx(found.scores[-1].coverage)
    assert together([]).scores == ()


def test_a_recording_without_turning_points_scores_nothing():
    """A short log of a cold, unplugged car gives forecasts but no trials."""
    recording, _ = record(Build(), Morning(duration_s=400.0, plug_s=9e9, request_s=9e9))
    found = backtest(recording, 120.0)
    assert found.trials == ()
    assert found.scores == ()
    assert len(found.forecasts) == 3
