"""Driving."""

import numpy as np
import pytest

from tests.story.mornings import Plan, morning, scene
from thawline.story.driving import tell_driving
from thawline.story.scene import make_scene

PLAN = Plan(
    duration_s=900.0,
    plug_s=9e8,
    unplug_s=9e9,
    request_s=None,
    cabin_s=None,
    drive_s=(200.0, 700.0),
)
T = np.arange(0.0, 900.0, 0.1)


def told_of(speed):
    return tell_driving(make_scene(*morning(PLAN, None, {"Speed": speed})))


def test_a_drive_begins_and_ends():
    """Setting off and coming to rest are found within 2 s."""
    told = tell_driving(scene(PLAN))
    begins, ends = told.points
    assert begins.kind == "drive-begins" and begins.t_s == pytest.approx(200.0, abs=2.0)
    assert ends.kind == "drive-ends" and ends.t_s == pytest.approx(700.0, abs=2.0)
    assert len(told.spans) == 1 and "39" in told.spans[0].because


def test_a_stop_at_a_light_does_not_end_the_drive():
    """A minute at rest within a drive is a stop, not an end."""
    speed = np.interp(T, [200, 210, 390, 400, 460, 470, 690, 700], [0, 40, 40, 0, 0, 40, 40, 0])
    assert [p.kind for p in told_of(speed).points] == ["drive-begins", "drive-ends"]


def test_a_recording_that_ends_in_a_drive_has_no_end():
    """Coming to rest a few seconds before the recording's end proves no end."""
    speed = np.interp(T, [200, 210, 400, 410, 470, 480, 883, 893], [0, 40, 40, 0, 0, 40, 40, 0])
    assert [p.kind for p in told_of(speed).points] == ["drive-begins"]


def test_noise_at_rest_is_no_drive():
    """A speed that flickers below 1 km/h is rest."""
    speed = np.abs(np.random.default_rng(1).normal(0.0, 0.2, len(T)))
    assert told_of(speed).points == ()


def test_a_motors_speed_tells_without_the_cars():
    """Without the car's speed the motor's tells."""
    plan = Plan(**{**PLAN.__dict__, "leave_out": ("Speed",)})
    turns = np.interp(T, [200.0, 210.0, 690.0, 700.0], [0.0, 3000.0, 3000.0, 0.0])
    path = "Powertrain.ElectricMotor.Rear.Torque"
    recording, flows = morning(plan, None, {path: turns})
    channel = recording.channels[path]
    channels = {**recording.channels, "Powertrain.ElectricMotor.Speed": channel}
    moved = type(recording)("m", recording.vehicle, 0.0, 900.0, channels)
    told = tell_driving(make_scene(moved, flows))
    assert [p.kind for p in told.points] == ["drive-begins", "drive-ends"]


def test_without_any_speed_the_lane_is_lost():
    """Nothing tells motion: the cure is named."""
    told = tell_driving(scene(Plan(**{**PLAN.__dict__, "leave_out": ("Speed",)})))
    assert told.spans == () and told.lost[0].cure == "map Speed"


def test_a_short_stand_at_the_end_is_left_open():
    """Half a minute at rest where the recording ends may be a light: it is said, not guessed."""
    speed = np.where((T > 100.0) & (T < 870.0), 40.0, 0.0)
    for stop in (700.0, 760.0, 815.0):
        speed = np.where((stop < T) & (stop + 35.0 > T), 0.0, speed)
    told = told_of(speed)
    assert [point.kind for point in told.points] == ["drive-begins"]
    (lost,) = told.lost
    assert lost.what == "drive-ends" and "30 s" in lost.because
