"""The morning in sentences."""

from dataclasses import replace

import numpy as np
import pytest

from tests.story.mornings import MORE, Plan, morning
from thawline.story.tell import tell
from thawline.story.words import COLUMNS, as_text, headline

PLANS = {
    "all": Plan(),
    "failed": Plan(heat_capacity_kJ_per_K=300.0, amps=32.0, drop_outs=((900.0, 960.0),)),
    "battery": Plan(duration_s=900.0, plug_s=9e8, unplug_s=9e9, request_s=None, drive_s=None),
    "nothing happened": Plan(
        duration_s=900.0, plug_s=9e8, unplug_s=9e9, request_s=None, cabin_s=None, drive_s=None
    ),
    "gap": Plan(gap_s=(500.0, 560.0)),
    "nearly nothing known": Plan(
        leave_out=("Temperature", "Limits", "Charg", "Current", "Heat", "IsCond")
    ),
}


@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS)
def test_three_to_six_sentences(plan):
    """Whatever happened, the headline has three to six sentences that end with a stop."""
    recording, flows = morning(plan)
    sentences = headline(recording, flows, tell(recording, flows))
    assert 3 <= len(sentences) <= 6
    assert all(
        (text.endswith(".") and text[0].isupper()) or text[0].isdigit() for text in sentences
    )


def test_the_headline_has_the_numbers():
    """Cold, supply, heat, charge, energies and times are figures with units."""
    recording, flows = morning(PLANS["all"])
    told = " ".join(headline(recording, flows, tell(recording, flows)))
    for part in (
        "Gannet stood with the coldest cell at −6.0 °C",
        "plugged in 2:00 into the recording, to a supply of 24 A at 208 V, 5.0 kW",
        "the pack was heated with 3.4 kW on average, for 12 min",
        "Charging began 14:19 into the recording, 12 min after plugging in",
        "the coldest cell passed 0 °C 7:",
        "kWh came from the supply",
    ):
        assert part in told


def test_a_recording_with_a_date_is_told_by_the_clock():
    """Instants are times of day in UTC, as the chronicle has them."""
    recording, flows = morning(PLANS["all"])
    dated = replace(recording, starts_at=1_768_630_320.0)
    told = " ".join(headline(dated, flows, tell(dated, flows)))
    assert "it was plugged in at 06:14:00 UTC, to a supply of 24 A" in told
    assert "Charging began at 06:26:19 UTC, 12 min after plugging in" in told


def test_failures_and_gains_are_told():
    """A lost supply and a changed display are worth a sentence."""
    recording, flows = morning(PLANS["failed"])
    told = " ".join(headline(recording, flows, tell(recording, flows)))
    assert "The supply was lost 15:00 into the recording" in told and "came back after 60 s" in told
    plan = PLANS["nothing happened"]
    shown = np.linspace(60.0, 64.0, len(np.arange(0.0, plan.duration_s, 0.1)))
    recording, flows = morning(plan, None, {MORE["shown"]: shown})
    told = " ".join(headline(recording, flows, tell(recording, flows)))
    assert "The charge shown rose from 60.0 % to 64.0 %." in told
    assert "no supply was seen" in told


def test_what_is_not_known_is_not_called_absent():
    """Without any signal of a supply, none is said to have been absent."""
    recording, flows = morning(PLANS["nearly nothing known"])
    told = " ".join(headline(recording, flows, tell(recording, flows)))
    assert "no signal tells of a supply" in told


@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS)
def test_the_text_fits_a_terminal_and_keeps_figures_whole(plan):
    """No line is too long, no unit is parted from its figure, and every point is there."""
    recording, flows = morning(plan)
    story = tell(recording, flows)
    text = as_text(story, headline(recording, flows, story))
    lines = text.splitlines()
    assert all(len(line) <= COLUMNS for line in lines)
    assert not any(line.lstrip().startswith(("°C", "kW", "kWh ", "%")) for line in lines)
    for point in story.turning_points:
        assert any(line.endswith(point.kind) for line in lines)
    if story.lost:
        assert "What could not be told" in text


def test_the_headline_can_say_what_the_ledger_says():
    """Energies that are handed in stand in the sentence, times without data bridged or not."""
    recording, flows = morning(Plan())
    given = {"supply": 9.87, "pack-out": 1.23, "pack-heating": 4.56, "pack-in": None}
    told = " ".join(headline(recording, flows, tell(recording, flows), given))
    assert "9.87 kWh came from the supply and 1.23 kWh from the pack; 4.56 kWh went to" in told
