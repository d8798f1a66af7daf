"""What the charts show."""

import numpy as np

from tests.report import morning
from thawline.report.palette import palette
from thawline.report.series import Series, charts_of, missing_charts


def test_all_charts_of_a_rich_recording():
    """Two drive units are two lines with different dashes."""
    charts = charts_of(morning.explained())
    assert missing_charts(charts) == ()
    units = next(chart for chart in charts if chart.key == "unit-temperature").series
    windings = [line for line in units if line.label.startswith("winding")]
    assert [line.label for line in windings] == ["winding front", "winding rear"]
    assert len({line.dash for line in windings}) == 2


def test_no_two_lines_of_a_chart_look_the_same():
    """Colour and dash together tell the lines of each chart apart."""
    for chart in charts_of(morning.explained()):
        looks = [(line.colour, line.dash) for line in chart.series]
        assert len(set(looks)) == len(looks)
        assert {colour for colour, _ in looks} <= set(palette())


def test_axes_hold_all_values_and_zero():
    """No line leaves its chart; temperatures and powers show zero."""
    for chart in charts_of(morning.explained()):
        for line in chart.series:
            assert chart.low < np.nanmin(line.values)
            assert np.nanmax(line.values) < chart.high
        if chart.unit == "degC":
            assert chart.low < 0.0 < chart.high


def test_a_bare_recording_has_no_chart():
    """What is not recorded is named, not drawn."""
    charts = charts_of(morning.bare())
    assert charts == ()
    assert len(missing_charts(charts)) == 5


def test_lines_in_words():
    """Ends and extremes, where they matter."""

    def course(*values):
        values = np.array(values, dtype=float)
        return Series("x", "ink", "solid", 1, "kW", values, values).course(10.0)

    assert course(0.0, 6.8, np.nan, 0.0) == "begins and ends near 0.00 kW, highest 6.80 kW"
    assert course(1.0, 1.1, 1.0) == "steady near 1.00 kW"
    assert course(-1.0, -2.0, 5.0) == "−1.00 kW to 5.00 kW, lowest −2.00 kW"
    assert course(np.nan) == "no values"
