"""Figures of a library's earlier recordings, kept so that each is looked through once.

Recording -> Flows -> Story -> Ledger -> Findings -> Figures, a row of the library for each
"""

from __future__ import annotations

from thawline.findings.find import find
from thawline.findings.finding import Figures
from thawline.ledger.account import account
from thawline.library.library import Library
from thawline.recording.flows import make_flows
from thawline.recording.recording import Recording
from thawline.story.tell import tell
from thawline.teaching import names_before
from thawline.trends.kept import latest_looked_at
from thawline.trends.study import MOST


def figures_of(recording: Recording) -> Figures:
    """Find the figures of a recording, by itself.

    Parameters
    ----------
    recording : Recording
        The recording.

    Returns
    -------
    Figures
        What other mornings can be held against.
    """
    flows = make_flows(recording)
    story = tell(recording, flows)
    return find(recording, flows, story, account(recording, flows, story)).figures


def earlier_figures(library: Library, recording: Recording) -> tuple[Figures, ...]:
    """Find the figures of the vehicle's recordings before this one, or read them if kept.

    Parameters
    ----------
    library : Library
        The library.
    recording : Recording
        The recording that is explained.

    Returns
    -------
    tuple of Figures
        Of the latest recordings that began before it, the earliest first.
    """
    names = names_before(
        library, recording.vehicle.name, but=(recording.id,), until=recording.starts_at
    )
    return tuple(one.morning.figures for one in latest_looked_at(library, names, MOST))
