"""What the accounts rest on."""

from __future__ import annotations

import numpy as np
import pytest

from tests.ledger.made import BALANCED, BATTERY, CHARGING, MOTOR, basis_made, recording
from thawline.ledger.basis import basis_of, conditioning, is_plugged_in
from thawline.recording.flows import make_flows
from thawline.story.story import Span, Story


def test_when_something_is_on() -> None:
    """A heater of 1 kW is on; one that was never recorded is not."""
    basis = basis_made(recording(BALANCED))
    assert basis.on("cabin-heating").all()
    assert not basis.on("pack-heater").any()
    assert basis.hours == pytest.approx(1.0)


def test_the_story_knows_the_drive_where_no_speed_is_recorded() -> None:
    """Without a speed, spans of the driving lane say when the car moved."""
    made = recording(BALANCED)
    story = Story("made", (), (Span("driving", 1000.0, 2000.0, None, "it moved"),))
    basis = basis_of(made, make_flows(made), story)
    assert int(basis.moves.sum()) == 1000


def test_power_at_the_shaft_is_a_drive_where_no_speed_is_recorded() -> None:
    """Without a speed, mechanical power of the drive units says when the car moved."""
    made = recording({**BALANCED, MOTOR + "Power": lambda t: np.where(t < 600.0, 8.0, 0.0)})
    assert int(basis_made(made).moves.sum()) == pytest.approx(600, abs=1)


def test_a_state_holds_its_last_value() -> None:
    """A state that was sent is held, and the first one counts from the beginning."""
    path = CHARGING + "ChargingPort.Left.IsChargingCableConnected"
    made = recording({path: lambda t: (t > 1800.0).astype(float), **BALANCED})
    basis = basis_made(made)
    plugged = is_plugged_in(basis)
    assert plugged is not None
    assert int(plugged.sum()) == pytest.approx(1800, abs=2)
    assert is_plugged_in(basis_made(recording(BALANCED))) is None


def test_ongoing_conditioning_is_asked_before_active() -> None:
    """Of the two states the one that speaks of now decides."""
    head = BATTERY + "BatteryConditioning."
    basis = basis_made(recording({head + "IsActive": 1.0, head + "IsOngoing": 0.0}))
    says = conditioning(basis)
    assert says is not None
    assert not np.any(says)
    assert conditioning(basis_made(recording(BALANCED))) is None
