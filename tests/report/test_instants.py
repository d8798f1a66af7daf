"""Which instants are asked why not."""

from dataclasses import replace

from tests.report import morning
from thawline.report.instants import Instant, why_nots
from thawline.story.story import Story, WhyNot

WHAT = {"charging", "regeneration", "pack-heating"}


def test_instants_of_a_morning():
    """After plugging in, before charging begins, and at the end; in order, within the log."""
    found = why_nots(morning.explained())
    times = [instant.answer.t_s for instant in found if instant.answer.limit != "nothing-known"]
    assert times == sorted(times)
    assert all(0.0 <= instant.answer.t_s <= morning.DURATION_S for instant in found)
    assert {instant.answer.what for instant in found} == WHAT


def test_what_nobody_knows_is_said_once():
    """A bare recording answers each question once: nothing known."""
    found = why_nots(morning.bare())
    assert len(found) == len({instant.answer.what for instant in found})


def test_without_turning_points_the_recording_is_asked_all_the_same():
    """No plug-in is no reason for silence."""
    explained = morning.explained()
    story = Story(explained.story.recording_id, (), explained.story.spans, ())
    whens = {instant.when for instant in why_nots(replace(explained, story=story))}
    assert whens <= {"Two minutes into the recording", "At the end of the recording"}
    assert whens


def test_the_subject_is_said_once():
    """An answer that names its subject needs no label, another does."""

    def subject(because):
        return Instant("", WhyNot("pack-heating", 0.0, "supply", 1.0, because, ())).subject

    assert subject("Pack heating is 1 kW: the supply gives no more.") == ""
    assert subject("The supply gives no more.") == "Pack heating: "
