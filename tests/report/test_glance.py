"""A morning in one sentence."""

from tests.report import morning
from thawline.report.glance import glance_sentence
from thawline.report.moments import moments_of


def told(explained):
    return glance_sentence(explained, moments_of(explained.recording, explained.story))


def test_it_tells_cold_waiting_and_cost():
    """The story's own numbers, in their order."""
    assert told(morning.explained()) == (
        "−12.5 °C in the coldest cell; pack heated for 31 min; regeneration returned after 22 min "
        "of being plugged in; the coldest cell passed 0 °C after 23 min; charging began after "
        "25 min; the cabin was comfortable after 47 min; 4.43 kWh from the supply, 0.95 kWh into "
        "the pack."
    )


def test_what_is_not_known_is_not_told():
    """A recording that holds almost nothing has a short sentence, and nothing is made up."""
    assert told(morning.bare()) == "The pack was not heated."
