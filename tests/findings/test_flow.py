"""Weak coolant flow."""

from tests.findings.made import FLOW, INLET, LITRES, inlet, kinds_of, looked, noisy, on, outlet


def falls(share: float, at_s: float):
    """A flow that falls to a share."""
    return noisy(lambda t: LITRES * on(t) * (1.0 - (1.0 - share) * on(t, at_s)), 0.05, 0.1, 1)


def weak(share: float, at_s: float):
    """The coolant parts by more as it flows less, for it brings the same heat."""
    parts = noisy(
        lambda t: outlet(t)
        + (inlet(t) - outlet(t)) * (1.0 + (1.0 / share - 1.0) * on(t, at_s)),
        0.1, 0.1, 2,
    )  # fmt: skip
    return {FLOW: falls(share, at_s), INLET: parts}


def test_a_flow_that_halves_while_heat_goes_on_is_weak():
    """The pump must not slow down while the pack is heated."""
    found = looked(weak(0.5, 2000.0))
    assert "weak-coolant-flow" in kinds_of(found)
    one = next(f for f in found.found if f.kind == "weak-coolant-flow")
    assert abs(one.from_s - 2000.0) < 90.0


def test_a_flow_that_was_always_half_shows_against_earlier_mornings():
    """From the beginning only the past can tell."""
    before = [looked().figures, looked().figures]
    assert "weak-coolant-flow" not in kinds_of(looked(weak(0.5, 0.0)))
    assert "weak-coolant-flow" in kinds_of(looked(weak(0.5, 0.0), before))


def test_a_tenth_less_is_nothing():
    """A tenth lies within what a flow meter and cold coolant do."""
    assert "weak-coolant-flow" not in kinds_of(looked(weak(0.9, 2000.0)))


def test_a_meter_that_halves_while_the_heat_arrives_as_before_is_off():
    """The coolant parts by no more than before: it flows as it did, the meter errs."""
    found = looked({FLOW: falls(0.5, 2000.0)})
    assert kinds_of(found) == ["coolant-sensor"]
    assert "flow meter" in next(f for f in found.found if f.kind == "coolant-sensor").because


def test_heat_without_any_flow_needs_no_past():
    """A pump that never ran: the pack stays cold although drive units make heat."""
    still = {FLOW: 0.0, "Powertrain.TractionBattery.Temperature.Average": -10.0}
    assert "weak-coolant-flow" in kinds_of(looked(still))


def test_a_heater_in_the_pack_itself_needs_no_coolant():
    """The pack warms, nothing ever flows, and nothing is wrong."""
    assert kinds_of(looked({FLOW: 0.0})) == []
