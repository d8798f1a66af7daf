"""The plating margin of a textbook cell, with published rules and own charging on it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from thawline.plating.plating import KeptDistance, PlatingMap
from thawline.plating.rules import rules
from thawline.report.plots import Layer, Plot

#: States of charge whose lines are drawn [percent], with their dashes.
LINES = ((20.0, "dotted"), (50.0, "solid"), (80.0, "dashed"))
RULE_LOOKS = {"JEITA-type rule": ("orange", "dashdot"), "cell data sheet": ("green", "dotdash")}


def _nearest(kept: Sequence[KeptDistance]) -> Layer | None:
    """Draw the distance that charging kept where it came nearest, over all recordings."""
    found = [(one.rate_per_h[k] / max(one.limit_per_h[k], 1e-3), one, k)
             for one in kept if (k := one.nearest) is not None]  # fmt: skip
    if not found:
        return None
    _, one, k = max(found, key=lambda each: float(each[0]))
    own, limit = float(one.rate_per_h[k]), float(one.limit_per_h[k])
    side = "below" if limit > own else "above"
    course = f"{abs(limit - own):.2f} C {side} it, at {one.charge_pct[k]:.0f} %"
    low, high = np.array([min(own, limit)]), np.array([max(own, limit)])
    name = "distance where it came nearest"
    return Layer("bars", name, course, "ink", "solid", one.degC[[k]], low, high)


def plating_plot(found: PlatingMap, kept: Sequence[KeptDistance]) -> Plot:
    """Choose what the chart of the margin shows.

    Parameters
    ----------
    found : PlatingMap
        The map.
    kept : sequence of KeptDistance
        Own charging of each recording.

    Returns
    -------
    Plot
        C-rate against temperature.
    """
    layers = []
    charged = [~one.regenerates for one in kept]
    for label, picks, colour in (
        ("own charging", charged, "blue"),
        ("own regeneration, short pulses", [one.regenerates for one in kept], "purple"),
    ):
        if any(np.any(pick) for pick in picks):
            degC = np.concatenate([one.degC[pick] for one, pick in zip(kept, picks, strict=True)])
            rate = np.concatenate(
                [one.rate_per_h[pick] for one, pick in zip(kept, picks, strict=True)]
            )
            course = f"up to {rate.max():.2f} C"
            layers.append(Layer("points", label, course, colour, "solid", degC, rate))
    nearest = _nearest(kept)
    if nearest is not None:
        layers.append(nearest)
    for pct, dash in LINES:
        rate = found.at(found.degC, np.full(len(found.degC), pct))
        cold, warm = rate[np.searchsorted(found.degC, (0.0, 25.0))]
        layers.append(
            Layer("line", f"textbook cell at 0 V, begun at {pct:.0f} %",
                  f"{cold:.2f} C at 0 °C, {warm:.2f} C at 25 °C", "vermilion", dash, found.degC,
                  rate)
        )  # fmt: skip
    for name, (colour, dash) in RULE_LOOKS.items():
        steps = [step for step in rules() if step.rule == name]
        x = np.array([end for step in steps for end in (step.from_degC, step.to_degC)])
        y = np.array([step.rate_per_h for step in steps for _ in range(2)])
        x = np.minimum(x, float(found.degC[-1]))
        course = "; ".join(step.source.split(": ", 1)[-1] for step in steps)
        layers.append(Layer("line", name, course, colour, dash, x, y))
    caption = (
        f"C-rate at which the negative electrode of a textbook cell reaches 0 V against lithium at "
        f"the separator within {found.charge_s / 60.0:.0f} min of charging, by temperature and "
        "state of charge at the beginning. Dashed steps: published rules."
    )
    return Plot("plating", "Margin to lithium plating, of a textbook cell", caption,
                "coldest cell, °C", "C-rate, 1/h", tuple(layers))  # fmt: skip
