"""Findings as a whole: silent on a sound morning, complete where something is wrong."""

from tests.findings.made import BATTERY, FLOW, LOW, SOUND, kinds_of, looked
from thawline.findings.finding import Findings
from thawline.findings.kinds import kinds


def test_a_sound_morning_has_no_findings():
    """Nothing is found on a morning made by arithmetic, with and without earlier ones like it."""
    found = looked()
    assert kinds_of(found) == []
    assert kinds_of(looked(earlier=[found.figures, found.figures])) == []


def test_every_finding_says_what_to_do():
    """Kind, because, evidence with what was expected, next check, and caution are all there."""
    found = looked({LOW: 12.2})
    assert kinds_of(found) == ["low-voltage-trouble"]
    one = next(f for f in found.found if f.kind == "low-voltage-trouble")
    assert one.because.endswith(".") and one.next_check and one.caution
    assert one.evidence[0].value < one.evidence[0].threshold
    assert 0.5 < one.confidence < 1.0


def test_what_cannot_be_checked_is_said():
    """Without the flow, heat lost outside is not checked, and the flow's absence is named."""
    found = looked({FLOW: None})
    missing = {one.kind: one.because for one in found.unchecked}
    assert "no coolant flow" in missing["heat-lost-outside"]


def test_a_bare_recording_is_no_trouble():
    """With one channel nothing is found and all else is not checked."""
    bare = {path: None for path in SOUND if path != BATTERY + "CurrentVoltage"}
    found = looked(bare)
    assert isinstance(found, Findings)
    assert found.found == ()
    told = {one.kind for one in found.unchecked}
    assert {"heater-dead", "lossy-charger", "low-voltage-trouble", "coolant-sensor"} <= told
    assert told <= set(kinds())
