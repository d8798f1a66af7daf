"""Accounts that do not close, as findings."""

from thawline.findings.find import _accounts
from thawline.ledger.ledger import Ledger, Line


def kinds(stored: str, left_kWh: float, stored_kWh: float = 0.4) -> list[str]:
    """Kinds told of a heat account that leaves so much over, at 0.17 kWh of uncertainty."""
    heat = (
        Line("stored-in-pack", stored_kWh, 0.14, stored),
        Line("unaccounted", left_kWh, 0.17, "derived"),
    )
    return [one.kind for one in _accounts(Ledger((), heat, None, 1800.0))]


def test_a_heavier_pack_than_is_usual_closes_the_account_first():
    """Where the heat capacity is a usual one, twice of it is no fault of the car."""
    assert kinds("assumed", 0.36) == []
    assert kinds("assumed", 0.80) == ["heat-account-open"]


def test_a_lighter_pack_may_hold_half():
    """Too much in the account: half the usual capacity, and no less, is believed."""
    assert kinds("assumed", -0.45) == []
    assert kinds("assumed", -0.60) == ["heat-account-open"]


def test_a_heat_capacity_that_is_stated_leaves_nothing_to_guess():
    """The account of a known pack is told as open beyond its own bound."""
    assert kinds("derived", 0.36) == ["heat-account-open"]
    assert kinds("derived", 0.30) == []
