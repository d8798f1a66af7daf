"""Accounts that do not close."""

from __future__ import annotations

import pytest

from tests.ledger.made import BALANCED, BATTERY, ledger_of, recording
from thawline.ledger.closing import bound_kWh, unclosed
from thawline.ledger.ledger import Ledger, Line
from thawline.quantities import Accuracy

WELL = {path: Accuracy(0.0, 0.01) for path in BALANCED}


def ledger(kWh: float | None, sigma: float | None) -> Ledger:
    return Ledger((Line("unaccounted", kWh, sigma, "derived"),), (), None, 0.0)


def test_a_balanced_account_is_closed() -> None:
    """Nothing left over, no finding."""
    assert unclosed(ledger_of(recording(BALANCED, accuracies=WELL))) == []


def test_a_hidden_consumer_is_found() -> None:
    """1 kW that nobody records opens the electrical account, with the numbers."""
    values = {**BALANCED, BATTERY + "CurrentCurrent": 3.2 - 1000.0 / 350.0}
    found = unclosed(ledger_of(recording(values, accuracies=WELL)))
    assert [finding.kind for finding in found] == ["electrical-account-open"]
    assert found[0].confidence > 0.99
    assert "1.00 ± 0.06 kWh are missing from the electrical account" in found[0].because
    evidence = found[0].evidence[0]
    assert evidence.value == pytest.approx(1.0)
    assert evidence.threshold == pytest.approx(bound_kWh(Line("u", 1.0, 0.0638, "")), rel=0.05)


@pytest.mark.parametrize(
    ("kWh", "sigma", "count"),
    [(0.19, 0.1, 0), (0.20, 0.1, 1), (-0.20, 0.1, 1), (0.01, 0.0, 0), (None, None, 0)],
)
def test_the_bound_is_two_standard_uncertainties(kWh, sigma, count) -> None:
    """1.96 sigma is 95 % of a normal distribution; less than 0.02 kWh is never a finding."""
    assert len(unclosed(ledger(kWh, sigma))) == count


def test_confidence_is_that_of_the_normal_distribution() -> None:
    """Three sigma are 99.73 %."""
    assert unclosed(ledger(0.3, 0.1))[0].confidence == pytest.approx(0.9973, abs=1e-4)
