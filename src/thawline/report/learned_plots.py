"""Charts of what a vehicle's recordings taught of its cells."""

from __future__ import annotations

import numpy as np

from thawline.charge.learned import HiddenCurve, Learned, LimitCurve, OpenCircuit
from thawline.charge.resisting import ResistanceCurve
from thawline.physics.battery import arrhenius_factor
from thawline.report.numbers import number
from thawline.report.plots import MOST_POINTS, Layer, Plot

COLOURS = {"charging": "blue", "regeneration": "purple"}
TITLES = {"charging": "Charging that the pack allows", "regeneration": "Regeneration that the pack "
          "allows"}  # fmt: skip
DEGC = "°C"


def learned_plots(found: Learned) -> list[Plot]:
    """Choose the charts.

    Parameters
    ----------
    found : Learned
        What was learned.

    Returns
    -------
    list of Plot
        One for each thing that could be learned.
    """
    plots = []
    for curve in (found.charging, found.regeneration):
        if curve is not None:
            plots.append(_limit(curve))
            if len(curve.charge_pct) > 1:
                plots.append(_by_charge(curve))
    if found.resistance is not None:
        plots.append(_resistance(found.resistance))
    if found.hidden is not None:
        plots.append(_hidden(found.hidden))
    if found.open_circuit is not None and len(found.open_circuit.volts) > 1:
        plots.append(_open_circuit(found.open_circuit))
    return plots


def _limit(curve: LimitCurve) -> Plot:
    colour = COLOURS[curve.what]
    is_limit = curve.origin == "limit signal"
    points = curve.points
    ends = f"{number(curve.degC[0], 1)} to {number(curve.degC[-1], 1)} {DEGC}"
    top = number(curve.kW[-1], 1)
    layers = [
        Layer("points", "samples", _count(len(points.kW), curve.recordings), "grey",
              "solid", points.degC, points.kW),
        Layer("band", "interval of 90 %", "", colour, "solid", curve.degC, curve.low_kW,
              curve.high_kW),
        Layer("line", "learned" if is_limit else "most that was achieved",
              f"{ends}, up to {top} kW", colour, "solid", curve.degC, curve.kW),
    ]  # fmt: skip
    at = curve.threshold.degC
    if at is not None:
        layers.append(
            Layer("mark", "leaves zero", f"{number(at, 2)} ± "
                  f"{number(curve.threshold.plus_minus_K or 0.0, 2)} {DEGC}", "ink", "dashed",
                  np.array([at]), np.zeros(1))
        )  # fmt: skip
    caption = (
        f"By the limit that the car itself shows, against the {curve.against}."
        if is_limit
        else f"No limit is recorded: this is the most that was achieved, against the "
        f"{curve.against}. At least so much was allowed; the limit itself may lie higher."
    )
    return Plot(f"limit-{curve.what}", TITLES[curve.what], caption,
                f"{curve.against}, {DEGC}", "kW", tuple(layers))  # fmt: skip


def _count(samples: int, recordings: int) -> str:
    text = f"{samples} from {recordings} recording{'' if recordings == 1 else 's'}"
    return f"{text}, {MOST_POINTS} of them drawn" if samples > MOST_POINTS else text


def _by_charge(curve: LimitCurve) -> Plot:
    line = Layer("line", "learned", "", COLOURS[curve.what], "solid", curve.charge_pct,
                 curve.charge_kW)  # fmt: skip
    caption = "What the state of charge leaves where the temperature would allow more."
    return Plot(f"limit-{curve.what}-by-charge", f"{TITLES[curve.what]}, by state of charge",
                caption, "physical state of charge, %", "kW", (line,))  # fmt: skip


def _resistance(curve: ResistanceCurve) -> Plot:
    points, table = curve.points, curve.table
    degC = np.array([point.degC for point in points])
    mOhm = np.array([point.mOhm for point in points])
    at = np.array([row.degC for row in table])
    low = np.array([row.mOhm - row.plus_minus_mOhm for row in table])
    high = np.array([row.mOhm + row.plus_minus_mOhm for row in table])
    layers = [
        Layer("points", "windows of two minutes", f"{len(points)}", "grey", "solid", degC, mOhm),
        Layer("bars", "by bins of temperature", "with standard uncertainty", "vermilion", "solid",
              at, low, high),
    ]  # fmt: skip
    if curve.activation_kJ_per_mol is not None and len(at):
        line = np.linspace(float(at.min()), float(at.max()), 80)
        fit = curve.mOhm * arrhenius_factor(line, curve.activation_kJ_per_mol, curve.reference_degC)
        energy = f"{number(curve.activation_kJ_per_mol, 1)} kJ/mol"
        layers.append(Layer("line", "Arrhenius", energy, "vermilion", "solid", line, fit))
    caption = (
        "From the voltage that follows the current within windows of two minutes, the slow change "
        "at rest taken off; brought to the middle of the charge by the fit."
    )
    return Plot("resistance", "Resistance of the pack", caption, f"mean of the pack, {DEGC}",
                "mΩ", tuple(layers))  # fmt: skip


def _hidden(curve: HiddenCurve) -> Plot:
    layers = (
        Layer("points", "moments at which the display changed", f"{len(curve.points_pct)}", "grey",
              "solid", curve.points_degC, curve.points_pct),
        Layer("band", "interval of 90 %", "", "orange", "solid", curve.degC, curve.low_pct,
              curve.high_pct),
        Layer("line", "hidden", f"{number(curve.hidden_pct[0], 1)} points at "
              f"{number(curve.degC[0], 1)} {DEGC}", "orange", "solid", curve.degC,
              curve.hidden_pct),
    )  # fmt: skip
    caption = (
        "Physical less displayed state of charge: what the cold hides, and gives back in the warm."
    )
    return Plot("hidden", "What the cold hides from the display", caption,
                f"mean of the pack, {DEGC}", "points", layers)  # fmt: skip


def _open_circuit(curve: OpenCircuit) -> Plot:
    per = curve.cells_in_series or 1
    unit = "V per cell" if curve.cells_in_series else "V of the pack"
    line = Layer("line", "at rest", "", "green", "solid", curve.charge_pct, curve.volts / per)
    caption = "Voltage at small currents, the drop over the resistance taken off; as far as told."
    return Plot("open-circuit", "Voltage at rest", caption, "physical state of charge, %", unit,
                (line,), with_zero=False)  # fmt: skip
