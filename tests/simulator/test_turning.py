"""True turning points."""

import numpy as np

from tests.simulator.made import at, demo_morning, gannet, plain, short_morning, times
from thawline.simulator.run import simulate
from thawline.simulator.turning import spans


def test_pauses_join_and_blips_go():
    """Short pauses do not end a span, short spans do not count."""
    on = np.array([0, 1, 1, 0, 1, 0, 0, 0, 0, 1, 0], dtype=bool)
    assert spans(on, 1.0, 1.0, 2.0) == [(1, 5)]
    assert spans(on, 1.0, 0.0, 1.0) == [(1, 3), (4, 5), (9, 10)]


def test_every_kind_comes_once_where_the_scenario_says_so():
    """Plug, drop-out, unplugging and drive are where the morning's file puts them."""
    ferry = demo_morning("petrel-ferry")
    assert times(ferry, "plugged-in") == [60.0]
    assert times(ferry, "supply-lost") == [1500.0]
    assert times(ferry, "supply-back") == [1630.0 + ferry.build.charger.wakes_s]
    assert times(ferry, "unplugged") == [3360.0]
    assert abs(times(ferry, "drive-begins")[0] - 3480.0) < 1.0
    assert len(times(ferry, "drive-ends")) == 1


def test_heating_begins_when_heat_is_made():
    """Before the point no heat, right after it heat."""
    morning = short_morning()
    begins = int(times(morning, "pack-heating-begins")[0] / morning.step_s)
    assert morning.powers["drive-unit-heating"][begins - 1] == 0.0
    assert morning.powers["drive-unit-heating"][begins] > 0.0


def test_charging_begins_when_the_pack_gains():
    """A step before the point the pack gives, from then on it gains from the supply."""
    morning = demo_morning("gannet-quay")
    begins = int(times(morning, "charging-begins")[0] / morning.step_s)
    assert morning.powers["pack"][begins - 1] <= 0.0
    assert np.all(morning.powers["pack"][begins : begins + 40] > 0.0)


def test_full_power_is_within_three_per_cent_of_the_ceiling():
    """From the point on the supply gives at least 0.97 of what offer and charger allow."""
    morning = short_morning()
    full = int(times(morning, "charger-at-full-power")[0] / morning.step_s)
    share = morning.powers["supply"][full : full + 80] / morning.powers["ceiling"][full : full + 80]
    assert np.all(share >= 0.97)
    assert morning.powers["supply"][full - 1] < 0.97 * morning.powers["ceiling"][full - 1]


def test_thaw_is_where_the_coldest_cell_passes_zero():
    """The coldest cell stands at 0 °C at the point."""
    morning = demo_morning("gannet-quay")
    thaws = times(morning, "coldest-cell-thaws")[0]
    coldest = morning.values["Powertrain.TractionBattery.Temperature.Min"]
    assert abs(np.interp(thaws, morning.t, coldest)) < 1e-6


def test_the_cabin_is_comfortable_where_the_build_says():
    """The air stands at the build's level at the point."""
    morning = demo_morning("gannet-cabin")
    comes = times(morning, "cabin-comfortable")[0]
    air = at(morning, "Cabin.HVAC.AmbientAirTemperature", comes)
    assert abs(air - morning.build.cabin.comfortable_from_degC) < 0.2


def test_a_quiet_morning_has_no_turning_points():
    """A car that nobody asks anything of does nothing."""
    quiet = plain(plugged_s=(), supply=None, wishes=(), duration_s=300.0)
    assert simulate(gannet(), quiet).truth.points == ()


def test_what_holds_from_the_beginning_has_no_beginning():
    """A cable that is there from the first instant was not plugged in on this morning."""
    early = plain(plugged_s=((0.0, 200.0),), duration_s=300.0)
    morning = simulate(gannet(), early)
    assert times(morning, "plugged-in") == []
    assert times(morning, "unplugged") == [200.0]
