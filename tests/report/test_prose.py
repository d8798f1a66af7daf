"""The sentences of the other rooms."""

from tests.report import morning
from thawline.report.prose import cautions, prose_of


def test_all_rooms_speak():
    """Story, ledger, charge and why-not each have something to say."""
    found = prose_of(morning.explained())
    assert found.headline
    assert found.ledger
    assert found.charge == morning.explained().charge.sentence
    assert found.why_not


def test_the_usual_cautions_are_there():
    """What the trade always warns of (ISO 6469, IEC 62133-2, NFPA 70, NHTSA 2013)."""
    said = " ".join(cautions())
    for word in ("60 V", "Listen only", "Never bypass", "extension cords", "driver", "fire service",
                 "local codes and licensed practice"):  # fmt: skip
        assert word in said
