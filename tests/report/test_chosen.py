"""Charts, tables and accounts in other units."""

import numpy as np
import pytest

from tests.report import morning
from thawline.report.choice import Choice
from thawline.report.chosen import chart_in, lines_in, plot_in, table_in, told_in
from thawline.report.compare_rows import Told
from thawline.report.learned_tables import Table
from thawline.report.moments import moments_of
from thawline.report.page import told_of
from thawline.report.plots import Layer, Plot
from thawline.report.series import charts_of

OTHER = Choice("degF", "MJ")


def test_a_chart_of_temperatures_moves_to_the_other_axis():
    """Lines, ends and the heavy rule at freezing are all in °F; powers stay."""
    charts = {chart.key: chart for chart in charts_of(morning.explained())}
    usual, other = charts["pack-temperature"], chart_in(charts["pack-temperature"], OTHER)
    assert other.unit == "degF" and other.rule == pytest.approx(32.0)
    assert other.low == pytest.approx(usual.low * 1.8 + 32.0)
    for before, after in zip(usual.series, other.series, strict=True):
        np.testing.assert_allclose(after.values, before.values * 1.8 + 32.0)
    assert "32 °F" in other.caption
    assert chart_in(charts["power"], OTHER) is charts["power"]


def test_an_account_is_rounded_after_it_is_converted():
    """Energies and uncertainties are 3.6 times as many; pictures and tables name the unit."""
    explained = morning.explained()
    lines = explained.ledger.electrical
    other = lines_in(lines, OTHER)
    for before, after in zip(lines, other, strict=True):
        if before.kWh is not None:
            assert after.kWh == pytest.approx(3.6 * before.kWh)
    moments = moments_of(explained.recording, explained.story)
    told = told_of(explained, morning.prose(), moments, OTHER)["electrical"]
    assert told.unit == "MJ" and " MJ" in told.wide.spoken and "kWh" not in told.wide.spoken


def test_tables_convert_by_their_heads():
    """Only columns whose head names the unit change, and the head with them."""
    table = Table("At 5.0 °C", ("coldest cell, °C", "kW", "kWh"), (("0.0", "5.0", "1.0 ± 0.1"),))
    other = table_in(table, OTHER)
    assert other.title == "At 41.0 °F"
    assert other.heads == ("coldest cell, °F", "kW", "MJ")
    assert other.rows[0][:2] == ("32.0", "5.0") and other.rows[0][2].startswith("3.6")
    row = told_in(Told("coldest cell", "°C", "−10.0", "0.0", "+10.0", differs=True), OTHER)
    assert (row.unit, row.a, row.b, row.difference) == ("°F", "14.0", "32.0", "+18.0")


def test_plots_convert_axis_by_axis():
    """An axis in °C becomes one in °F; the other one stays."""
    x, y = np.array([0.0, 10.0]), np.array([1.0, 2.0])
    layer = Layer("line", "a", "from 0 °C", "blue", "solid", x, y)
    other = plot_in(Plot("k", "t", "c", "coldest cell, °C", "kW", (layer,)), OTHER)
    assert other.x_title == "coldest cell, °F"
    assert other.layers[0].x.tolist() == pytest.approx([32.0, 50.0])
    assert other.layers[0].y.tolist() == [1.0, 2.0] and other.layers[0].course == "from 32 °F"
