"""The electrical account in closed form."""

from __future__ import annotations

import numpy as np
import pytest

from tests.ledger.made import BALANCED, BATTERY, CHARGING, MOTOR, ledger_of, line_of, recording
from thawline.ledger.ledger import ELECTRICAL
from thawline.quantities import Accuracy
from thawline.recording.recording import Gap

EXACT = {
    "supply": 6.0,
    "charger-loss": 0.48,
    "drive-unit-heating": 3.0,
    "cabin-heating": 1.0,
    "other-loads": 0.4,
    "pack-in": 1.12,
    "pack-out": 0.0,
    "unaccounted": 0.0,
}
WELL = {path: Accuracy(0.0, 0.01) for path in BALANCED}


def identity(ledger) -> float:
    kWh = {line.line: line.kWh for line in ledger.electrical}
    takes = set(kWh) - {"supply", "pack-out"}
    return kWh["supply"] + kWh["pack-out"] - sum(kWh[name] for name in takes)


def test_constant_powers_are_exact() -> None:
    """Powers that balance give exact energies, and nothing is unaccounted."""
    ledger = ledger_of(recording(BALANCED))
    assert tuple(line.line for line in ledger.electrical) == ELECTRICAL
    for line in ledger.electrical:
        assert line.kWh == pytest.approx(EXACT[line.line], abs=1e-9), line


def test_the_identity_holds_by_construction() -> None:
    """Supply and pack-out are the sum of the others, unaccounted among them."""
    values = {**BALANCED, BATTERY + "CurrentCurrent": lambda t: 5.0 * np.sin(t / 200.0)}
    ledger = ledger_of(recording(values))
    assert identity(ledger) == pytest.approx(0.0, abs=1e-9)
    assert line_of(ledger, "pack-in").kWh > 0.5
    assert line_of(ledger, "pack-out").kWh > 0.5


def test_what_is_not_recorded_stays_unaccounted() -> None:
    """A consumer of 1 kW that nobody measures is not spread over the other lines."""
    values = {**BALANCED, BATTERY + "CurrentCurrent": 3.2 - 1000.0 / 350.0}
    ledger = ledger_of(recording(values))
    assert line_of(ledger, "unaccounted").kWh == pytest.approx(1.0, abs=1e-9)
    assert line_of(ledger, "cabin-heating").kWh == pytest.approx(1.0, abs=1e-9)


def test_a_well_measured_car_has_uncertainties_of_a_few_per_cent() -> None:
    """Sensors of 1 % give every large line about that."""
    ledger = ledger_of(recording(BALANCED, accuracies=WELL))
    for name in ("supply", "drive-unit-heating", "cabin-heating", "pack-in"):
        line = line_of(ledger, name)
        assert line.plus_minus_kWh < 0.02 * line.kWh, line


def test_one_voltage_sensor_serves_both_sides_of_the_pack() -> None:
    """As much in as out: what is left over does not feel the voltage sensor's gain at all."""
    volts = BATTERY + "CurrentVoltage"
    values = {
        CHARGING + "ChargeCurrent.Phase1": 0.0,
        CHARGING + "ChargeVoltage.Phase1": 240.0,
        BATTERY + "CurrentCurrent": lambda t: np.where(t < 1800.0, 20.0, -20.0),
        volts: 350.0,
        MOTOR + "Rear.StandstillHeat": 0.0,
        "Cabin.HVAC.Heater.Air.Power": 0.0,
        BATTERY + "DCDC.InputPower": 0.0,
    }
    exact = {path: Accuracy(1e-12, 0.0) for path in values}
    small = ledger_of(recording(values, accuracies=exact))
    wide = ledger_of(recording(values, accuracies={**exact, volts: Accuracy(0.0, 0.10)}))
    assert line_of(wide, "pack-in").plus_minus_kWh > 0.3
    assert line_of(wide, "unaccounted").plus_minus_kWh == pytest.approx(
        line_of(small, "unaccounted").plus_minus_kWh, abs=5e-3
    )


def test_the_supply_meter_cancels_where_the_loss_comes_from_it() -> None:
    """Loss is supply less output: what is left over feels the output's error only."""
    accuracies = {
        **{path: Accuracy(1e-9, 0.0) for path in BALANCED},
        CHARGING + "ChargeCurrent.Phase1": Accuracy(0.0, 0.05),
    }
    ledger = ledger_of(recording(BALANCED, accuracies=accuracies))
    assert line_of(ledger, "supply").plus_minus_kWh == pytest.approx(0.3, rel=0.01)
    assert line_of(ledger, "charger-loss").plus_minus_kWh == pytest.approx(0.3, rel=0.01)
    assert line_of(ledger, "unaccounted").plus_minus_kWh < 0.01


@pytest.mark.parametrize("lost", ["ChargeCurrent.Phase1", "CurrentCurrent"])
def test_without_supply_or_pack_nothing_is_balanced(lost: str) -> None:
    """The left-over is not told where a side of the account is missing."""
    values = {path: value for path, value in BALANCED.items() if lost not in path}
    values.pop(CHARGING + "OutputPower")
    ledger = ledger_of(recording(values))
    assert line_of(ledger, "unaccounted").kWh is None
    assert "not known" in line_of(ledger, "unaccounted").note


def test_an_unknown_consumer_widens_what_is_left_over() -> None:
    """Without the cabin's heaters the left-over holds them, and its bound is wide."""
    values = {path: value for path, value in BALANCED.items() if "Cabin" not in path}
    ledger = ledger_of(recording(values))
    left = line_of(ledger, "unaccounted")
    assert line_of(ledger, "cabin-heating").kWh is None
    assert left.kWh == pytest.approx(1.0)
    assert left.plus_minus_kWh > 1.0
    assert "cabin-heating" in left.note


def test_a_hole_is_bridged_and_widens() -> None:
    """Constant powers keep their energies over a hole, less surely."""
    sure = ledger_of(recording(BALANCED, accuracies=WELL))
    torn = ledger_of(recording(BALANCED, accuracies=WELL, gaps=(Gap(600.0, 1800.0),)))
    for name in ("supply", "drive-unit-heating", "pack-in"):
        assert line_of(torn, name).kWh == pytest.approx(EXACT[name], rel=1e-6)
        assert line_of(torn, name).plus_minus_kWh > line_of(sure, name).plus_minus_kWh
        assert line_of(torn, name).bridged_kWh == pytest.approx(EXACT[name] / 3.0, rel=0.01)
    assert torn.covered_s == pytest.approx(2400.0)


def test_noise_does_not_inflate_both_sides_of_the_pack() -> None:
    """An idle pack under 1 A of noise takes in and gives nearly nothing."""
    rng = np.random.default_rng(8)
    values = {**BALANCED, BATTERY + "CurrentCurrent": lambda t: rng.normal(0.0, 1.0, len(t))}
    ledger = ledger_of(recording(values))
    assert line_of(ledger, "pack-in").kWh == pytest.approx(0.0, abs=0.02)
    assert line_of(ledger, "pack-out").kWh == pytest.approx(0.0, abs=0.02)


def test_a_hole_may_have_gone_either_way() -> None:
    """A pack that charged on both sides of a hole may have given in it, and is said to."""
    sure = ledger_of(recording(BALANCED, accuracies=WELL))
    torn = ledger_of(recording(BALANCED, accuracies=WELL, gaps=(Gap(600.0, 1800.0),)))
    assert line_of(sure, "pack-out").plus_minus_kWh < 1e-6
    assert line_of(torn, "pack-out").plus_minus_kWh > 0.02
    assert line_of(torn, "pack-out").kWh == pytest.approx(0.0, abs=1e-9)
