"""The supply and the charger's loss, with whatever is recorded of them."""

from __future__ import annotations

import numpy as np
import pytest

from tests.ledger.made import BALANCED, BATTERY, CHARGING, ledger_of, line_of, recording
from thawline.vehicle.vehicle import Charger, Pack, Vehicle

AMPS, VOLTS = CHARGING + "ChargeCurrent.Phase1", CHARGING + "ChargeVoltage.Phase1"


def without(*parts: str) -> dict:
    return {p: v for p, v in BALANCED.items() if not any(part in p for part in parts)}


def test_measured_loss_is_taken_first() -> None:
    """Where the charger tells its loss, that is the line, whatever the difference says."""
    ledger = ledger_of(recording({**BALANCED, CHARGING + "PowerLoss": 500.0}))
    line = line_of(ledger, "charger-loss")
    assert (line.kWh, line.origin) == (pytest.approx(0.5), "measured")
    assert line_of(ledger, "unaccounted").kWh == pytest.approx(-0.02, abs=1e-9)


def test_difference_comes_second() -> None:
    """Supply less output is the loss."""
    line = line_of(ledger_of(recording(BALANCED)), "charger-loss")
    assert (line.kWh, line.origin) == (pytest.approx(0.48), "derived")


def test_stated_efficiency_comes_third() -> None:
    """Without an output the vehicle file's efficiency gives the loss, as an assumption."""
    car = Vehicle("Petrel", Pack(58.0, 96), charger=Charger(efficiency=0.90))
    line = line_of(ledger_of(recording(without("OutputPower"), vehicle=car)), "charger-loss")
    assert (line.kWh, line.origin) == (pytest.approx(0.6), "assumed")
    assert line.plus_minus_kWh == pytest.approx(6.0 * 0.9 * 0.02, rel=0.1)


def test_usual_efficiency_comes_last() -> None:
    """Without even that, 0.92 ± 0.03 is taken."""
    line = line_of(ledger_of(recording(without("OutputPower"))), "charger-loss")
    assert (line.kWh, line.origin) == (pytest.approx(0.48), "assumed")
    assert line.plus_minus_kWh == pytest.approx(0.18, rel=0.02)
    assert "92%" in line.note


def test_direct_current_from_outside_has_no_loss_in_the_car() -> None:
    """At a direct-current charger the car's own charger has no part."""
    values = {
        CHARGING + "ChargeCurrent.DC": 40.0,
        CHARGING + "ChargeVoltage.DC": 350.0,
        BATTERY + "CurrentCurrent": 40.0,
        BATTERY + "CurrentVoltage": 350.0,
    }
    ledger = ledger_of(recording(values))
    line = line_of(ledger, "charger-loss")
    assert (line.kWh, line.plus_minus_kWh, line.origin) == (0.0, 0.0, "derived")
    assert line_of(ledger, "supply").kWh == pytest.approx(14.0)


def test_alternating_then_direct_current() -> None:
    """Half an hour at the wall, half at a direct-current charger: only the first half loses.

    6 kW at 92 % lose 0.24 kWh; the 14 kW that come direct lose nothing in the car, though the
    car's own charger gives nothing meanwhile.
    """

    def first(value: float):
        return lambda t: np.where(t < 1800.0, value, 0.0)

    def second(value: float):
        return lambda t: np.where(t < 1800.0, 0.0, value)

    values = {
        AMPS: first(25.0),
        VOLTS: first(240.0),
        CHARGING + "OutputPower": first(5.52),
        CHARGING + "ChargeCurrent.DC": second(40.0),
        CHARGING + "ChargeVoltage.DC": second(350.0),
        BATTERY + "CurrentCurrent": lambda t: np.where(t < 1800.0, 5.52e3 / 350.0, 40.0),
        BATTERY + "CurrentVoltage": 350.0,
    }
    ledger = ledger_of(recording(values))
    assert line_of(ledger, "supply").kWh == pytest.approx(10.0, rel=1e-3)
    assert line_of(ledger, "charger-loss").kWh == pytest.approx(0.24, abs=0.01)
    assert "passes the car's own charger by" in line_of(ledger, "charger-loss").note
    assert ledger.feed is not None
    assert np.mean(ledger.feed.supply_to["pack"][2000:]) == pytest.approx(14.0)


def test_alternating_current_that_is_not_recorded_is_not_zero() -> None:
    """Only direct current is recorded, and is none, yet the charger in the car gives 5.52 kW."""
    values = {
        CHARGING + "ChargeCurrent.DC": 0.0,
        CHARGING + "ChargeVoltage.DC": 0.0,
        CHARGING + "OutputPower": 5.52,
    }
    line = line_of(ledger_of(recording(values)), "supply")
    assert (line.kWh, line.origin) == (pytest.approx(6.0), "assumed")


def test_a_usual_efficiency_falls_at_low_power() -> None:
    """At 1.4 kW a charger's own needs weigh: 0.92 less 0.08 kW times (1/1.4 - 1/4)."""
    values = {AMPS: 12.0, VOLTS: 120.0}
    line = line_of(ledger_of(recording(values)), "charger-loss")
    share = 0.92 - 0.08 * (1 / 1.44 - 1 / 4.0)
    assert line.kWh == pytest.approx(1.44 * (1.0 - share), rel=1e-3)


def test_three_phases_add_up() -> None:
    """Three phases of 16 A at 230 V give 11.04 kW; sensors of each phase err on their own."""
    values = {f"{CHARGING}ChargeCurrent.Phase{n}": 16.0 for n in (1, 2, 3)}
    values |= {f"{CHARGING}ChargeVoltage.Phase{n}": 230.0 for n in (1, 2, 3)}
    line = line_of(ledger_of(recording(values)), "supply")
    assert line.kWh == pytest.approx(11.04)
    each = np.hypot(np.hypot(0.015, 0.01) * 3.68, 0.1 * 0.23)
    assert line.plus_minus_kWh == pytest.approx(np.sqrt(3.0) * each, rel=0.01)


def test_output_and_loss_make_the_supply() -> None:
    """A car that tells only what its charger gives and loses has told its supply."""
    ledger = ledger_of(recording({**without("ChargeCurrent"), CHARGING + "PowerLoss": 480.0}))
    line = line_of(ledger, "supply")
    assert (line.kWh, line.origin) == (pytest.approx(6.0), "derived")
    assert line_of(ledger, "unaccounted").kWh == pytest.approx(0.0, abs=1e-9)


def test_output_alone_makes_an_assumed_supply() -> None:
    """With the output alone the supply rests on a usual efficiency, and says so."""
    ledger = ledger_of(recording(without("ChargeCurrent")))
    assert line_of(ledger, "supply").kWh == pytest.approx(6.0)
    assert line_of(ledger, "supply").origin == "assumed"
    assert line_of(ledger, "unaccounted").kWh == pytest.approx(0.0, abs=1e-9)


def test_a_meter_count_stands_in() -> None:
    """A meter that rose by 6 kWh is the supply where no current is recorded."""
    values = without("ChargeCurrent", "OutputPower")
    values[CHARGING + "SupplyEnergy"] = lambda t: np.round(812.0 + 6.0 * t / t[-1], 1)
    line = line_of(ledger_of(recording(values)), "supply")
    assert line.kWh == pytest.approx(6.0)
    assert line.plus_minus_kWh == pytest.approx(np.hypot(0.12, 0.041), rel=0.05)


def test_no_supply_at_all_is_unknown() -> None:
    """Nothing of the supply recorded: the line is unknown and says what it needs."""
    line = line_of(ledger_of(recording(without("Charg"))), "supply")
    assert (line.kWh, line.origin) == (None, "unknown")
    assert "ChargeCurrent" in line.note


def test_a_silent_charger_gives_nothing_while_the_car_moves() -> None:
    """Half an hour at the wall, then a drive with the charger asleep: only the half counts."""
    made = recording({**BALANCED, "Speed": lambda t: np.where(t > 1800.0, 60.0, 0.0)})
    short = {
        path: type(channel)(
            **{
                **{name: getattr(channel, name) for name in channel.__slots__},
                "t": channel.t[channel.t < 1790.0],
                "values": channel.values[channel.t < 1790.0],
            }
        )
        for path, channel in made.channels.items()
        if path in (AMPS, VOLTS, CHARGING + "OutputPower")
    }
    torn = type(made)("torn", made.vehicle, 0.0, 3600.0, {**made.channels, **short})
    assert line_of(ledger_of(torn), "supply").kWh == pytest.approx(3.0, abs=0.03)
