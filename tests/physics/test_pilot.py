"""The control pilot against the published table (IEC 61851-1 Annex A; SAE J1772; quoted)."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thawline.physics.pilot import branch_circuit_A, duty_cycle_pct, offered_current_A


@pytest.mark.parametrize(
    ("duty", "amps"),
    [
        (8, 6.0),
        (10, 6.0),
        (16, 9.6),
        (20, 12.0),
        (50, 30.0),
        (80, 48.0),
        (85, 51.0),
        (86, 55.0),
        (89, 62.5),
        (90, 65.0),
        (96, 80.0),
        (97, 80.0),
        (0, 0.0),
        (2.9, 0.0),
        (100, 0.0),
    ],
)
def test_offers(duty: float, amps: float) -> None:
    """Each published pair comes out; 85 % belongs to the lower slope."""
    assert offered_current_A(duty) == pytest.approx(amps)


def test_digital_communication_is_not_a_number() -> None:
    """From 3 to 7 % the pilot says that the offer is made otherwise."""
    assert np.isnan(offered_current_A([3.0, 5.0, 7.0])).all()
    assert np.isnan(offered_current_A(np.nan))


@pytest.mark.parametrize(
    ("amps", "duty"), [(16, 26.67), (24, 40.0), (32, 53.33), (60, 88.0), (6, 10.0), (80, 96.0)]
)
def test_inverse(amps: float, duty: float) -> None:
    """The duty cycle of a current is the published one (computed)."""
    assert duty_cycle_pct(amps) == pytest.approx(duty, abs=0.005)


def test_no_duty_cycle_outside_the_range() -> None:
    """Below 6 A and above 80 A nothing can be offered."""
    assert np.isnan(duty_cycle_pct([5.9, 80.1])).all()


@settings(max_examples=50)
@given(st.floats(6.0, 80.0))
def test_the_offer_never_exceeds_what_was_asked(amps: float) -> None:
    """There and back gives the same current, or less where the table has its jump."""
    back = float(offered_current_A(duty_cycle_pct(amps)))
    assert back <= amps + 1e-9
    assert back == pytest.approx(amps) or 51.0 <= amps <= 52.5


@pytest.mark.parametrize(("amps", "rating"), [(12, 15), (16, 20), (24, 30), (32, 40), (48, 60)])
def test_branch_circuit(amps: float, rating: float) -> None:
    """A continuous load needs a circuit of 125 % (NFPA 70 article 625; quoted)."""
    assert branch_circuit_A(amps) == pytest.approx(rating)
