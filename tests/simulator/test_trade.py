"""What people in the trade see on freezing mornings; common practice, no source."""

import numpy as np
import pytest

from tests.simulator.made import COLDEST, MEAN, RECOVERED, at, demo_morning, gannet, plain, times
from thawline.simulator.charger import Supply
from thawline.simulator.run import simulate


def test_each_drive_unit_heats_with_about_3_4_kilowatts():
    """Once its winding is no longer cold one drive unit makes 3.4 kW, two make twice that."""
    one, two = demo_morning("petrel-ferry"), demo_morning("gannet-quay")
    assert one.powers["drive-unit-heating"].max() / 1e3 == pytest.approx(3.4, abs=0.1)
    assert two.powers["drive-unit-heating"].max() / 1e3 == pytest.approx(6.8, abs=0.2)


def test_ten_minutes_give_five_and_a_half_kelvins():
    """Ten minutes of heating at 208 V and 24 A warm the two-unit car by about 5.6 K."""
    morning = demo_morning("gannet-quay")
    begins = times(morning, "pack-heating-begins")[0]
    rise = at(morning, MEAN, begins + 600.0) - at(morning, MEAN, begins)
    assert rise == pytest.approx(5.6, abs=0.8)


def test_ten_minutes_give_fifteen_kilowatts_of_regeneration():
    """Ten minutes after regeneration returns, the coldest cell is about 5.6 K warmer and the
    limit stands at about 15 kW."""
    morning = demo_morning("gannet-quay")
    returns = times(morning, "regeneration-returns")[0]
    assert at(morning, COLDEST, returns) == pytest.approx(-1.0, abs=0.05)
    rise = at(morning, COLDEST, returns + 600.0) - at(morning, COLDEST, returns)
    assert rise == pytest.approx(5.6, abs=0.8)
    assert at(morning, RECOVERED, returns + 600.0) == pytest.approx(15.0, abs=2.0)


def test_displayed_charge_rises_by_three_or_four_points_with_nothing_charged():
    """Until charging begins the display gains three or four points; the pack gained nothing."""
    morning = demo_morning("gannet-quay")
    begins = times(morning, "charging-begins")[0]
    battery = "Powertrain.TractionBattery.StateOfCharge."
    shown = at(morning, battery + "Displayed", begins) - at(morning, battery + "Displayed", 0.0)
    real = at(morning, battery + "Current", begins) - at(morning, battery + "Current", 0.0)
    assert 2.5 <= shown <= 4.5
    assert real <= 0.0


def test_a_cabin_request_alone_warms_the_pack():
    """Only the cabin is asked for, and the pack warms along by a few Kelvin."""
    morning = demo_morning("gannet-cabin")
    assert not np.any(morning.values["Powertrain.TractionBattery.Charging.IsRequested"])
    assert 3.0 < morning.values[MEAN][-1] - morning.values[MEAN][0] < 10.0


def test_the_pack_covers_the_heaters_while_the_supply_ramps():
    """Right after plug-in the pack gives what the supply does not give yet; later it need not."""
    strong = plain(supply=Supply(240.0, 48.0), duration_s=400.0)
    morning = simulate(gannet(), strong)
    early, late = (int(t / morning.step_s) for t in (46.0, 300.0))
    assert morning.powers["drive-unit-heating"][early] > 2000.0
    assert morning.powers["pack"][early] < -1500.0
    assert abs(morning.powers["pack"][late]) < 120.0


def test_charging_begins_just_above_freezing():
    """With a supply to spare, current goes into the pack as soon as the coldest cell allows."""
    morning = demo_morning("petrel-ferry")
    begins = times(morning, "charging-begins")[0]
    assert 0.0 < at(morning, COLDEST, begins) < 1.0


def test_a_weak_supply_does_not_thaw_the_pack_in_an_hour():
    """120 V and 12 A leave too little for the heat: the pack stays below 0 °C."""
    morning = demo_morning("petrel-shed")
    assert morning.values[COLDEST].max() < 0.0
    assert times(morning, "coldest-cell-thaws") == []


def test_a_soaked_pack_keeps_its_cold_for_hours():
    """Memory, no source: 5 to 20 h of time constant; the cabin loses its heat in minutes."""
    pack = gannet().pack
    hours = pack.heat_capacity_kJ_per_K * 1e3 / pack.ambient_W_per_K / 3600.0
    assert 5.0 < hours < 20.0


def test_heat_capacity_lies_in_the_published_band():
    """2.5 to 8 kJ/K per kWh: a fitted lump of 2.9 and a weighed pack of 6.3 differ by two."""
    for name in ("gannet-quay", "petrel-shed"):
        pack = demo_morning(name).build.pack
        assert 2.5 < pack.heat_capacity_kJ_per_K / pack.energy_kWh < 8.0
