"""All that the rooms found out about one recording, gathered for showing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from thawline.charge.charge import Charge
from thawline.findings.finding import Figures, Unchecked
from thawline.findings.finding import Finding as Finding
from thawline.ledger.ledger import Ledger
from thawline.recording.flows import Flows
from thawline.recording.recording import Recording
from thawline.story.known_limits import KnownLimits
from thawline.story.story import Evidence, Story


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
    unchecked : tuple of Unchecked
        What could not be checked for findings, and why.
    figures : Figures or None
        Figures that other mornings can be held against.
    """

    recording: Recording
    flows: Flows
    story: Story
    ledger: Ledger
    charge: Charge
    findings: tuple[AnyFinding, ...] = ()
    notes: tuple[AnyNote, ...] = ()
    known: KnownLimits | None = None
    unchecked: tuple[Unchecked, ...] = ()
    figures: Figures | None = None
