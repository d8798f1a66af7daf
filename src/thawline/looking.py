"""The walk ahead: from a kept recording to a forecast, or to a replay of forecasts.

Recording until now -> WarmUp (with earlier mornings as prior) -> Forecast
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from thawline.errors import RequestError
from thawline.forecast.backtest import Backtest, backtest
from thawline.forecast.cut import cut_at
from thawline.forecast.forecast import Forecast
from thawline.forecast.from_fleet import limits_with_model, prior_of_model
from thawline.forecast.from_learned import learn_earlier_limits
from thawline.forecast.limits import LearnedLimits
from thawline.forecast.look_ahead import look_ahead
from thawline.library.library import Library
from thawline.library.listing import listing
from thawline.library.load import load
from thawline.recording.flows import make_flows
from thawline.recording.recording import Recording
from thawline.story.tell import find_acts, tell
from thawline.teaching import taught_by_others
from thawline.warmup.fit import fit
from thawline.warmup.mornings import prior_from
from thawline.warmup.prior import Prior
from thawline.warmup.warmup import WarmUp

#: So many earlier mornings of the vehicle are learned from, the latest ones [1].
EARLIER = 6

Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class Earlier:
    """What earlier mornings of a vehicle teach.

    Parameters
    ----------
    names : tuple of str
        The recordings.
    prior : Prior or None
        Of the warm-up model's parameters; None without earlier mornings.
    limits : LearnedLimits or None
        What the cells allowed; None without earlier mornings.
    """

    names: tuple[str, ...]
    prior: Prior | None
    limits: LearnedLimits | None


def learn_earlier(library: Library, recording: Recording, priors: Path | None = None) -> Earlier:
    """Learn from the mornings of the same vehicle that began before this one.

    What they leave open is taken from others of its model, if a fleet's run knows any.

    Parameters
    ----------
    library : Library
        Where they are kept.
    recording : Recording
        This morning.
    priors : Path, optional
        The ``priors.json`` of a fleet's run; by default the library's last run counts.

    Returns
    -------
    Earlier
        Priors for the model and the limits.
    """
    names = [
        entry.id
        for entry in listing(library, vehicle=recording.vehicle.name, until=recording.starts_at)
        if entry.id != recording.id and entry.starts_at < recording.starts_at
    ][-EARLIER:]
    before = [load(library, name) for name in names]
    told = taught_by_others(library, recording.vehicle, priors)
    model = prior_of_model(told) if len(before) < EARLIER else None
    fits = [_fit(each, model, None) for each in before]
    limits = limits_with_model(learn_earlier_limits(before), told, recording.vehicle)
    return Earlier(tuple(names), prior_from(fits) or model, limits)


def _fit(recording: Recording, prior: Prior | None, until_s: float | None) -> WarmUp:
    flows = make_flows(recording)
    return fit(recording, flows, tell(recording, flows), prior, until_s)


def forecast(
    library: Library,
    id_or_prefix: str,
    at_s: float | None,
    levels_kW: Sequence[float] = (),
    priors: Path | None = None,
) -> Forecast:
    """Forecast the turning points to come, from no sample after an instant.

    Parameters
    ----------
    library : Library
        The library.
    id_or_prefix : str
        The recording's name, or the beginning of it.
    at_s : float or None
        The instant, since the recording's start; None: its end [s].
    levels_kW : sequence of float
        Regenerative powers to wait for [kW].
    priors : Path, optional
        The ``priors.json`` of a fleet's run; by default the library's last run counts.

    Returns
    -------
    Forecast
        When each turning point comes.

    Raises
    ------
    RequestError
        If there is no such recording, or the instant lies outside it.
    """
    recording = load(library, id_or_prefix)
    return forecast_from(recording, learn_earlier(library, recording, priors), at_s, levels_kW)


def forecast_from(
    recording: Recording, earlier: Earlier, at_s: float | None, levels_kW: Sequence[float] = ()
) -> Forecast:
    """Forecast from a recording and from what earlier mornings taught.

    Parameters
    ----------
    recording : Recording
        The recording, of which no sample after the instant is used.
    earlier : Earlier
        What earlier mornings taught.
    at_s : float or None
        The instant, since the recording's start; None: its end [s].
    levels_kW : sequence of float
        Regenerative powers to wait for [kW].

    Returns
    -------
    Forecast
        When each turning point comes.

    Raises
    ------
    RequestError
        If the instant lies outside the recording.
    """
    now_s = recording.duration_s if at_s is None else at_s
    if not 0.0 <= now_s <= recording.duration_s:
        raise RequestError(
            f"the instant (={now_s:g} s) must be in [0, {recording.duration_s:g}] s, the length "
            f"of {recording.id}",
            cure="give seconds from the first sample",
        )
    known = cut_at(recording, now_s)
    flows = make_flows(known)
    acts = find_acts(known, flows)
    story = tell(known, flows, acts)
    warmup = fit(known, flows, story, earlier.prior)
    now_s = min(now_s, known.duration_s)
    return look_ahead(known, flows, story, warmup, earlier.limits, now_s, levels_kW, acts).alone()


def replay(
    library: Library,
    id_or_prefix: str,
    every_s: float,
    levels_kW: Sequence[float] = (),
    progress: Progress | None = None,
    priors: Path | None = None,
) -> Backtest:
    """Replay a recording and score the forecasts that would have been made.

    Parameters
    ----------
    library : Library
        The library.
    id_or_prefix : str
        The recording's name, or the beginning of it.
    every_s : float
        Time between two forecasts [s].
    levels_kW : sequence of float
        Regenerative powers to wait for [kW].
    progress : callable, optional
        Called with the forecasts done and the forecasts in all.
    priors : Path, optional
        The ``priors.json`` of a fleet's run; by default the library's last run counts.

    Returns
    -------
    Backtest
        Forecasts, what came, and scores.

    Raises
    ------
    RequestError
        If there is no such recording.
    """
    recording = load(library, id_or_prefix)
    earlier = learn_earlier(library, recording, priors)
    return backtest(recording, every_s, earlier.prior, earlier.limits, levels_kW, progress)
