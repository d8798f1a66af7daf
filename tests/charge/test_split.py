"""The display's gain split into charge added and charge warmed back."""

from __future__ import annotations

import numpy as np
import pytest

from tests.ledger.made import BATTERY, CHARGING, Values, recording
from thawline.charge.charge import Charge
from thawline.charge.split import split
from thawline.recording.flows import make_flows
from thawline.vehicle.vehicle import Pack, Vehicle

SHOWN = BATTERY + "StateOfCharge.Displayed"
PHYSICAL = BATTERY + "StateOfCharge.Current"
GANNET = Vehicle("Gannet", Pack(72.0, 108, chemistry="LFP"))
#: 72 kWh over 108 cells of 3.2 V.
CAPACITY_AH = 72e3 / (108 * 3.2)


def rising(begin: float, end: float) -> Values:
    return lambda t: np.round(begin + (end - begin) * t / t[-1])


def charge_of(values: dict[str, Values], vehicle: Vehicle = GANNET) -> Charge:
    made = recording(values, vehicle=vehicle)
    return split(made, make_flows(made))


def test_warmed_back_alone() -> None:
    """A display that gains four points without any current gained them by warming."""
    found = charge_of(
        {SHOWN: rising(61, 65), BATTERY + "CurrentCurrent": 0.0, BATTERY + "CurrentVoltage": 350.0}
    )
    assert found.shown.pct == pytest.approx(4.0)
    assert found.charged.pct == pytest.approx(0.0, abs=1e-9)
    assert found.warmed_back.pct == pytest.approx(4.0)
    assert found.sentence == (
        "The display rose by 4 points; nothing was charged; "
        "4 points came back by warming alone (± 0.4: cannot be told to 0.3)."
    )


def test_coulomb_count_in_closed_form() -> None:
    """A constant current of 0.625 A for one hour is 0.3 points of 208 Ah."""
    found = charge_of(
        {
            SHOWN: rising(61, 65),
            BATTERY + "CurrentCurrent": CAPACITY_AH * 0.003,
            BATTERY + "CurrentVoltage": 350.0,
        }
    )
    assert found.charged.pct == pytest.approx(0.3, rel=1e-6)
    assert found.warmed_back.pct == pytest.approx(3.7, rel=1e-6)
    assert found.sentence == (
        "The display rose by 4 points; 0.3 points were charged; "
        "3.7 points came back by warming alone (± 0.4: cannot be told to 0.3)."
    )


def test_the_parts_add_up_and_rounding_bounds_them() -> None:
    """Shown is charged plus warmed back; a display of whole points errs by 0.41 points."""
    found = charge_of({SHOWN: rising(40, 43), PHYSICAL: lambda t: 50.0 + 1e-3 * t / t[-1]})
    assert found.shown.pct is not None
    assert found.charged.pct is not None
    assert found.warmed_back.pct == pytest.approx(found.shown.pct - found.charged.pct)
    assert found.shown.plus_minus_pct == pytest.approx(1.0 / np.sqrt(6.0), rel=0.2)
    assert found.warmed_back.plus_minus_pct >= found.shown.plus_minus_pct


def test_count_and_estimator_are_reconciled() -> None:
    """Where both tell, the result lies between them and is surer than either."""
    current = {BATTERY + "CurrentCurrent": CAPACITY_AH * 0.2, BATTERY + "CurrentVoltage": 350.0}
    alone = charge_of({SHOWN: rising(40, 60), **current}).charged
    both = charge_of(
        {SHOWN: rising(40, 60), **current, PHYSICAL: lambda t: 42.0 + 20.4 * t / t[-1]}
    ).charged
    assert both.pct is not None
    assert 20.0 < both.pct < 20.4
    assert both.plus_minus_pct is not None
    assert alone.plus_minus_pct is not None
    assert both.plus_minus_pct < alone.plus_minus_pct


def test_disagreement_widens() -> None:
    """Count and estimator that contradict each other are said to, and the result is wider."""
    current = {BATTERY + "CurrentCurrent": CAPACITY_AH * 0.2, BATTERY + "CurrentVoltage": 350.0}
    found = charge_of({**current, PHYSICAL: lambda t: 42.0 + 5.0 * t / t[-1]}).charged
    assert found.plus_minus_pct is not None
    assert found.plus_minus_pct > 1.5
    assert "disagree" in found.note


@pytest.mark.parametrize(
    ("to", "amps", "expected"),
    [
        (58, -CAPACITY_AH * 0.051, "The display fell by 3 points; 5.1 points were drawn from the"),
        (60, -CAPACITY_AH * 0.01, "The display fell by 1 point; 1 point was drawn from the pack;"),
        (57, 0.0, "4 points went into hiding by cooling alone (± "),
        (61, 0.0, "The display did not move; nothing was charged; nothing came back by warming."),
    ],
)
def test_words_of_losses(to: float, amps: float, expected: str) -> None:
    """Discharge and cooling are worded as what they are."""
    found = charge_of(
        {SHOWN: rising(61, to), BATTERY + "CurrentCurrent": amps, BATTERY + "CurrentVoltage": 340.0}
    )
    assert expected in found.sentence


def test_too_small_to_tell() -> None:
    """A difference within its uncertainty is not called warming."""
    found = charge_of(
        {
            SHOWN: rising(61, 62),
            BATTERY + "CurrentCurrent": CAPACITY_AH * 0.008,
            BATTERY + "CurrentVoltage": 350.0,
        }
    )
    assert "too small to tell (+0.2 ± 0.4 points)" in found.sentence


def test_without_a_display() -> None:
    """What went in is told even where the display is not recorded."""
    found = charge_of({BATTERY + "CurrentCurrent": 10.0, BATTERY + "CurrentVoltage": 350.0})
    assert found.shown.pct is None
    assert found.warmed_back.pct is None
    assert "not recorded" in found.warmed_back.note
    assert found.sentence == ("What the display showed is not recorded; 4.8 points were charged.")


def test_without_current() -> None:
    """Without current, power or physical charge the split cannot be told, and says so."""
    found = charge_of({SHOWN: rising(61, 65)})
    assert found.charged.pct is None
    assert found.shown.pct == pytest.approx(4.0)
    assert found.sentence == (
        "The display rose by 4 points; how much of it was charged cannot be told."
    )


def test_with_nothing() -> None:
    """A recording of neither says so in one sentence."""
    found = charge_of({CHARGING + "ChargeCurrent.Phase1": 10.0})
    assert found.sentence == "Neither the displayed charge nor the pack's current is recorded."


def test_power_stands_in_for_current() -> None:
    """2.16 kW for an hour are three points of 72 kWh."""
    found = charge_of({BATTERY + "CurrentPower": 2160.0})
    assert found.charged.pct == pytest.approx(3.0, rel=1e-6)


def test_driving_is_said_to_be_included() -> None:
    """Where the car drove, the note says for how long."""
    found = charge_of({SHOWN: rising(61, 55), "Speed": lambda t: np.where(t < 600, 50.0, 0.0)})
    assert "10 min of driving included" in found.shown.note


def test_a_gap_widens_the_count() -> None:
    """A coulomb count across a hole is less certain."""
    from thawline.recording.recording import Gap

    values: dict[str, Values] = {
        BATTERY + "CurrentCurrent": lambda t: np.where(t < 1500, 10.0, 2.0),
        BATTERY + "CurrentVoltage": 350.0,
    }
    whole = recording(values, vehicle=GANNET)
    broken = recording(values, vehicle=GANNET, gaps=(Gap(1200.0, 1800.0),))
    sure = split(whole, make_flows(whole)).charged.plus_minus_pct
    unsure = split(broken, make_flows(broken)).charged.plus_minus_pct
    assert sure is not None
    assert unsure is not None
    assert unsure > 1.2 * sure


def test_a_clock_that_jumped_ahead_charges_nothing() -> None:
    """20.8 A through 45 minutes are 7.5 points; a hole in which the charge stood adds none."""
    from thawline.recording.recording import Gap

    gap = Gap(1200.0, 2100.0)

    def physical(t: np.ndarray) -> np.ndarray:
        passed = t - np.clip(t - gap.from_s, 0.0, gap.to_s - gap.from_s)
        return 40.0 + 10.0 * passed / 3600.0

    values: dict[str, Values] = {
        BATTERY + "CurrentCurrent": CAPACITY_AH * 0.1,
        BATTERY + "CurrentVoltage": 350.0,
        PHYSICAL: physical,
    }
    made = recording(values, vehicle=GANNET, gaps=(gap,))
    found = split(made, make_flows(made)).charged
    assert found.pct == pytest.approx(7.5, abs=0.05)
