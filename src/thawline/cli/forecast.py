"""``thawline forecast``: when charging, regeneration and comfort will come."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from thawline.cli.options import AsJson, Library
from thawline.cli.speak import answer, answer_json, say, write_page
from thawline.errors import RequestError

if TYPE_CHECKING:
    from thawline.forecast.backtest import Backtest
    from thawline.forecast.forecast import Forecast, PointAhead


def forecast(
    recording: Annotated[str, typer.Argument(help="A recording's name or the beginning of it.")],
    at: Annotated[
        float | None,
        typer.Option("--at", help="The instant, in seconds from the first sample; else the end."),
    ] = None,
    level: Annotated[
        list[float] | None,
        typer.Option("--level", help="Also when so many kW of regeneration come; repeatable."),
    ] = None,
    backtest: Annotated[
        bool, typer.Option("--backtest", help="Replay the recording and score the forecasts.")
    ] = False,
    every: Annotated[
        float, typer.Option("--every", help="Seconds between two forecasts of a replay.")
    ] = 30.0,
    priors: Annotated[
        Path | None,
        typer.Option(
            "--priors",
            help="What a fleet taught of the vehicle's model, priors.json of thawline fleet; else "
            "the library's last run counts.",
        ),
    ] = None,
    html: Annotated[
        Path | None, typer.Option("--html", help="Write one self-contained page there.")
    ] = None,
    library: Library = None,
    as_json: AsJson = False,
) -> None:
    """Say when each turning point will come, using no sample after an instant."""
    # imported here: help stays quick
    from thawline.library.library import open_library
    from thawline.looking import forecast as look
    from thawline.looking import replay

    opened = open_library(library)
    levels = tuple(level or ())
    if backtest:
        if every <= 0.0:
            raise RequestError("--every must be above 0 s", cure="for instance --every 30")
        done = replay(opened, recording, every, levels, priors=priors)
        if as_json:
            answer_json(backtest_json(done))
        else:
            _tell_scores(done)
        if html is not None:
            _write(html, done, None)
        return
    found = look(opened, recording, at, levels, priors)
    if as_json:
        answer_json(forecast_json(found))
    else:
        _tell(found)
    if html is not None:
        _write(html, None, found)


def _whole(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else round(float(value), 3)


def point_json(point: PointAhead) -> dict[str, Any]:
    """Describe one turning point ahead as the contract has it.

    Parameters
    ----------
    point : PointAhead
        The turning point.

    Returns
    -------
    dict
        ``kind``, ``p10_s``, ``p50_s``, ``p90_s``, ``never`` and what else is known.
    """
    told: dict[str, Any] = {
        "kind": point.kind,
        "p10_s": _whole(point.p10_s),
        "p50_s": _whole(point.p50_s),
        "p90_s": _whole(point.p90_s),
        "never": round(float(point.never), 4),
        "is_past": point.is_past,
        "because": point.because,
    }
    if point.level_kW is not None:
        told["level_kW"] = point.level_kW
    return told


def forecast_json(found: Forecast) -> dict[str, Any]:
    """Describe a forecast as the contract has it.

    Parameters
    ----------
    found : Forecast
        The forecast.

    Returns
    -------
    dict
        ``made_at_s``, ``verdict``, ``turning_points`` and what else is known.
    """
    return {
        "recording": found.recording_id,
        "made_at_s": found.made_at_s,
        "until_s": found.until_s,
        "verdict": found.verdict,
        "turning_points": [point_json(point) for point in found.turning_points],
        "assumes": list(found.assumes),
    }


def backtest_json(done: Backtest) -> dict[str, Any]:
    """Describe a replay.

    Parameters
    ----------
    done : Backtest
        The replay.

    Returns
    -------
    dict
        ``recordings``, ``scores`` by turning point, ``came`` and ``forecasts``.
    """
    return {
        "recordings": list(done.recording_ids),
        "scores": [
            {
                "kind": score.kind,
                "trials": score.trials,
                "median_error_s": _whole(score.median_error_s),
                "median_share": _whole(score.median_share),
                "coverage": _whole(score.coverage),
                "interval_score_s": _whole(score.interval_score_s),
                "crps_s": _whole(score.crps_s),
            }
            for score in done.scores
        ],
        "came": [
            {"kind": kind, "level_kW": level, "t_s": _whole(t_s)}
            for (kind, level), t_s in done.came.items()
        ],
        "forecasts": [forecast_json(each) for each in done.forecasts],
    }


def _minutes(seconds: float | None) -> str:
    if seconds is None or not math.isfinite(seconds):
        return "later"
    sign = "−" if seconds < 0 else ""
    whole = round(abs(seconds))
    return f"{sign}{whole // 60}:{whole % 60:02d}"


def _tell(found: Forecast) -> None:
    answer(f"Seen from {_minutes(found.made_at_s)} into the recording. {found.verdict}")
    answer("")
    answer("  what                          10 %     50 %     90 %   from now, min:s")
    for point in found.turning_points:
        name = point.kind.replace("-", " ")
        if point.level_kW is not None:
            name = f"{point.level_kW:g} kW of regeneration"
        if point.is_past:
            answer(f"  {name:<26} came at {_minutes(point.p50_s)}")
            continue
        times = (point.p10_s, point.p50_s, point.p90_s)
        ahead = [_minutes(None if t is None else t - found.made_at_s) for t in times]
        never = f"   never: {point.never:.0%}" if point.never >= 0.005 else ""
        answer(f"  {name:<26} {ahead[0]:>7}  {ahead[1]:>7}  {ahead[2]:>7}{never}")
        answer(f"      {point.because}")
    if found.assumes:
        answer("")
        answer("It takes for granted:")
        for text in found.assumes:
            answer(f"  - {text}")
    answer("")
    answer("A forecast is no permission: what the car allows is the car's to decide.")


def _tell_scores(done: Backtest) -> None:
    if not done.scores:
        say("nothing to score: no turning point came after heating had begun")
        return
    answer("  what                       forecasts  error of p50  of time left  in p10–p90   CRPS")
    for score in done.scores:
        answer(
            f"  {score.kind.replace('-', ' '):<26} {score.trials:>9}  "
            f"{score.median_error_s:>10.0f} s  {score.median_share:>11.0%}  "
            f"{score.coverage:>10.0%}  {score.crps_s:>5.0f} s"
        )


def _write(path: Path, done: Backtest | None, found: Forecast | None) -> None:
    from thawline.report.forecast_page import forecast_page  # imported here: it loads charting

    write_page(forecast_page(done, found), path)
