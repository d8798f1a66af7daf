"""How good the log was."""

from dataclasses import replace

from tests.report import morning
from thawline.recording.recording import ClockStep, Gap, Quality
from thawline.report.moments import moments_of
from thawline.report.quality import quality_sentences


def told(recording):
    return quality_sentences(recording, moments_of(recording, morning.story()))


def test_counts_gaps_steps_and_warnings_are_told():
    """Nothing that limits the recording is left out."""
    said = " ".join(told(morning.explained().recording))
    for part in ("184,220", "error (3)", "unreadable (1)", "12 duplicates", "1 min 30 s",
                 "07:16:40", "−1.5 s", "every 30 s only"):  # fmt: skip
        assert part in said


def test_many_gaps_are_counted():
    """A log full of holes does not fill the page."""
    recording = morning.explained().recording
    gaps = tuple(Gap(10.0 * k, 10.0 * k + 5.0) for k in range(40))
    steps = tuple(ClockStep(10.0 * k, 1.0) for k in range(40))
    said = told(replace(recording, gaps=gaps, quality=Quality(clock_steps=steps)))
    assert len(said) < 16
    assert any("35 further gaps" in words for words in said)
    assert any("35 times more" in words for words in said)


def test_a_clean_log_is_called_clean():
    """No gap, no clock step: it says so."""
    assert "No gap and no clock step was found." in told(morning.bare().recording)
