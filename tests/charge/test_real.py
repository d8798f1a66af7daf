"""Real charge of simulated mornings against the truth."""

from __future__ import annotations

import pytest

from tests.charge.proving import mornings
from tests.charge.test_split import GANNET, rising
from tests.ledger.made import BATTERY, recording
from thawline.charge.real import real_charge
from thawline.recording.flows import make_flows


@pytest.mark.parametrize("number", range(4))
def test_split_within_three_tenths_of_a_point(number):
    """Shown, charged and warmed back within 0.3 points, though the display steps by more."""
    morning, kept = mornings()[number]
    found = real_charge(kept, make_flows(kept))
    truth, split = morning.truth.charge, found.split
    assert split.warmed_back.pct == pytest.approx(truth["warmed-back"], abs=0.3)
    assert split.charged.pct == pytest.approx(truth["charged"], abs=0.3)
    assert split.shown.pct == pytest.approx(truth["shown"], abs=0.3)
    assert split.shown.pct == pytest.approx(split.charged.pct + split.warmed_back.pct)


def test_a_zero_error_is_found_against_the_physical_charge():
    """A sensor that shows 1 A of nothing is found out by a charge that stands still."""
    values = {
        BATTERY + "CurrentCurrent": 1.0,
        BATTERY + "CurrentVoltage": 350.0,
        BATTERY + "StateOfCharge.Current": lambda t: 50.0 + 1e-4 * (t % 2.0),
    }
    made = recording(values, vehicle=GANNET)
    found = real_charge(made, make_flows(made))
    assert found.zero_A > 0.1
    assert abs(found.split.charged.pct) < 0.4  # the count alone says 0.48


def test_without_a_display_the_charge_is_still_told():
    """What went in needs no display; what was shown and warmed back is not told."""
    made = recording(
        {BATTERY + "CurrentCurrent": 10.0, BATTERY + "CurrentVoltage": 350.0}, vehicle=GANNET
    )
    found = real_charge(made, make_flows(made))
    assert found.split.charged.pct == pytest.approx(4.8, rel=0.02)
    assert found.split.shown.pct is None and found.split.warmed_back.pct is None


def test_without_current_there_is_no_real_charge():
    """Nothing is counted where nothing was measured."""
    made = recording({BATTERY + "StateOfCharge.Displayed": rising(61, 65)}, vehicle=GANNET)
    assert real_charge(made, make_flows(made)) is None
