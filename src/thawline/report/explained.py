"""All that the rooms found out about one recording, gathered for showing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from thawline.charge.charge import Charge
from thawline.ledger.ledger import Ledger
from thawline.recording.flows import Flows
from thawline.recording.recording import Recording
from thawline.story.known_limits import KnownLimits
from thawline.story.story import Evidence, Story


class Finding(NamedTuple):
    """Something worth looking into; a plain tuple of the same five serves as well.

    Parameters
    ----------
    kind : str
        What it is, a short name with hyphens.
    from_s : float or None
        Since when; None where it holds for the whole recording [s].
    confidence : float or None
        How sure it is, from 0 to 1 [1].
    because : str
        Why, in one sentence with its numbers.
    evidence : tuple of Evidence
        What it rests on.
    """

    kind: str
    from_s: float | None
    confidence: float | None
    because: str
    evidence: tuple[Evidence, ...] = ()


class Note(NamedTuple):
    """What the person wrote; a plain tuple of the two serves as well.

    Parameters
    ----------
    at_s : float or None
        To which moment it belongs; None: to the recording as a whole [s].
    text : str
        The words.
    """

    at_s: float | None
    text: str


AnyFinding = Finding | tuple[str, float | None, float | None, str, tuple[Evidence, ...]]
AnyNote = Note | tuple[float | None, str]


@dataclass(frozen=True, slots=True)
class Explained:
    """An explained recording: what every report is made of.

    Parameters
    ----------
    recording : Recording
        What was recorded.
    flows : Flows
        Its powers on one clock.
    story : Story
        What the car did and why.
    ledger : Ledger
        Where the energy went.
    charge : Charge
        Charge added against charge shown.
    findings : tuple of Finding
        What is worth looking into.
    notes : tuple of Note
        What the person wrote.
    known : KnownLimits or None
        What other recordings of the vehicle taught of its limits.
    """

    recording: Recording
    flows: Flows
    story: Story
    ledger: Ledger
    charge: Charge
    findings: tuple[AnyFinding, ...] = ()
    notes: tuple[AnyNote, ...] = ()
    known: KnownLimits | None = None
