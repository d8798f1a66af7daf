"""All charts of a page."""

from tests.report import morning
from thawline.report.moments import moments_of
from thawline.report.panels import panels_of


def panels(explained):
    return panels_of(explained, moments_of(explained.recording, explained.story))


def test_the_order_of_charts():
    """Marks on top, then temperatures, powers, who fed whom, limits, charge; lanes below."""
    keys = [panel.key for panel in panels(morning.explained()).panels]
    assert keys == ["marks", "pack-temperature", "unit-temperature", "power", "feeding", "limits",
                    "charge", "lanes"]  # fmt: skip


def test_charts_speak_for_those_who_cannot_see_them():
    """Each chart says in words what its lines do."""
    found = {panel.key: panel.spoken for panel in panels(morning.explained()).panels}
    assert "coldest cell: −12.5 °C to 6.0 °C" in found["pack-temperature"]
    assert "supply to drive unit heating: 1." in found["feeding"]


def test_a_bare_recording_says_what_is_missing():
    """Nothing to draw: no script, and a list of what is not there."""
    found = panels(morning.bare())
    assert found.panels == ()
    assert found.script == found.library == ""
    assert "Powers" in found.missing
