"""Chargers that lose too much."""

from tests.findings.made import CHARGING, kinds_of, looked, on

OUTPUT = CHARGING + "OutputPower"


def test_a_fifth_lost_is_too_much():
    """Usual chargers lose 5 to 10 % at this power (common practice, no source)."""
    found = looked({OUTPUT: lambda t: 4.4 * on(t, 120.0)})
    one = next(f for f in found.found if f.kind == "lossy-charger")
    assert one.evidence[0].value > 0.19


def test_a_loss_that_rises_within_the_morning_is_told():
    """Sensors' errors cancel within a morning: six per cent more are enough."""
    found = looked({OUTPUT: lambda t: (5.2 - 0.34 * on(t, 2000.0)) * on(t, 120.0)})
    one = next(f for f in found.found if f.kind == "lossy-charger")
    assert abs(one.from_s - 2000.0) < 60.0


def test_a_usual_loss_is_not():
    """Seven per cent."""
    assert "lossy-charger" not in kinds_of(looked())
