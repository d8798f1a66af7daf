import pytest

from thawline.suggest.settle import settle
from thawline.suggest.votes import Vote, gather_cases


def cases(*rows):
    return gather_cases([Vote(path, key, weight, "because") for path, key, weight in rows])


def test_a_case_without_rivals_has_the_chance_of_its_odds():
    """Log-odds of 2 are a chance of 0.881: exp(2) / (1 + exp(2))."""
    (found,) = settle(cases(("Speed", "a", 2.0)))
    assert found.chance == pytest.approx(0.8808, abs=1e-4)


def test_two_signals_that_fit_as_well_are_both_unsure():
    """Neither has more than half the chance."""
    found = settle(cases(("Speed", "a", 5.0), ("Speed", "b", 5.0)))
    assert len(found) == 1
    assert found[0].chance < 0.5


def test_one_signal_is_given_to_one_path_only():
    """The best assignment as a whole, not the best of each."""
    found = settle(
        cases(("Speed", "a", 6.0), ("Speed", "b", 5.0), ("Exterior.AirTemperature", "a", 5.5))
    )
    given = {one.case.path: one.case.key for one in found}
    assert given == {"Speed": "b", "Exterior.AirTemperature": "a"}


def test_what_speaks_against_outweighs():
    """A contradicting name takes a physical reason back; nothing is proposed."""
    votes = [Vote("Speed", "a", 4.0, "physics"), Vote("Speed", "a", -6.0, "name")]
    assert settle(gather_cases(votes)) == ()


def test_nothing_gives_nothing():
    """No votes, no proposals."""
    assert settle({}) == ()
