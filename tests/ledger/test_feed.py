"""Who fed whom."""

from __future__ import annotations

import numpy as np
import pytest

from tests.ledger.made import BALANCED, BATTERY, CHARGING, MOTOR, Values, ledger_of, recording
from thawline.ledger.feed import spans_of, with_hysteresis
from thawline.ledger.ledger import Feed


def feed_of(values: dict[str, Values], **more) -> Feed:
    found = ledger_of(recording(values, **more)).feed
    assert found is not None
    return found


def test_a_supply_that_covers_everything_feeds_everything() -> None:
    """5.52 kW carry 3 + 1 + 0.4 kW of loads and 1.12 kW into the pack; the pack gives none."""
    found = feed_of(BALANCED)
    means = {name: float(np.mean(kW)) for name, kW in found.supply_to.items()}
    assert means == pytest.approx(
        {"heat": 3.0, "cabin": 1.0, "other": 0.4, "pack": 1.12, "loss": 0.48}
    )
    assert all(float(np.max(kW)) < 1e-9 for kW in found.pack_to.values())
    assert found.helping == ()


def test_a_short_supply_is_shared_in_proportion() -> None:
    """2.2 kW of supply and 2.2 kW of pack share every load of 4.4 kW half and half."""
    found = feed_of(
        {
            **BALANCED,
            CHARGING + "OutputPower": 2.2,
            BATTERY + "CurrentCurrent": -2200.0 / 350.0,
        }
    )
    for name, load in (("heat", 3.0), ("cabin", 1.0), ("other", 0.4)):
        assert np.mean(found.supply_to[name]) == pytest.approx(load / 2.0)
        assert np.mean(found.pack_to[name]) == pytest.approx(load / 2.0)
    assert np.max(found.supply_to["pack"]) == 0.0
    assert found.helping == ((0.0, 3600.0),)


def test_on_battery_the_pack_feeds_everything_but_does_not_help() -> None:
    """Without a supply the pack carries all loads; help is only where a supply is there."""
    values = {path: value for path, value in BALANCED.items() if "Charging" not in path}
    found = feed_of({**values, BATTERY + "CurrentCurrent": -4400.0 / 350.0})
    assert np.mean(found.pack_to["heat"]) == pytest.approx(3.0)
    assert np.max(found.supply_to["heat"]) == 0.0
    assert found.helping == ()


def test_the_pack_helps_while_the_supply_ramps() -> None:
    """A supply that takes two minutes to come up leaves the heaters to the pack till then."""

    def ramp(t: np.ndarray) -> np.ndarray:
        return np.clip((t - 600.0) / 120.0, 0.0, 1.0)

    heat = 3.0
    values: dict[str, Values] = {
        CHARGING + "ChargeCurrent.Phase1": lambda t: 16.0 * ramp(t),
        CHARGING + "ChargeVoltage.Phase1": 240.0,
        CHARGING + "OutputPower": lambda t: 3.5 * ramp(t),
        MOTOR + "Rear.StandstillHeat": lambda t: np.where(t > 600.0, heat, 0.0),
        "Cabin.HVAC.Heater.Air.Power": 0.0,
        BATTERY + "DCDC.InputPower": 0.0,
        BATTERY + "CurrentCurrent": lambda t: (
            (3.5 * ramp(t) - np.where(t > 600.0, heat, 0.0)) * 1e3 / 350.0
        ),
        BATTERY + "CurrentVoltage": 350.0,
    }
    found = feed_of(values)
    assert len(found.helping) == 1
    begin, end = found.helping[0]
    assert begin == pytest.approx(604.0, abs=3.0)  # the supply counts from 0.1 kW
    assert end == pytest.approx(600.0 + 120.0 * (heat - 0.1) / 3.5, abs=3.0)


def test_noise_makes_no_help() -> None:
    """A pack that idles under 1 A of noise does not help."""
    rng = np.random.default_rng(3)
    values = {**BALANCED, BATTERY + "CurrentCurrent": lambda t: rng.normal(0.0, 1.0, len(t))}
    assert feed_of(values).helping == ()


def test_a_hole_has_no_split() -> None:
    """Where nothing was recorded nobody fed anybody that we know of."""
    from thawline.recording.recording import Gap

    found = feed_of(BALANCED, gaps=(Gap(1000.0, 1600.0),))
    assert np.isnan(found.supply_to["heat"][1300])
    assert not np.isnan(found.supply_to["heat"][900])


def test_without_pack_power_there_is_no_feed() -> None:
    """The split needs the pack."""
    values = {p: v for p, v in BALANCED.items() if "Current" not in p or "Charge" in p}
    assert ledger_of(recording(values)).feed is None


def test_hysteresis() -> None:
    """On above the upper threshold, off below the lower one, as before in between."""
    on = with_hysteresis(np.array([0.2, 0.4, 0.2, 0.05, 0.2, 0.5, 0.15]), 0.3, 0.1)
    assert on.tolist() == [False, True, True, False, False, True, True]


def test_spans_leave_out_what_is_short() -> None:
    """Spans of less than 5 s go, pauses of less than 5 s close."""
    t = np.arange(0.5, 60.0)
    on = np.zeros(60, dtype=bool)
    on[10:20] = on[22:30] = on[40:43] = True
    assert spans_of(on, t, 1.0) == ((10.0, 30.0),)
