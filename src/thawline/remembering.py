"""Figures of a library's earlier recordings, kept so that each is looked through once.

Recording -> Flows -> Story -> Ledger -> Findings -> Figures, one file for each recording
"""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
from contextlib import suppress
from pathlib import Path

from thawline import __version__
from thawline.findings.figures import from_plain, plain
from thawline.findings.find import find
from thawline.findings.finding import Figures
from thawline.ledger.account import account
from thawline.library.library import Library
from thawline.library.load import load
from thawline.recording.flows import make_flows
from thawline.recording.recording import Recording
from thawline.story.tell import tell
from thawline.teaching import FOLDER, names_before

#: Number of the layout and of the way in which figures are found; another one makes them anew [1].
LAYOUT = 1
#: So many earlier recordings are held against the present one, the latest ones [1].
MOST = 6


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
    return tuple(_kept_or_found(library, name) for name in names[-MOST:])


def _kept_or_found(library: Library, name: str) -> Figures:
    told = json.dumps([__version__, LAYOUT, name])
    key = hashlib.sha256(told.encode()).hexdigest()[:16]
    path = library.folder / FOLDER / f"figures-{key}.json"
    with suppress(OSError, ValueError, KeyError, TypeError):
        kept = from_plain(json.loads(path.read_text("utf-8")))
        if kept.recording_id == name:
            return kept
    found = figures_of(load(library, name))
    with suppress(OSError):
        _write(path, json.dumps(plain(found)))
    return found


def _write(path: Path, text: str) -> None:
    """Keep it in one step; where nothing can be written it is found again next time."""
    path.parent.mkdir(exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, suffix=".part")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
        Path(name).replace(path)
    except OSError:
        Path(name).unlink(missing_ok=True)
        raise
