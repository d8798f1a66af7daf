"""Charts of lines."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.report import morning
from thawline.report.figure import stage_for
from thawline.report.lines import (
    BETWEEN_NAMES,
    LINE,
    let_cursor_read,
    line_chart,
    names_of,
    spread,
)
from thawline.report.moments import moments_of
from thawline.report.series import charts_of


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(0, 200), max_size=10))
def test_names_never_touch(heights):
    """Names keep their order and their distance, and stay on the chart while there is room."""
    placed = spread(heights, 15.0, 0.0, 200.0)
    order = np.argsort(heights, kind="stable")
    steps = np.diff(np.array(placed)[order])
    assert np.all(steps >= 15.0 - 1e-9)
    assert all(-1e-9 <= place <= 200.0 for place in placed)


def test_names_that_have_room_stay_where_they_are():
    """Nothing moves without need."""
    assert spread([10.0, 90.0, 50.0], 15.0, 0.0, 100.0) == [10.0, 90.0, 50.0]


def test_a_chart_holds_its_lines_marks_and_names():
    """Every series is a line, every turning point a mark, and every line has its name."""
    explained = morning.explained()
    moments = moments_of(explained.recording, explained.story)
    stage = stage_for(moments, morning.DURATION_S, explained.story.turning_points)
    chart = charts_of(explained)[0]
    drawn = line_chart(chart, stage)
    marks = next(r for r in drawn.renderers if type(r.glyph).__name__ == "VSpan")
    assert list(marks.data_source.data["x"]) == [
        moments.minutes(point.t_s) for point in explained.story.turning_points
    ]
    lines = [r for r in drawn.renderers if type(r.glyph).__name__ == "Line"]
    assert [r.data_source.name for r in lines] == [LINE + line.path for line in chart.series]
    let_cursor_read(drawn, chart, stage)
    read = [r for r in drawn.renderers if type(r.glyph).__name__ == "Line"]
    assert len(read) == len(lines) + 1  # and the unseen one that the cursor reads
    names = names_of(chart)
    assert [name.label for name in names] == [line.label for line in chart.series]
    tops = sorted(name.top_px for name in names)
    assert min(np.diff(tops)) >= BETWEEN_NAMES - 1


def test_a_sample_alone_is_drawn_as_a_dot():
    """A channel that speaks every other minute is not invisible."""
    explained = morning.explained()
    path = "Exterior.AirTemperature"
    t = np.arange(0.0, 3600.0, 600.0)
    alone = morning.channel(path, "degC", t, np.full(len(t), -17.0), 600.0, stale_after_s=60.0)
    explained.recording.channels[path] = alone
    chart = charts_of(explained)[0]
    moments = moments_of(explained.recording, explained.story)
    drawn = line_chart(chart, stage_for(moments, morning.DURATION_S, ()))
    dots = [r for r in drawn.renderers if type(r.glyph).__name__ == "Scatter"]
    assert [len(r.data_source.data["x"]) for r in dots] == [len(alone.t)]
