"""A forecast, or a replay of forecasts against what came, as one page without a network."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.backtest import Backtest, Key
from thawline.forecast.forecast import Fan, Forecast, PointAhead
from thawline.report.learned_tables import Table
from thawline.report.numbers import number
from thawline.report.plots import Layer, Plot, draw
from thawline.report.templating import set_template

Array = NDArray[np.float64]
#: The chart goes on for this long after the last turning point is due [s].
MARGIN_S = 600.0
#: Colours of turning points, by what they are of.
COLOURS = {
    "regeneration-returns": "purple",
    "regeneration-at-kW": "purple",
    "coldest-cell-thaws": "blue",
    "charging-begins": "vermilion",
    "charger-at-full-power": "orange",
    "cabin-comfortable": "green",
}


def name_of(kind: str, level_kW: float | None) -> str:
    """Name a turning point in running text.

    Parameters
    ----------
    kind : str
        Its kind.
    level_kW : float or None
        The regenerative power that is waited for [kW].

    Returns
    -------
    str
        Such as ``coldest cell thaws``.
    """
    if level_kW is not None:
        return f"{number(level_kW, 0)} kW of regeneration"
    return kind.replace("-", " ")


def _minutes(seconds: float | None) -> str:
    if seconds is None or not np.isfinite(seconds):
        return "later"
    return f"{number(seconds / 60.0, 1)} min"


def _fan(found: Forecast) -> Plot:
    late = [p.p90_s for p in found.turning_points if p.p90_s is not None and not p.is_past]
    until = max(late, default=found.made_at_s + 1800.0) + MARGIN_S
    shown = found.fan.t <= until
    fan = Fan(*(each[shown] for each in (found.fan.t, found.fan.p10_degC, found.fan.p50_degC,
                                         found.fan.p90_degC)))  # fmt: skip
    t = fan.t / 60.0
    ends = f"{number(fan.p50_degC[0], 1)} to {number(fan.p50_degC[-1], 1)} °C"
    layers = (
        Layer("band", "10 to 90 %", "", "blue", "solid", t, fan.p10_degC, fan.p90_degC),
        Layer("line", "50 %", ends, "blue", "solid", t, fan.p50_degC),
        Layer("line", "0 °C", "", "ink", "dashed", t[[0, -1]], np.zeros(2)),
    )
    caption = "Where the coldest cell is expected; the band widens with what is not known."
    x = "minutes of the recording"
    return Plot("fan", "Coldest cell ahead", caption, x, "°C", layers, with_zero=False)


def _column(forecasts: Sequence[Forecast], key: Key, which: str) -> tuple[Array, Array]:
    made, said = [], []
    for each in forecasts:
        for point in each.turning_points:
            if (point.kind, point.level_kW) == key and not point.is_past:
                value: float | None = getattr(point, which)
                made.append(each.made_at_s / 60.0)
                said.append(np.nan if value is None else value / 60.0)
    return np.array(made), np.array(said)


def _against(done: Backtest, key: Key, came_s: float) -> Plot | None:
    """Draw what was said at each instant against what came."""
    before = [each for each in done.forecasts if each.made_at_s < came_s]
    made, middle = _column(before, key, "p50_s")
    early, late = _column(before, key, "p10_s")[1], _column(before, key, "p90_s")[1]
    kept = np.isfinite(middle) & np.isfinite(early)
    if kept.sum() < 2:
        return None
    late = np.where(np.isfinite(late), late, np.nanmax(np.append(late, middle)))
    colour = COLOURS.get(key[0], "ink")
    came = came_s / 60.0
    x = made[kept]
    layers = (
        Layer("band", "10 to 90 %", "", colour, "solid", x, early[kept], late[kept]),
        Layer("line", "50 %", "", colour, "solid", x, middle[kept]),
        Layer("line", "what came", f"{number(came, 1)} min", "ink", "dashed", x[[0, -1]],
              np.full(2, came)),
    )  # fmt: skip
    caption = "Said at each instant, against when it really came. Where both meet, it has come."
    return Plot(
        f"ahead-{key[0]}-{key[1] or 0:g}", f"When: {name_of(*key)}", caption,
        "minutes of the recording at which it was said", "minutes of the recording", layers,
        with_zero=False,
    )  # fmt: skip


def ahead_table(found: Forecast) -> Table:
    """Write out what a forecast expects.

    Parameters
    ----------
    found : Forecast
        The forecast.

    Returns
    -------
    Table
        A row for each turning point.
    """

    def row(point: PointAhead) -> tuple[str, ...]:
        name = name_of(point.kind, point.level_kW)
        if point.is_past:
            return (name, "came", f"at {_minutes(point.p50_s)}", "", "")
        times = (point.p10_s, point.p50_s, point.p90_s)
        left = [_minutes(None if t is None else t - found.made_at_s) for t in times]
        return (name, *left, f"{point.never:.0%}")

    heads = ("turning point", "10 %", "50 %", "90 %", "never")
    return Table("Waiting from now", heads, tuple(row(point) for point in found.turning_points))


def _score_table(done: Backtest) -> Table:
    rows = tuple(
        (
            score.kind.replace("-", " "),
            str(score.trials),
            f"{number(score.median_error_s, 0)} s",
            f"{score.median_share:.0%}",
            f"{score.coverage:.0%}",
            f"{number(score.interval_score_s, 0)} s",
            f"{number(score.crps_s, 0)} s",
        )
        for score in done.scores
    )
    heads = ("turning point", "forecasts", "median error of 50 %", "of the time left",
             "came between 10 and 90 %", "interval score", "CRPS")  # fmt: skip
    return Table("How good they were", heads, rows)


def forecast_page(done: Backtest | None, found: Forecast | None) -> str:
    """Write the page of a forecast, or of a replay.

    Parameters
    ----------
    done : Backtest or None
        A replay.
    found : Forecast or None
        A forecast, where there is no replay.

    Returns
    -------
    str
        One HTML document with its styles, scripts and data in it.

    Raises
    ------
    ValueError
        If neither is given.
    """
    if done is not None:
        keyed = [_against(done, key, came_s) for key, came_s in done.came.items()]
        plots = [plot for plot in keyed if plot is not None]
        title, facts = "Forecasts against what came", ", ".join(done.recording_ids)
        sentences = [f"{len(done.forecasts)} forecasts were made; each saw nothing after its "
                     "instant."]  # fmt: skip
        table = _score_table(done)
        assumes: tuple[str, ...] = ()
    elif found is not None:
        plots = [_fan(found)]
        title = f"What comes next, seen from {_minutes(found.made_at_s)}"
        facts, sentences = found.recording_id, [found.verdict]
        sentences += [
            f"{name_of(point.kind, point.level_kW).capitalize()}: {point.because}"
            for point in found.turning_points
            if not point.is_past
        ]
        table, assumes = ahead_table(found), found.assumes
    else:
        raise ValueError("neither a replay nor a forecast is given")
    return set_template(
        "forecast.html",
        {plot.key: draw(plot) for plot in plots},
        title=title,
        facts=facts,
        sentences=sentences,
        plots=plots,
        table=table,
        assumes=assumes,
    )
