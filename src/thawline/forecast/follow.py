"""Keep a fit up with a growing recording: fit anew only when it is due."""

from __future__ import annotations

from thawline.forecast.settings import setting
from thawline.recording.flows import Flows
from thawline.recording.recording import Recording
from thawline.story.story import Story
from thawline.warmup.fit import fit
from thawline.warmup.prior import Prior
from thawline.warmup.warmup import WarmUp


def heating_since(story: Story) -> float | None:
    """Tell when heating first began.

    Parameters
    ----------
    story : Story
        The story.

    Returns
    -------
    float or None
        When [s]; None if it has not begun.
    """
    begun = [span.from_s for span in story.spans if span.lane == "pack-heating"]
    return min(begun) if begun else None


def is_due(
    before: WarmUp | None,
    story: Story,
    now_s: float,
    *,
    needs_fit: bool = False,
    keeps_fit: bool = False,
) -> bool:
    """Tell whether a new fit is due.

    Parameters
    ----------
    before : WarmUp or None
        The last fit; None if there is none.
    story : Story
        The story until now.
    now_s : float
        The instant [s].
    needs_fit, keeps_fit : bool
        What the last forecast said of its fit.

    Returns
    -------
    bool
        True without a fit, where the forecast asked for one, or where the time since heating
        began has grown by a share; never where the car has changed, as what it does now would
        be taken for what it has been like.
    """
    if before is None:
        return True
    if keeps_fit:
        return False
    since = heating_since(story)
    if since is None:
        return False
    grown = now_s - before.until_s
    if needs_fit and grown >= setting("refit_least_s"):
        return True
    return grown >= max(setting("refit_least_s"), setting("refit_share") * (now_s - since))


def follow(
    recording: Recording,
    flows: Flows,
    story: Story,
    before: WarmUp | None,
    prior: Prior | None,
    now_s: float,
    *,
    needs_fit: bool = False,
    keeps_fit: bool = False,
) -> WarmUp:
    """Give a fit that is good enough for now.

    Parameters
    ----------
    recording : Recording
        The recording, cut at now.
    flows : Flows
        Its powers.
    story : Story
        Its story.
    before : WarmUp or None
        The last fit of this recording; None if there is none.
    prior : Prior or None
        What earlier mornings taught.
    now_s : float
        The instant [s].
    needs_fit, keeps_fit : bool
        What the last forecast said of its fit.

    Returns
    -------
    WarmUp
        The last fit, or a new one that begins from it.
    """
    due = is_due(before, story, now_s, needs_fit=needs_fit, keeps_fit=keeps_fit)
    if before is not None and not due:
        return before
    return fit(recording, flows, story, prior, now_s, near=before)
