"""Charts, tables and accounts in the units that a reader chose."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from thawline.ledger.ledger import Line
from thawline.quantities.units import converter
from thawline.report.choice import Choice, cell, heading, said
from thawline.report.compare_rows import Told
from thawline.report.learned_tables import Table
from thawline.report.plots import Layer, Plot
from thawline.report.series import Chart


def chart_in(chart: Chart, choice: Choice) -> Chart:
    """Put a chart into the units chosen.

    Parameters
    ----------
    chart : Chart
        The chart.
    choice : Choice
        The units.

    Returns
    -------
    Chart
        The same lines on another axis.
    """
    unit = choice.unit(chart.unit)
    if unit == chart.unit:
        return chart
    ends = choice.values(np.array([chart.low, chart.high, chart.rule]), chart.unit)
    return replace(
        chart,
        unit=unit,
        caption=said(chart.caption, choice),
        low=float(ends[0]),
        high=float(ends[1]),
        rule=float(ends[2]),
        series=tuple(
            replace(line, unit=unit, values=choice.values(line.values, line.unit))
            for line in chart.series
        ),
    )


def lines_in(lines: Iterable[Line], choice: Choice) -> tuple[Line, ...]:
    """Put the energies of an account into the unit chosen, before they are rounded.

    Parameters
    ----------
    lines : iterable of Line
        Its lines [kWh].
    choice : Choice
        The units.

    Returns
    -------
    tuple of Line
        Its lines, whose numbers are in ``choice.energy``.
    """
    factor, _ = converter("kWh", choice.energy)
    return tuple(
        replace(
            line,
            kWh=None if line.kWh is None else line.kWh * factor,
            plus_minus_kWh=None if line.plus_minus_kWh is None else line.plus_minus_kWh * factor,
            note=said(line.note, choice),
        )
        for line in lines
    )


def table_in(table: Table, choice: Choice) -> Table:
    """Put a table whose heads name units into the units chosen.

    Parameters
    ----------
    table : Table
        The table.
    choice : Choice
        The units.

    Returns
    -------
    Table
        The same table in other units.
    """
    marks = [_symbol(head) for head in table.heads]
    rows = tuple(
        tuple(cell(text, mark, choice) for text, mark in zip(row, marks, strict=True))
        for row in table.rows
    )
    return Table(
        said(table.title, choice), tuple(heading(head, choice) for head in table.heads), rows
    )


def told_in(row: Told, choice: Choice) -> Told:
    """Put a line of a table of two mornings into the units chosen.

    Parameters
    ----------
    row : Told
        The line.
    choice : Choice
        The units.

    Returns
    -------
    Told
        The same line in other units.
    """
    return replace(
        row,
        unit=heading(row.unit, choice),
        a=cell(row.a, row.unit, choice),
        b=cell(row.b, row.unit, choice),
        difference=cell(row.difference, row.unit, choice, is_difference=True),
    )


def plot_in(plot: Plot, choice: Choice) -> Plot:
    """Put a chart of one quantity against another into the units chosen.

    Parameters
    ----------
    plot : Plot
        The chart.
    choice : Choice
        The units.

    Returns
    -------
    Plot
        The same chart on other axes.
    """
    across, up = _unit(plot.x_title), _unit(plot.y_title)

    def layer_in(layer: Layer) -> Layer:
        top = None if layer.top is None else choice.values(layer.top, up)
        return replace(
            layer,
            label=said(layer.label, choice),
            course=said(layer.course, choice),
            x=choice.values(layer.x, across),
            y=choice.values(layer.y, up),
            top=top,
        )

    return replace(
        plot,
        caption=said(plot.caption, choice),
        x_title=heading(plot.x_title, choice),
        y_title=heading(plot.y_title, choice),
        layers=tuple(layer_in(layer) for layer in plot.layers),
        # an axis that began at 0 °C has no reason to begin at 0 °F
        with_zero=plot.with_zero and choice.unit(up) != "degF",
    )


def _symbol(head: str) -> str:
    return next((mark for mark in ("°C", "kWh") if head.endswith(mark)), "")


def _unit(title: str) -> str:
    return {"°C": "degC", "kWh": "kWh"}.get(_symbol(title), "")
