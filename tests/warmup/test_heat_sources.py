"""Where the heat comes from."""

from dataclasses import replace

import numpy as np

from tests.warmup.linear_car import Truth, record
from tests.warmup.proving_car import Build, Morning
from tests.warmup.proving_car import record as record_proving
from thawline.recording.flows import make_flows
from thawline.story.story import Span, Story
from thawline.story.tell import tell
from thawline.vehicle.vehicle import DriveUnits, Pack, Vehicle
from thawline.warmup.heat_sources import _others_times, expected_heat_kW, heat_sources, held


def test_expected_heat_is_three_point_four_kilowatts_per_unit():
    """Common practice, no source: 3.4 kW per drive unit, twice with two; a stated one wins."""
    pack = Pack(72.0)
    assert expected_heat_kW(Vehicle("Petrel", pack)) == 3.4
    assert expected_heat_kW(Vehicle("Gannet", pack, DriveUnits(count=2))) == 6.8
    assert expected_heat_kW(Vehicle("Gannet", pack, DriveUnits(2, standstill_heat_kW=4.0))) == 8.0


def test_what_is_not_known_is_held():
    """Holes take the last value; what comes before any is what was given."""
    values = np.array([np.nan, 1.0, np.nan, np.nan, 3.0])
    assert held(values, 7.0).tolist() == [7.0, 1.0, 1.0, 1.0, 3.0]


def test_reported_heat_is_taken_as_it_is():
    """The car's own heating power comes first."""
    found = heat_sources(*record(Truth(), 1))
    assert found.origin == "measured"
    assert abs(found.drive_kW[1000] - 6.8) < 0.01
    assert found.heater_kW.max() == 0.0


def test_without_it_the_balance_of_the_other_powers_stands_in():
    """Charger output less pack and base load is the heat, within half a kilowatt or so."""
    recording, true = record_proving(
        Build(), Morning(duration_s=1500.0, leave_out=("StandstillHeat",))
    )
    flows = make_flows(recording)
    found = heat_sources(recording, flows, tell(recording, flows))
    assert found.origin == "derived"
    late = flows.t > 600.0
    assert abs(found.drive_kW[late].mean() - true["heat"][-1]) < 0.5


def test_without_any_power_the_usual_heat_stands_in_while_it_was_on():
    """A conditioning state alone gives the time, common practice the height."""
    recording, _, _ = record(Truth(), 1)
    bare = replace(
        recording,
        channels={p: c for p, c in recording.channels.items() if "Standstill" not in p},
    )
    story = Story(bare.id, (), (Span("pack-heating", 300.0, 900.0, None, "a state says so"),))
    flows = make_flows(bare)
    found = heat_sources(bare, flows, story)
    assert found.origin == "assumed"
    assert found.drive_kW[(flows.t > 301) & (flows.t < 899)].min() == 6.8
    assert found.drive_kW[flows.t > 901].max() == 0.0


def test_warm_metal_gives_away_heat_that_nothing_reports():
    """Without power or state, windings well above a standing pack show when it was heated."""
    recording, _, _ = record(Truth(), 1)
    bare = replace(
        recording,
        channels={p: c for p, c in recording.channels.items() if "Standstill" not in p},
    )
    flows = make_flows(bare)
    found = heat_sources(bare, flows, Story(bare.id, (), ()))
    assert found.origin == "assumed"
    assert found.drive_kW[flows.t < 110].max() == 0.0
    assert found.drive_kW[(flows.t > 300) & (flows.t < 2900)].min() == 6.8


def test_what_other_units_give_is_what_the_account_leaves_for_them():
    """A signal that tells all the heat of two units is not doubled; one of two alike is."""
    told, nothing = np.full(300, 3.0), None
    assert _others_times(told, np.full(300, 3.1), nothing, 2.0) < 1.05
    assert _others_times(told, np.full(300, 5.9), nothing, 2.0) > 1.9
    assert _others_times(told, np.full(300, 9.0), nothing, 2.0) == 2.0
    assert _others_times(told, np.full(300, 5.0), np.full(300, 2.0), 2.0) == 1.0
    assert _others_times(told, None, nothing, 2.0) == 2.0
