"""The model's clock."""

from dataclasses import replace

import numpy as np

from tests.warmup.linear_car import BATTERY, Truth, channel_of, record
from thawline.recording.flows import make_flows
from thawline.warmup.case import make_case
from thawline.warmup.grid import INPUTS, cell_heat_kW, step_means

DRIVE = INPUTS.index("drive")


def test_steps_end_now_and_keep_the_energy():
    """The last step ends at the instant; inputs are means, so sums are energies."""
    recording, flows, story = record(Truth(duration_s=1800.0), 1)
    grid = make_case(recording, flows, story, 1234.0).grid
    assert grid.ends[-1] == 1234.0
    assert np.allclose(np.diff(grid.ends), 10.0)
    energy = float(grid.inputs[:, DRIVE].sum()) * grid.step_s
    assert abs(energy - 6.8 * (1234.0 - 120.0)) < 10.0


def test_long_recordings_take_longer_steps():
    """A night on the plug stays within the most steps; an instant after the start has one."""
    recording, flows, story = record(Truth(duration_s=30000.0, heats_s=(2000.0, 29000.0)), 1)
    long = make_case(recording, flows, story, 30000.0).grid
    assert len(long.ends) <= 600
    assert long.ends[0] - long.step_s >= 2000.0 - 900.0 - long.step_s
    short = make_case(recording, flows, story, 4.0).grid
    assert len(short.ends) == 1


def test_means_over_steps():
    """Each step holds the mean of the ticks within it, or the last one before."""
    t, values = np.arange(0.5, 20.0), np.arange(20.0)
    means = step_means(t, values, np.array([5.0, 10.0, 40.0]), 5.0)
    assert means.tolist() == [2.0, 7.0, 19.0]


def test_a_flow_that_stops_has_a_level_of_its_own():
    """Levels are shares of the reference flow; still coolant is zero."""
    recording, _, story = record(Truth(duration_s=1200.0), 1)
    t = np.arange(0.5, 1200.0)
    litres = np.where(t < 600.0, 12.0, 0.0)
    path = BATTERY + "Coolant.Flow"
    changed = replace(recording, channels={**recording.channels, path: channel_of(path, t, litres)})
    grid = make_case(changed, make_flows(changed), story, 1200.0).grid
    share = grid.flows[grid.level]
    assert grid.flow_known
    assert np.all(share[grid.ends > 620.0] == 0.0)
    assert np.allclose(share[(grid.ends > 50.0) & (grid.ends < 590.0)], 1.2, rtol=0.05)


def test_current_heats_cells_by_its_square():
    """Twice the current makes four times the heat; cold cells make more (Arrhenius)."""
    recording, _, _ = record(Truth(duration_s=600.0), 1)
    t = np.arange(0.5, 600.0)
    heat = []
    for amps in (20.0, 40.0):
        extra = {
            BATTERY + "CurrentCurrent": channel_of(BATTERY + "CurrentCurrent", t, 0 * t + amps),
            BATTERY + "CurrentVoltage": channel_of(BATTERY + "CurrentVoltage", t, 0 * t + 350.0),
        }
        changed = replace(recording, channels={**recording.channels, **extra})
        heat.append(cell_heat_kW(changed, make_flows(changed))[300])
    assert np.isclose(heat[1], 4.0 * heat[0], rtol=1e-6)
    assert 0.01 < heat[0] < 0.3


def test_a_clock_that_grows_keeps_its_steps():
    """Asked seven seconds later, only the last step has changed; it ends at the instant."""
    recording, flows, story = record(Truth(duration_s=1800.0), 1)
    one, other = (make_case(recording, flows, story, now, 180).grid for now in (1234.0, 1241.0))
    assert one.ends[-1] == 1234.0 and other.ends[-1] == 1241.0
    kept = len(one.ends) - 1
    assert np.array_equal(one.ends[:kept], other.ends[:kept])
    assert np.array_equal(one.inputs[:kept], other.inputs[:kept])
    assert one.lengths[-1] == one.last_s == 1234.0 - one.ends[-2]
    energy = float(one.inputs[:, DRIVE] @ one.lengths)
    assert abs(energy - 6.8 * (1234.0 - 120.0)) < 10.0
