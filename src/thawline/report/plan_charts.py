"""Charts of a plan: what is asked for, temperatures with their bands, power under its ceiling."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from thawline.plan.plan import Plan
from thawline.report.numbers import number
from thawline.report.plan_words import DOES, clock, money
from thawline.report.plots import Layer, Plot, draw

if TYPE_CHECKING:  # bokeh takes half a second to import: only pages with charts pay for it
    from bokeh.plotting import figure as Figure  # noqa: N812  # bokeh names a class in lower case

Array = NDArray[np.float64]
COLOURS = {"heat-pack": "vermilion", "charge": "blue", "warm-cabin": "green"}
#: Height of the chart of what is asked for [px], opacity of stacked areas [1], hours before the
#: first step that are shown where the price does not change [h].
LOW, OPACITY, BEFORE_H = 190, 0.6, 1.0
X = "time of day"
#: Writes hours since midnight as a time of day.
TICKS = """
const two = (n) => String(n).padStart(2, "0");
const minutes = Math.round(tick * 60);
return two(Math.floor(minutes / 60) % 24) + ":" + two(((minutes % 60) + 60) % 60);
"""
#: Distances of ticks [h].
TICK_HOURS = (0.25, 0.5, 1.0, 2.0, 3.0, 4.0, 6.0)


def _hours(plan: Plan, t_s: Array) -> Array:
    """Count hours since the midnight before now, in the person's time zone."""
    first = datetime.fromtimestamp(plan.asked.now_s, plan.asked.zone)
    midnight = first.replace(hour=0, minute=0, second=0, microsecond=0).timestamp()
    return np.asarray((t_s - midnight) / 3600.0)


def _shown(plan: Plan) -> int:
    """Find the first step that is worth showing."""
    course = plan.course
    if float(np.ptp(course.price)) > 0.0 or not plan.steps:
        return 0
    first = min((s.from_s for s in plan.steps if s.do != "plug-in"), default=course.t_s[0])
    return max(int(np.searchsorted(course.t_s, first - BEFORE_H * 3600.0)) - 1, 0)


def _stairs(edges: Array, values: Array) -> tuple[Array, Array]:
    return np.repeat(edges, 2)[1:-1], np.repeat(values, 2)


def plan_charts(plan: Plan) -> tuple[Plot, ...]:
    """Describe the charts of a plan.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    tuple of Plot
        What is asked for; temperatures; power; charge where it is wished for.
    """
    found = [_asked_for(plan), _temperatures(plan), _powers(plan)]
    if plan.asked.wishes.charge_pct is not None:
        found.append(_charge(plan))
    return tuple(plot for plot in found if plot.layers)


def _asked_for(plan: Plan) -> Plot:
    course, begin = plan.course, _shown(plan)
    layers: list[Layer] = []
    for row, kind in enumerate(("warm-cabin", "charge", "heat-pack")):
        spans = [step for step in plan.steps if step.do == kind]
        course_words = ", ".join(
            f"{clock(plan, step.from_s)} to {clock(plan, step.until_s)}" for step in spans
        )
        for i, step in enumerate(spans):
            x = _hours(plan, np.array([step.from_s, step.until_s]))
            low, high = np.full(2, row + 0.15), np.full(2, row + 0.85)
            layers.append(Layer("band", DOES[kind] if i == 0 else "",
                                course_words if i == 0 else "", COLOURS[kind], "solid", x, low,
                                high))  # fmt: skip
    ends = _hours(plan, course.t_s[[begin, -1]])
    layers.append(Layer("line", "", "", "grey", "dotted", ends, np.zeros(2)))
    layers.append(Layer("line", "", "", "grey", "dotted", ends, np.full(2, 3.0)))
    caption = "When to ask the car for what; the plug is in all the time."
    return Plot("plan-asked", "What to ask for", caption, X, "", tuple(layers))


def _temperatures(plan: Plan) -> Plot:
    course, begin = plan.course, _shown(plan)
    x = _hours(plan, course.t_s[begin:])
    cold = course.coldest[begin:]
    ends = f"{number(cold[0, 1], 1)} to {number(cold[-1, 1], 1)} °C"
    outside_x, outside = _stairs(x, course.outside[begin:])
    layers = [
        Layer("band", "coldest cell, 10 to 90 %", "", "blue", "solid", x, cold[:, 0], cold[:, 2]),
        Layer("line", "coldest cell, 50 %", ends, "blue", "solid", x, cold[:, 1]),
        Layer("line", "air outside", "", "grey", "dashed", outside_x, outside),
        Layer("line", "0 °C", "", "ink", "dotted", x[[0, -1]], np.zeros(2)),
    ]
    caption = (
        "The coldest cell decides what charging and regeneration are allowed. The band holds "
        "eight of ten cars and mornings that fit what is known."
    )
    return Plot("plan-temperatures", "Temperatures", caption, X, "°C", tuple(layers),
                with_zero=False)  # fmt: skip


def _powers(plan: Plan) -> Plot:
    course, begin = plan.course, _shown(plan)
    x = _hours(plan, course.t_s[begin:])
    layers: list[Layer] = []
    parts = (
        ("heating the pack", "vermilion", course.heat_kW),
        ("warming the cabin", "green", course.cabin_kW),
        ("into the pack", "blue", course.charge_kW),
        ("other loads", "purple", course.base_kW),
        ("lost in the charger", "grey", course.loss_kW),
    )
    hours = np.diff(x)
    total = sum((kW[begin:] for _, _, kW in parts), np.zeros(len(hours)))
    top = max(course.ceiling_kW, float(total.max())) * 1.08
    low_price, high_price = float(course.price.min()), float(course.price.max())
    if high_price > low_price:
        edge, price = _stairs(x, course.price[begin:] / high_price * top)
        words = f"{number(low_price, 2)} to {money(plan, high_price)}"
        layers.append(Layer("band", "price, on a scale of its own", f"{words} per kWh", "orange",
                            "solid", edge, np.zeros(len(edge)), price))  # fmt: skip
    below = np.zeros(len(hours))
    for label, colour, kW in parts:
        above = below + kW[begin:]
        kWh = float(kW[begin:] @ hours)
        if kWh > 0.02:
            edge, low = _stairs(x, below)
            layers.append(Layer("band", label, f"{number(kWh, 1)} kWh", colour, "solid", edge, low,
                                _stairs(x, above)[1]))  # fmt: skip
        below = above
    if float(course.helped_kW[begin:] @ hours) > 0.02:
        edge, given = _stairs(x, total - course.helped_kW[begin:])
        layers.append(Layer("line", "from the supply", "the rest comes out of the pack", "ink",
                            "solid", edge, given))  # fmt: skip
    ceiling = np.full(2, course.ceiling_kW)
    layers.append(Layer("line", "most that supply and charger take",
                        f"{number(course.ceiling_kW, 1)} kW", "ink", "dashed", x[[0, -1]],
                        ceiling))  # fmt: skip
    caption = "Where the power goes, as a mean over the cars and mornings that were tried."
    return Plot("plan-powers", "Power", caption, X, "kW", tuple(layers))


def _charge(plan: Plan) -> Plot:
    course, begin = plan.course, _shown(plan)
    x, charge = _hours(plan, course.t_s[begin:]), course.charge[begin:]
    wish = plan.asked.wishes.charge_pct or 0.0
    ends = f"{number(charge[0, 1], 0)} to {number(charge[-1, 1], 0)} %"
    layers = (
        Layer("band", "10 to 90 %", "", "blue", "solid", x, charge[:, 0], charge[:, 2]),
        Layer("line", "50 %", ends, "blue", "solid", x, charge[:, 1]),
        Layer("line", "wished", f"{wish:g} %", "ink", "dashed", x[[0, -1]], np.full(2, wish)),
    )
    return Plot("plan-charge", "State of charge", "Physical charge, not the display's.", X, "%",
                layers, with_zero=False)  # fmt: skip


def draw_plan(plan: Plan) -> tuple[tuple[Plot, ...], dict[str, Figure]]:
    """Draw the charts of a plan.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    tuple of Plot
        What they show.
    dict of str to figure
        The charts by name.
    """
    plots = plan_charts(plan)
    return plots, {plot.key: _with_clock(plan, plot, draw(plot)) for plot in plots}


def _with_clock(plan: Plan, plot: Plot, chart: Figure) -> Figure:
    from bokeh.models import CustomJSTickFormatter, FixedTicker, NumeralTickFormatter

    x = _hours(plan, plan.course.t_s)
    low, high = float(x[_shown(plan)]), float(x[-1])
    every = next((h for h in TICK_HOURS if (high - low) / h <= 6.0), TICK_HOURS[-1])
    ticks = np.arange(np.ceil(low / every), np.floor(high / every) + 1) * every
    chart.xaxis.ticker = FixedTicker(ticks=[float(t) for t in ticks])
    chart.xaxis.formatter = CustomJSTickFormatter(code=TICKS)
    for drawn in chart.renderers:
        source: Any = getattr(drawn, "data_source", None)
        if source is not None and "xt" in source.data:
            minutes = [round(60.0 * float(v)) for v in source.data["x"]]
            source.data["xt"] = [f"{m // 60 % 24:02d}:{m % 60:02d}" for m in minutes]
        glyph: Any = getattr(drawn, "glyph", None)
        solid = plot.key in ("plan-asked", "plan-powers") and hasattr(glyph, "fill_alpha")
        if solid and "orange" not in (glyph.tags or []):
            glyph.fill_alpha = OPACITY
    if plot.key == "plan-asked":
        chart.height = LOW
        chart.yaxis.ticker = FixedTicker(ticks=[])
        chart.yaxis.formatter = NumeralTickFormatter()
    return chart
