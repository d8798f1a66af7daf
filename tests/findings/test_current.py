"""The current sensor's zero."""

from tests.findings.made import CHARGING, CURRENT, current, looked, noisy, on


def test_an_offset_of_four_amperes_is_told():
    """All other powers say what the current should be."""
    found = looked({CURRENT: noisy(lambda t: current(t) + 4.0, 0.05, 0.1, 1)})
    one = next(f for f in found.found if f.kind == "current-sensor")
    assert abs(one.evidence[0].value - 4.0) < 0.5


def test_a_jump_is_told_with_its_time():
    """Its zero moves at 2500 s."""
    found = looked({CURRENT: noisy(lambda t: current(t) - 3.0 * on(t, 2500.0), 0.05, 0.1, 1)})
    one = next(f for f in found.found if f.kind == "current-sensor")
    assert abs(one.from_s - 2500.0) < 60.0


PHASE = CHARGING + "ChargeCurrent.Phase1"


def test_without_the_chargers_output_only_time_without_a_supply_tells():
    """Two minutes before the plug are enough; with a supply from the first second none are."""
    off = {CHARGING + "OutputPower": None, CURRENT: lambda t: current(t) + 4.0}
    assert "current-sensor" in {one.kind for one in looked(off).found}
    found = looked({**off, PHASE: lambda t: 24.0 + 0.0 * t})
    assert "current-sensor" in {one.kind for one in found.unchecked}
    assert "current-sensor" not in {one.kind for one in found.found}
