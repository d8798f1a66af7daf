"""What thermometers tell at the ends of steps."""

from dataclasses import replace

import numpy as np

from tests.warmup.linear_car import BATTERY, Truth, channel_of, record
from thawline.recording.flows import make_flows
from thawline.warmup.case import make_case
from thawline.warmup.sensing import see

COLDEST = BATTERY + "Temperature.Min"


def one(values, t=None, until=900.0, path=COLDEST, flow=None):
    """See one thermometer of a car that has no other."""
    recording, _, story = record(Truth(duration_s=1200.0), 1)
    at = np.arange(0.5, 1200.0) if t is None else t
    channels = {path: channel_of(path, at, values)}
    if flow is not None:
        name = BATTERY + "Coolant.Flow"
        channels[name] = channel_of(name, np.arange(0.5, 1200.0), flow)
    changed = replace(recording, channels=channels)
    case = make_case(changed, make_flows(changed), story, until)
    return case.grid, case.seen


def test_a_fine_thermometer_is_read_at_the_step_s_end():
    """A line through ten seconds of noisy samples leaves no lag and little noise."""
    t = np.arange(0.05, 1200.0, 0.1)
    rng = np.random.default_rng(1)
    values = -10.0 + 0.02 * t + rng.normal(0.0, 0.2, len(t))
    grid, (seen,) = one(values, t)
    off = seen.degC - (-10.0 + 0.02 * grid.ends)
    assert abs(np.nanmean(off)) < 0.02
    assert np.nanstd(off) < 0.08
    assert 0.5 < np.nanstd(off) / np.nanmean(seen.sd_K) < 1.5


def test_a_coarse_one_gives_its_edges_and_is_bounded_between():
    """Whole degrees: a value at each edge, bounds in between, the first level once."""
    t = np.arange(0.5, 1200.0)
    true = -10.2 + 0.01 * t
    grid, (seen,) = one(np.round(true))
    told = np.flatnonzero(np.isfinite(seen.degC))
    wanted = -10.2 + 0.01 * grid.ends
    assert len(told) in (9, 10)
    assert abs(seen.degC[told[1:]] - wanted[told[1:]]).max() < 0.08
    assert seen.sd_K[told[0]] > 0.25
    bounded = np.isfinite(seen.low)
    assert np.all((wanted[bounded] > seen.low[bounded]) & (wanted[bounded] < seen.high[bounded]))
    assert not np.any(bounded & np.isfinite(seen.degC))


def test_nothing_after_the_last_step_is_read():
    """A sensor that goes mad later looks the same until then."""
    t = np.arange(0.5, 1200.0)
    true = -10.0 + 0.01 * t
    _, (calm,) = one(np.round(true, 1))
    _, (mad,) = one(np.where(t > 900.0, 99.0, np.round(true, 1)))
    assert np.array_equal(calm.degC, mad.degC, equal_nan=True)
    assert np.array_equal(calm.sd_K, mad.sd_K)


def test_silence_gives_no_values():
    """A hole in the samples is a hole in the readings."""
    t = np.concatenate([np.arange(0.5, 300.0), np.arange(700.5, 1200.0)])
    grid, (seen,) = one(-10.0 + 0.01 * t, t)
    silent = (grid.ends > 305.0) & (grid.ends < 700.0)
    assert np.all(np.isnan(seen.degC[silent]))
    assert np.isfinite(seen.degC).sum() > 40


def test_still_coolant_says_nothing_of_the_loop():
    """Thermometers of the coolant are left out while the pump stands."""
    t = np.arange(0.5, 1200.0)
    flow = np.where(t < 500.0, 10.0, 0.0)
    path = BATTERY + "Coolant.InletTemperature"
    grid, found = one(5.0 + 0.0 * t, path=path, flow=flow)
    (seen,) = found
    assert seen.name == "coolant"
    assert np.all(np.isnan(seen.degC[grid.ends > 520.0]))
    assert np.isfinite(seen.degC[grid.ends < 500.0]).any()


def test_the_coolant_at_the_motor_is_not_a_winding():
    """EngineCoolant stands in for the inlet; two windings are read as one."""
    t = np.arange(0.5, 1200.0)
    motor = "Powertrain.ElectricMotor."
    recording, flows, story = record(Truth(duration_s=1200.0), 1)
    paths = (motor + "EngineCoolant.Temperature", motor + "Front.Temperature",
             motor + "Rear.Temperature")  # fmt: skip
    channels = {p: channel_of(p, t, 20.0 * k + 0 * t) for k, p in enumerate(paths)}
    changed = replace(recording, channels=channels)
    grid = make_case(recording, flows, story, 900.0).grid
    seen = {s.name: s for s in see(changed, grid)}
    assert set(seen) == {"metal", "coolant"}
    assert np.nanmax(seen["metal"].degC) == 30.0
    assert np.nanmax(seen["coolant"].degC) == 0.0
