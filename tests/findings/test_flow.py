"""Weak coolant flow."""

from tests.findings.made import FLOW, LITRES, kinds_of, looked, noisy, on


def falls(share: float, at_s: float):
    """A flow that falls to a share."""
    return noisy(lambda t: LITRES * on(t) * (1.0 - (1.0 - share) * on(t, at_s)), 0.05, 0.1, 1)


def test_a_flow_that_halves_while_heat_goes_on_is_weak():
    """The pump must not slow down while the pack is heated."""
    found = looked({FLOW: falls(0.5, 2000.0)})
    assert "weak-coolant-flow" in kinds_of(found)
    one = next(f for f in found.found if f.kind == "weak-coolant-flow")
    assert abs(one.from_s - 2000.0) < 90.0


def test_a_flow_that_was_always_half_shows_against_earlier_mornings():
    """From the beginning only the past can tell."""
    before = [looked().figures, looked().figures]
    assert "weak-coolant-flow" not in kinds_of(looked({FLOW: falls(0.5, 0.0)}))
    assert "weak-coolant-flow" in kinds_of(looked({FLOW: falls(0.5, 0.0)}, before))


def test_a_tenth_less_is_nothing():
    """A tenth lies within what a flow meter and cold coolant do."""
    assert "weak-coolant-flow" not in kinds_of(looked({FLOW: falls(0.9, 2000.0)}))
