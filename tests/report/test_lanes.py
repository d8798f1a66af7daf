"""Lanes and marks."""

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.report import morning
from thawline.report.chronicle import letters_of
from thawline.report.figure import stage_for
from thawline.report.lanes import ROWS, empty_lanes, lanes_chart, marks_strip, rows_for
from thawline.report.moments import moments_of


def stage():
    explained = morning.explained()
    moments = moments_of(explained.recording, explained.story)
    return stage_for(moments, morning.DURATION_S, explained.story.turning_points)


def test_every_span_is_a_bar():
    """Each span has its bar from its begin to its end, in minutes."""
    story = morning.story()
    bars = [r for r in lanes_chart(story, stage()).renderers if type(r.glyph).__name__ == "HBar"]
    drawn = {
        (left, right)
        for bar in bars
        for left, right in zip(
            bar.data_source.data["left"], bar.data_source.data["right"], strict=True
        )
    }
    expected = {((s.from_s - 77.0) / 60.0, (s.to_s - 77.0) / 60.0) for s in story.spans}
    assert drawn == expected
    assert empty_lanes(story) == ("Coolant flows", "Driving")


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(0, 100), max_size=ROWS * 3).map(sorted))
def test_marks_in_a_row_keep_their_distance(minutes):
    """Two marks in one row touch only if all rows are taken."""
    rows = rows_for(minutes, 3.0)
    for index, (here, row) in enumerate(zip(minutes, rows, strict=True)):
        near = {rows[k] for k in range(index) if here - minutes[k] < 3.0}
        assert row not in near or len(near) == ROWS


def test_the_strip_numbers_all_points():
    """Numbers are those of the chronicle."""
    strip = marks_strip(stage())
    discs = next(r for r in strip.renderers if type(r.glyph).__name__ == "Scatter")
    assert discs.data_source.data["text"] == [str(n) for n in range(1, 11)]


def test_nothing_to_mark_and_no_lane():
    """A story without points and spans draws neither."""
    story = morning.bare().story
    moments = moments_of(morning.bare().recording, story)
    assert marks_strip(stage_for(moments, 40.0, ())) is None
    assert lanes_chart(story, stage_for(moments, 40.0, ())) is None


def test_findings_have_letters_below_the_numbers():
    """Those with a time are marked with the letters that the list of findings shows."""
    found = [("supply-cut", 90.0, 0.9, "So."), ("lossy-charger", None, 0.9, "So."),
             ("weak-coolant-flow", 30.0, 0.9, "So.")]  # fmt: skip
    assert letters_of(found) == ("A", "", "B")
    strip = marks_strip(stage(), found)
    marks = [r for r in strip.renderers if type(r.glyph).__name__ == "Scatter"]
    assert [m.data_source.data["text"] for m in marks][1] == ["B", "A"]
    assert min(marks[1].data_source.data["y"]) > max(marks[0].data_source.data["y"])
