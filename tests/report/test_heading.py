"""The heading."""

from tests.report import morning
from thawline.report.heading import heading_of
from thawline.report.moments import moments_of


def heading(explained):
    return heading_of(explained.recording, moments_of(explained.recording, explained.story))


def test_which_car_when_how_long_how_cold():
    """All that a reader needs to place the recording."""
    found = heading(morning.explained())
    assert found.title == "Gannet, 14 January 2031"
    assert found.facts == (
        "06:40:00 to 07:40:00 UTC",
        "1 h 00 min",
        "outside −17.5 °C",
        "coldest cell −12.5 to 6.0 °C",
    )


def test_what_is_not_recorded_is_said():
    """No date and no temperature are made up."""
    found = heading(morning.bare())
    assert found.title == "Petrel, on a day not recorded"
    assert "outside temperature not recorded" in found.facts
