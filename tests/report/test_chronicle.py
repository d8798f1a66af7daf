"""The chronicle."""

from tests.report import morning
from thawline.report.chronicle import chronicle, title_of
from thawline.report.moments import moments_of
from thawline.story.story import KINDS


def test_every_kind_has_a_title():
    """No turning point is told by its internal name."""
    titles = [title_of(kind) for kind in KINDS]
    assert not any("-" in title for title in titles)
    assert len(set(titles)) == len(KINDS)


def test_points_and_timed_notes_in_order():
    """Turning points keep their numbers; a note stands at its time without one."""
    explained = morning.explained()
    entries = chronicle(explained, moments_of(explained.recording, explained.story))
    assert [entry.t_s for entry in entries] == sorted(entry.t_s for entry in entries)
    assert [e.mark for e in entries if e.mark] == list(range(1, 11))
    note = next(entry for entry in entries if entry.mark is None)
    assert (note.clock, note.because) == ("07:05:10", "Asked for a warm cabin from indoors.")


def test_evidence_names_signal_value_threshold_and_time():
    """What a turning point rests on can be checked by the reader."""
    explained = morning.explained()
    entries = chronicle(explained, moments_of(explained.recording, explained.story))
    heating = next(entry for entry in entries if entry.title == "Pack heating begins")
    assert heating.evidence[0] == (
        "Powertrain.TractionBattery.Temperature.Min: −12.5 °C, held against 0.0 °C, at 06:41:50."
    )
