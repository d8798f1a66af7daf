"""A fleet as one page that works without a network."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from thawline.fleet.fleet import Fleet, Learned
from thawline.fleet.text import found_by_vehicle, in_short, title_of
from thawline.report.numbers import number
from thawline.report.plots import Layer, Plot, draw
from thawline.report.templating import set_template
from thawline.trends.words import unit_word, with_unit

#: Names of what vehicles share, for people, with the unit that is shown.
TITLES = {
    "charging-from": "Charging begins at a coldest cell of",
    "regeneration-from": "Regeneration begins at a coldest cell of",
    "warming": "Warming of the pack per minute and kilowatt of heat",
    "resistance": "Resistance of the pack at 0 °C",
}
#: Errors, rows and vehicles in a chart that a page shows at most [1].
MOST = 200


def _ends(one: Learned, value: float, sigma: float) -> tuple[float, float]:
    if one.is_log:
        return value * float(np.exp(-sigma)), value * float(np.exp(sigma))
    return value - sigma, value + sigma


def _plot(number_of: int, rows: Sequence[Learned]) -> Plot:
    first = rows[0]
    at = np.arange(1.0, len(rows) + 1.0)
    own = [(x, *_ends(one, one.own, one.own_sigma)) for x, one in zip(at, rows, strict=True)
           if one.own is not None and one.own_sigma is not None]  # fmt: skip
    pooled = [_ends(one, one.pooled, one.pooled_sigma) for one in rows]
    low, high = _ends(first, first.model_mean, float(np.hypot(first.spread, first.model_sigma)))
    wide = np.array([0.5, len(rows) + 0.5])
    layers = (
        Layer("band", "where vehicles of the model lie", "one standard deviation", "sky", "solid",
              wide, np.full(2, low), np.full(2, high)),
        Layer("line", "what they share", with_unit(first.model_mean, first.unit), "sky", "dashed",
              wide, np.full(2, first.model_mean)),
        Layer("bars", "by its own mornings", f"{len(own)} vehicles", "grey", "solid",
              np.array([x for x, _, _ in own]) - 0.12, np.array([y for _, y, _ in own]),
              np.array([y for _, _, y in own])),
        Layer("bars", "with what the others teach", f"{len(rows)} vehicles", "vermilion", "solid",
              at + 0.12, np.array([y for y, _ in pooled]), np.array([y for _, y in pooled])),
    )  # fmt: skip
    caption = f"{first.model}. Each pair of bars is a vehicle, in the order of their names."
    title = TITLES[first.name]
    return Plot(
        f"{first.name}-{number_of}",
        title,
        caption,
        "vehicle",
        unit_word(first.unit),
        layers,
        with_zero=False,
    )


def _plots(fleet: Fleet) -> list[Plot]:
    groups: dict[tuple[str, str], list[Learned]] = {}
    for one in fleet.learned:
        if one.name in TITLES:
            groups.setdefault((one.name, one.model), []).append(one)
    many = [rows[:MOST] for rows in groups.values() if len(rows) > 1]
    return [_plot(number_of, rows) for number_of, rows in enumerate(many)]


def fleet_page(fleet: Fleet) -> str:
    """Write the page of a fleet.

    Parameters
    ----------
    fleet : Fleet
        The fleet.

    Returns
    -------
    str
        One HTML document with its styles, scripts and data in it.
    """
    plots = _plots(fleet)
    found = found_by_vehicle(fleet)
    vehicles = []
    for each in fleet.trends:
        kinds = found[each.vehicle]
        changes = [one for one in each.trends if one.is_change]
        vehicles.append(
            (
                each.vehicle,
                each.model,
                str(each.mornings),
                ", ".join(f"{title_of(kind)} ({n})" for kind, n in sorted(kinds.items())) or "none",
                ", ".join(
                    f"{one.title} {'+' if (one.change or 0.0) >= 0.0 else '−'}"
                    f"{number(abs(one.change or 0.0), 0)} ± {number(one.change_sigma or 0.0, 0)} "
                    f"{unit_word(one.change_unit)}"
                    for one in changes
                )
                or "none",
            )
        )
    return set_template(
        "fleet.html",
        {plot.key: draw(plot) for plot in plots},
        title="The fleet",
        short=in_short(fleet),
        fleet=fleet,
        vehicles=vehicles,
        plots=plots,
        errors=fleet.errors[:MOST],
    )
