"""Who gets the power: heat first, then the pack."""

from dataclasses import replace

import pytest

from tests.simulator.made import gannet, plain, times
from thawline.simulator.charger import Supply
from thawline.simulator.events import Wish
from thawline.simulator.run import simulate


def with_help(kW: float):
    """Gannet whose pack helps its heaters by so much."""
    build = gannet()
    return replace(build, conditioning=replace(build.conditioning, pack_help_kW=kW))


def test_a_pack_that_may_not_help_bounds_the_heat():
    """Without help the drive units heat with what the supply can give; with help with more."""
    alone, helped = (simulate(with_help(kW), plain(duration_s=300.0)) for kW in (0.0, 1.0))
    last = -1
    assert abs(alone.powers["pack"][last]) < 150.0
    assert helped.powers["pack"][last] == pytest.approx(-1000.0, abs=150.0)
    assert alone.powers["drive-unit-heating"][last] < helped.powers["drive-unit-heating"][last]


def test_heat_comes_before_the_pack():
    """While heat takes all of the supply, a pack that may be charged gets nothing."""
    warm = plain(soak_degC=0.4, ambient_degC=0.4, duration_s=120.0)
    morning = simulate(gannet(), warm)
    limit = morning.values["Powertrain.TractionBattery.Limits.ChargePower"]
    assert limit[-1] > 0.9
    assert morning.powers["pack"][-1] < 0.0


def test_without_a_charging_request_the_pack_gets_nothing():
    """A warm pack that nobody wants charged is not charged."""
    idle = plain(soak_degC=15.0, ambient_degC=15.0, wishes=(), duration_s=120.0)
    morning = simulate(gannet(), idle)
    assert morning.truth.electrical["pack-in"] == 0.0
    assert morning.powers["supply"][-1] > 200.0


def test_charging_ends_at_its_target():
    """At the state of charge asked for the charger feeds the loads and no more."""
    full = plain(soak_degC=15.0, ambient_degC=15.0, charge_pct=79.9, target_pct=80.0)
    morning = simulate(gannet(), full)
    assert len(times(morning, "charging-ends")) == 1
    assert morning.truth.charge["charged"] == pytest.approx(0.1, abs=0.02)


def test_a_heater_in_the_coolant_warms_the_pack_too():
    """A car with a heater instead of standstill heat warms its pack, and its lines say so."""
    build = gannet()
    build = replace(
        build,
        drive_units=replace(build.drive_units, heat_kW=0.0),
        coolant=replace(build.coolant, heater_kW=5.0),
    )
    morning = simulate(build, plain(supply=Supply(240.0, 32.0)))
    truth = morning.truth
    assert truth.electrical["drive-unit-heating"] == 0.0
    assert truth.more["pack-heater"] > 0.8
    assert truth.heat["drive-unit-heating"] == pytest.approx(truth.more["pack-heater"])
    assert truth.heat["stored-in-pack"] > 0.6
    assert len(times(morning, "pack-heating-begins")) == 1


def test_a_stop_on_the_road_does_not_start_the_heat():
    """At a light the drive units stay ready to drive."""
    trace = ((100.0, 0.0), (110.0, 30.0), (140.0, 30.0), (150.0, 0.0), (200.0, 0.0))
    trace = (*trace, (210.0, 30.0), (240.0, 0.0))
    wish = (Wish("pack", 0.0, 300.0),)
    morning = simulate(gannet(), plain(plugged_s=(), wishes=wish, drive=trace, duration_s=260.0))
    on_the_road = (morning.t > 130.0) & (morning.t < 239.0)
    assert morning.powers["drive-unit-heating"][on_the_road].max() == 0.0
    assert morning.powers["drive-unit-heating"][-1] > 1000.0
