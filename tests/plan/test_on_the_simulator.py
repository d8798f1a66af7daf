"""Plans carried out by the simulator's cars, which are richer than the model that planned."""

import pytest

from tests.plan.proving import proven


@pytest.mark.slow
def test_a_plan_keeps_its_promise_on_a_taught_car():
    """The demo's car, taught on two mornings, is ready on mornings that nobody saw."""
    done = [result for _, _, result in proven(0, 0, 4) if result is not None]
    assert len(done) >= 3
    assert sum(result.is_ready for result in done) >= len(done) - 1


@pytest.mark.slow
def test_a_hundred_mornings_are_ready_as_often_as_promised():
    """Of random cars, requests and mornings at least the promised 90 % are ready."""
    done = []
    car = 0
    while len(done) < 100:
        done += [result for _, _, result in proven(car, 0, 5) if result is not None]
        car += 1
    assert sum(result.is_ready for result in done[:100]) >= 90
