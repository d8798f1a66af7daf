"""The story held against simulated mornings whose truth is known."""

import pytest

from tests.story.simulated import crop, faults, record, strange
from thawline.recording.flows import make_flows
from thawline.simulator.demo import mornings, vehicle
from thawline.simulator.run import simulate
from thawline.story.tell import tell

DEMO = {scenario.name: (name, scenario) for name, scenario in mornings()}


@pytest.mark.parametrize("name", DEMO)
def test_demo_mornings_have_no_fault(name):
    """No turning point is missed, late or false in any morning of the demo."""
    car, scenario = DEMO[name]
    morning = simulate(vehicle(car)[0], scenario, 0.5)
    recording = record(morning, seed=1)
    assert faults(tell(recording, make_flows(recording)), morning) == []


@pytest.mark.parametrize("seed", range(4))
def test_strange_cars_have_no_fault(seed):
    """The same on cars, supplies and sensors drawn by chance."""
    morning = simulate(*strange(seed), 0.5)
    recording = record(morning, seed)
    assert faults(tell(recording, make_flows(recording)), morning) == []


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(4, 154))
def test_a_campaign_of_strange_cars(seed):
    """The long campaign: whole mornings, parts of them, and logs with a gap."""
    morning = simulate(*strange(seed), 0.5)
    recording = record(morning, seed)
    assert faults(tell(recording, make_flows(recording)), morning) == []
    begin, end = 0.15 * recording.duration_s, 0.85 * recording.duration_s
    part = crop(recording, begin, end)
    assert faults(tell(part, make_flows(part)), morning, (begin, end)) == []
    gapped = record(morning, seed, gap=(0.4 * end, 0.4 * end + 60.0))
    hidden = faults(tell(gapped, make_flows(gapped)), morning)
    assert [fault for fault in hidden if fault.startswith("false")] == []
