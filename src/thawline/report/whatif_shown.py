"""A what-if as text, as a document, and as charts on a page."""

from __future__ import annotations

from typing import Any

import numpy as np

from thawline.report.learned_tables import Table
from thawline.report.numbers import number
from thawline.report.plots import Layer, Plot, draw
from thawline.report.templating import set_template
from thawline.whatif.change import Change, Comes, Side, WhatIf


def change_words(change: Change) -> str:
    """Say what is changed.

    Parameters
    ----------
    change : Change
        The change.

    Returns
    -------
    str
        Such as ``10 K colder, no cabin heating``.
    """
    said = []
    if change.colder_K:
        way = "colder" if change.colder_K > 0.0 else "warmer"
        said.append(f"{abs(change.colder_K):g} K {way}")
    if change.garage_degC is not None:
        said.append(f"from a garage at {change.garage_degC:g} °C")
    if change.supply_kW is not None:
        said.append(f"a supply of {change.supply_kW:g} kW")
    if change.no_cabin:
        said.append("no cabin heating")
    if change.drive_units is not None:
        one = change.drive_units == 1
        units = f"{change.drive_units} drive units that heat"
        said.append("1 drive unit that heats" if one else units)
    return ", ".join(said)


def _minutes(point: Comes) -> str:
    if point.p50_s is None:
        return "not within two hours"
    ends = [number(t / 60.0, 0) if t is not None else "later" for t in (point.p10_s, point.p90_s)]
    return f"{number(point.p50_s / 60.0, 1)} min ({ends[0]} to {ends[1]})"


def whatif_table(found: WhatIf) -> Table:
    """Write both mornings side by side.

    Parameters
    ----------
    found : WhatIf
        The two mornings.

    Returns
    -------
    Table
        A row for each turning point, energy and cost.
    """
    pairs = zip(found.before.comes, found.after.comes, strict=True)
    rows = [(a.kind.replace("-", " "), _minutes(a), _minutes(b)) for a, b in pairs]
    for line, kWh in found.before.energy_kWh.items():
        rows.append((line.replace("-", " "), f"{number(kWh, 2)} kWh",
                     f"{number(found.after.energy_kWh[line], 2)} kWh"))  # fmt: skip
    if found.before.cost or found.after.cost:
        rows.append(("cost", number(found.before.cost, 2), number(found.after.cost, 2)))
    return Table("Side by side", ("what", "as it was, by the model", "changed"), tuple(rows))


def whatif_text(found: WhatIf) -> str:
    """Write a what-if as text.

    Parameters
    ----------
    found : WhatIf
        The two mornings.

    Returns
    -------
    str
        Lines.
    """
    table = whatif_table(found)
    lines = [f"{found.recording_id}, if it had been otherwise: {change_words(found.change)}.", ""]
    lines += [f"  {a:<22} {b:<28} {c}" for a, b, c in (table.heads, *table.rows)]
    lines += ["", found.verdict, "It takes for granted:", *(f"  - {a}" for a in found.assumes)]
    return "\n".join(lines)


def _side_json(side: Side) -> dict[str, Any]:
    return {
        "turning_points": [
            {"kind": c.kind, "p10_s": c.p10_s, "p50_s": c.p50_s, "p90_s": c.p90_s,
             "never": round(c.never, 4)}
            for c in side.comes
        ],
        "energy_kWh": {name: round(kWh, 4) for name, kWh in side.energy_kWh.items()},
        "cost": round(side.cost, 4),
    }  # fmt: skip


def whatif_document(found: WhatIf) -> dict[str, Any]:
    """Describe a what-if for a program.

    Parameters
    ----------
    found : WhatIf
        The two mornings.

    Returns
    -------
    dict
        ``recording``, ``change``, ``before``, ``after``, ``verdict``, ``assumes``.
    """
    change = found.change
    return {
        "recording": found.recording_id,
        "change": {"colder_K": change.colder_K, "supply_kW": change.supply_kW,
                   "no_cabin": change.no_cabin, "drive_units": change.drive_units,
                   "garage_degC": change.garage_degC},
        "before": _side_json(found.before),
        "after": _side_json(found.after),
        "verdict": found.verdict,
        "assumes": list(found.assumes),
    }  # fmt: skip


def _plots(found: WhatIf) -> list[Plot]:
    t, layers, heat, charge = found.t / 60.0, [], [], []
    sides = (("as it was", found.before, "blue"), ("changed", found.after, "vermilion"))
    for name, side, colour in sides:
        low, middle, high = side.coldest_degC
        course = f"{number(float(middle[0]), 1)} to {number(float(middle[-1]), 1)} °C"
        layers.append(Layer("band", f"{name}, 10 to 90 %", "", colour, "solid", t, low, high))
        layers.append(Layer("line", name, course, colour, "solid", t, middle))
        most = f"at most {number(float(side.heat_kW.max()), 1)} kW"
        heat.append(Layer("line", name, most, colour, "solid", t[1:], side.heat_kW))
        top = f"at most {number(float(side.charge_kW.max()), 1)} kW"
        charge.append(Layer("line", name, top, colour, "solid", t[1:], side.charge_kW))
    layers.append(Layer("line", "0 °C", "", "ink", "dashed", t[[0, -1]], np.zeros(2)))
    x = "minutes of the recording"
    plots = [
        Plot("coldest", "Coldest cell", "Both mornings, of the same cars that fit the recording.",
             x, "°C", tuple(layers), with_zero=False),
        Plot("heat", "Heat for the pack", "What heats the pack in both mornings.", x, "kW",
             tuple(heat)),
    ]  # fmt: skip
    if any(side.charge_kW.max() > 0.0 for _, side, _ in sides):
        about = "What charging puts into the pack in both mornings, on average."
        plots.append(Plot("charge", "Charging power", about, x, "kW", tuple(charge)))
    return plots


def whatif_page(found: WhatIf) -> str:
    """Write the page of a what-if.

    Parameters
    ----------
    found : WhatIf
        The two mornings.

    Returns
    -------
    str
        One HTML document with its styles, scripts and data in it.
    """
    plots = _plots(found)
    return set_template(
        "whatif.html",
        {plot.key: draw(plot) for plot in plots},
        title=f"If it had been otherwise: {change_words(found.change)}",
        facts=found.recording_id,
        sentences=[found.verdict],
        plots=plots,
        table=whatif_table(found),
        assumes=found.assumes,
    )
