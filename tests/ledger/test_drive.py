"""Electrical energy of driving with whatever is recorded of it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.ledger.made import BALANCED, BATTERY, MOTOR, basis_made, ledger_of, line_of, recording
from thawline.ledger.drive import driving
from thawline.ledger.uncertain import deviation, nominal
from thawline.physics.roadload import road_load_N, road_power_kW
from thawline.recording.recording import Gap


def test_recorded_power_counts_net_of_regeneration() -> None:
    """9 kW at the shaft for half an hour, 4.5 kW back for a quarter, at 90 %."""
    values = {
        **BALANCED,
        "Speed": 50.0,
        MOTOR + "Power": lambda t: np.select([t < 1800.0, t < 2700.0], [9.0, -4.5], 0.0),
    }
    line = line_of(ledger_of(recording(values)), "other-loads")
    assert line.kWh == pytest.approx(0.4 + 4.5 / 0.9 - 1.125 * 0.9, abs=0.01)
    assert line.origin == "derived"
    assert "driving" in line.note


def test_a_steady_drive_without_power_follows_the_road_load() -> None:
    """Half an hour at 80 km/h: the road load of 1800 kg, 0.010 and 0.65 m2 over 90 %."""
    values = {
        "Speed": lambda t: np.where(t < 1800.0, 80.0, 0.0),
        "Exterior.AirTemperature": 0.0,
    }
    found = driving(basis_made(recording(values)))
    assert found is not None
    value, origin, note, _ = found
    steady = float(road_power_kW(road_load_N(80.0, 1800.0, 0.010, 0.65, 1.292), 80.0)) / 2.0
    braked = 0.5 * 1800.0 * (80.0 / 3.6) ** 2 / 3.6e6
    assert nominal(value) == pytest.approx(steady / 0.9 - braked * 0.9 * 0.6, rel=0.02)
    assert 0.1 < deviation(value) / nominal(value) < 0.35
    assert origin == "assumed"
    assert "40.0 km" in note


def test_hills_of_speed_cost_more_than_a_plain() -> None:
    """The same distance with stops takes more, since not all braking is regenerated."""
    plain = driving(basis_made(recording({"Speed": 40.0})))
    stops = driving(basis_made(recording({"Speed": lambda t: 40.0 + 40.0 * np.sin(t / 10.0)})))
    assert plain is not None
    assert stops is not None
    assert nominal(stops[0]) > 1.3 * nominal(plain[0])


def test_a_car_that_stood_took_nothing() -> None:
    """With a speed of zero, or with drive units that never turned, there was no drive."""
    assert driving(basis_made(recording({"Speed": 0.0}))) is None
    assert driving(basis_made(recording({MOTOR + "Rear.Speed": 0.0}))) is None
    assert driving(basis_made(recording({MOTOR + "Power": 0.0, "Speed": 0.0}))) is None


def test_a_drive_that_nothing_tells_of_is_not_excluded() -> None:
    """Without speed and power, 12 kW out of the pack for ten minutes widen the line by 2 kWh."""
    values = {
        BATTERY + "CurrentCurrent": lambda t: np.where(t < 600.0, -12e3 / 350.0, -1.0),
        BATTERY + "CurrentVoltage": 350.0,
    }
    found = driving(basis_made(recording(values)))
    assert found is not None
    assert nominal(found[0]) == 0.0
    assert deviation(found[0]) == pytest.approx(2.0, rel=0.02)
    quiet = {**values, BATTERY + "CurrentCurrent": -1.0}
    assert driving(basis_made(recording(quiet))) is None


def test_a_hole_in_a_drive_may_have_been_driven() -> None:
    """Ten minutes at 60 km/h, ten without data, ten more: between 20 and 30 min of the same."""
    speed = np.full(3600, 0.0)
    speed[600:2400] = 60.0
    whole = driving(basis_made(recording({"Speed": 0.0})))
    assert whole is None
    made = basis_made(recording({"Speed": lambda t: np.interp(t, np.arange(3600.0), speed)}))
    channel = made.recording.channels["Speed"]
    keep = (channel.t < 1200.0) | (channel.t > 1800.0)
    holed = replace(channel, t=channel.t[keep], values=channel.values[keep])
    gaps = (Gap(1200.0, 1800.0),)
    cut = replace(made.recording, channels={"Speed": holed}, gaps=gaps)
    full, part = driving(made), driving(basis_made(cut))
    assert full is not None and part is not None
    assert nominal(part[0]) < nominal(full[0])
    assert abs(nominal(full[0]) - nominal(part[0])) < 1.5 * deviation(part[0])
    assert "for 10 min of it the speed is not known" in part[2] and part[3] > 0.0
