"""Trends as one page that works without a network."""

from __future__ import annotations

import numpy as np

from thawline.report.numbers import number
from thawline.report.plots import Layer, Plot, draw
from thawline.report.templating import set_template
from thawline.trends.text import METHOD
from thawline.trends.trends import Trend, Trends
from thawline.trends.words import unit_word

DAY_S = 86_400.0


def _plot(trend: Trend) -> Plot:
    days = (trend.starts_at - trend.starts_at[0]) / DAY_S
    order = np.argsort(days, kind="stable")
    colour = "vermilion" if trend.is_change else "blue"
    layers = [
        Layer("points", "as it was", f"{trend.mornings} mornings", "grey", "solid", days,
              trend.raw),
    ]  # fmt: skip
    if trend.effects:
        layers.append(
            Layer("bars", "with the weather taken out", "", "ink", "solid", days,
                  trend.normalised - 0.012 * _span(trend), trend.normalised + 0.012 * _span(trend))
        )  # fmt: skip
    if trend.change is not None:
        layers += [
            Layer("band", "interval of 95 %", "", colour, "solid", days[order],
                  trend.low[order], trend.high[order]),
            Layer("line", "course", "a change" if trend.is_change else "no sure change", colour,
                  "solid", days[order], trend.line[order]),
        ]  # fmt: skip
    title = trend.title[0].upper() + trend.title[1:]
    return Plot(trend.quantity.replace(".", "-"), title, trend.sentence, "days since the first",
                unit_word(trend.unit), tuple(layers))  # fmt: skip


def _span(trend: Trend) -> float:
    return max(float(np.max(np.abs(trend.raw))), float(np.max(np.abs(trend.normalised))))


def _row(trend: Trend) -> tuple[str, ...]:
    unit = unit_word(trend.unit)
    level = f"{number(trend.level or 0.0, 2)} {unit}"
    if trend.change is None or trend.change_sigma is None:
        return trend.title, str(trend.mornings), level, "not told"
    sign = "+" if trend.change >= 0.0 else "−"
    size, doubt = number(abs(trend.change), 1), number(trend.change_sigma, 1)
    change = f"{sign}{size} ± {doubt} {unit_word(trend.change_unit)}"
    return trend.title, str(trend.mornings), level, change


def trends_page(trends: Trends) -> str:
    """Write the page of a vehicle's trends.

    Parameters
    ----------
    trends : Trends
        The trends.

    Returns
    -------
    str
        One HTML document with its styles, scripts and data in it.
    """
    plots = [_plot(one) for one in trends.trends if one.mornings > 1]
    changed = [one.title for one in trends.trends if one.is_change]
    return set_template(
        "trends.html",
        {plot.key: draw(plot) for plot in plots},
        title=f"{trends.vehicle}: is it still the car it was?",
        trends=trends,
        plots=plots,
        changed=changed,
        is_told=any(one.change is not None for one in trends.trends),
        rows=[_row(one) for one in trends.trends],
        method=METHOD,
    )
