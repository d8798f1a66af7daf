"""The display read between its steps."""

from __future__ import annotations

import numpy as np
import pytest

from tests.charge.test_split import GANNET
from tests.ledger.made import BATTERY, recording
from thawline.charge.split import split
from thawline.recording.flows import make_flows
from thawline.recording.recording import Gap


def warming_morning(step: float, per_K: float = 0.3, until: float = 6.0, gaps=()):
    """A pack that warms from −12 to +13 °C at rest, with a display that hides by a known line."""

    def degC(t):
        return -12.0 + 25.0 * t / 3600.0

    def shown(t):
        hidden = per_K * np.maximum(0.0, until - degC(t))
        return np.round((60.0 - hidden) / step) * step

    made = recording(
        {
            BATTERY + "StateOfCharge.Displayed": shown,
            BATTERY + "StateOfCharge.Current": lambda t: 60.0 + 1e-4 * (t % 2.0),
            BATTERY + "CurrentCurrent": 0.0,
            BATTERY + "CurrentVoltage": 350.0,
            BATTERY + "Temperature.Average": degC,
        },
        vehicle=GANNET,
        gaps=gaps,
    )
    return split(made, make_flows(made))


@pytest.mark.parametrize("step", [0.5, 1.0])
@pytest.mark.parametrize("per_K", [0.14, 0.3])
def test_between_the_steps(step, per_K):
    """Warmed back is what the line of hidden charge gives: per_K × 18 K, not whole steps."""
    found = warming_morning(step, per_K)
    assert found.warmed_back.pct == pytest.approx(per_K * 18.0, abs=0.3)
    assert abs(found.warmed_back.pct - per_K * 18.0) < 2.0 * found.warmed_back.plus_minus_pct


def test_a_finer_display_is_surer():
    """Half the step leaves less doubt."""
    coarse, fine = warming_morning(1.0), warming_morning(0.5)
    assert fine.shown.plus_minus_pct < coarse.shown.plus_minus_pct


def test_the_gain_agrees_with_the_readings():
    """What is shown stays within half a step of the readings at either end."""
    found = warming_morning(1.0)
    # displayed 60 - 0.3 * 18 = 54.6 at first, which shows as 55, and 60 at last
    assert abs(found.shown.pct - 5.0) <= 1.0
    assert found.shown.pct == pytest.approx(found.charged.pct + found.warmed_back.pct)


def test_steps_across_a_gap_tell_no_moment():
    """Readings on both sides of a hole are no moment at which the display changed."""
    found = warming_morning(0.5, gaps=(Gap(1000.0, 2000.0),))
    assert abs(found.warmed_back.pct - 5.4) < 2.0 * found.warmed_back.plus_minus_pct + 0.01
