"""Say what keeps charging, regeneration or pack heating from being more at an instant."""

from __future__ import annotations

from thawline.errors import RequestError, did_you_mean
from thawline.recording.flows import Flows
from thawline.recording.recording import Recording
from thawline.story.figures import moment
from thawline.story.known_limits import KnownLimits
from thawline.story.story import Story, WhyNot
from thawline.story.tell import Acts, find_acts
from thawline.story.why_charging import why_not_charging
from thawline.story.why_heating import why_not_heating
from thawline.story.why_known import taught
from thawline.story.why_regeneration import why_not_regeneration

WHATS = ("charging", "regeneration", "pack-heating")


def why_not(
    recording: Recording,
    flows: Flows,
    story: Story,
    what: str,
    t_s: float,
    known: KnownLimits | None = None,
) -> WhyNot:
    """Say what keeps something from being more at an instant.

    Every limit that the recording tells is put as the power that it allows; the tightest
    one is the answer, if what flows is near it.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers.
    story : Story
        Its story.
    what : str
        ``charging``, ``regeneration`` or ``pack-heating``.
    t_s : float
        The instant, since the recording's start [s].
    known : KnownLimits, optional
        What other recordings of the vehicle taught of its limits.

    Returns
    -------
    WhyNot
        The limit, in one sentence with its numbers.

    Raises
    ------
    RequestError
        If ``what`` is none of the three, or the instant lies outside the recording.
    """
    _check(recording, what, t_s)
    return why_not_from(acts_of(recording, flows, known), story, what, t_s, known)


def acts_of(recording: Recording, flows: Flows, known: KnownLimits | None = None) -> Acts:
    """Find what the answers rest on, once for all instants.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers.
    known : KnownLimits, optional
        What other recordings of the vehicle taught of its limits.

    Returns
    -------
    Acts
        For ``why_not_from``.
    """
    return taught(find_acts(recording, flows), known)


def _check(recording: Recording, what: str, t_s: float) -> None:
    if what not in WHATS:
        choices = ", ".join(WHATS)
        raise RequestError(
            f"what (={what!r}) must be one of {choices}", cure=did_you_mean(what, WHATS)
        )
    if not 0.0 <= t_s <= recording.duration_s:
        raise RequestError(
            f"the instant (={t_s:g} s) must be in [0, {recording.duration_s:g}] s",
            cure="choose one within the recording",
        )


def why_not_from(
    acts: Acts, story: Story, what: str, t_s: float, known: KnownLimits | None = None
) -> WhyNot:
    """Say the same as ``why_not`` from what was found before.

    Parameters
    ----------
    acts : Acts
        What ``acts_of`` found.
    story : Story
        The recording's story.
    what : str
        ``charging``, ``regeneration`` or ``pack-heating``.
    t_s : float
        The instant, within the recording [s].
    known : KnownLimits, optional
        What ``acts_of`` was given.

    Returns
    -------
    WhyNot
        The limit, in one sentence with its numbers.
    """
    for span in story.spans:
        if span.lane == "no-data" and span.from_s < t_s < span.to_s:
            text = (
                f"Nothing was recorded from {moment(span.from_s)} to {moment(span.to_s)}, so "
                f"no limit of {what} is known."
            )
            return WhyNot(what, t_s, "nothing-known", None, text, ())
    if what == "charging":
        return why_not_charging(acts, t_s, None if known is None else known.charging)
    if what == "regeneration":
        return why_not_regeneration(acts, t_s, None if known is None else known.regeneration)
    return why_not_heating(acts, story, t_s)
