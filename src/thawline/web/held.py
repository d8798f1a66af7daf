"""A recording at hand: explained, with its sentences, charts and what answers rest on."""

from __future__ import annotations

from dataclasses import dataclass

from thawline.report.explained import Explained
from thawline.report.glance import glance_sentence
from thawline.report.moments import Moments, moments_of
from thawline.report.prose import Prose, prose_of
from thawline.report.series import Chart, charts_of
from thawline.report.strip import Strip, strip_of
from thawline.story.tell import Acts
from thawline.story.why_not import acts_of


@dataclass(frozen=True, slots=True)
class Held:
    """An explained recording at hand.

    Parameters
    ----------
    explained : Explained
        What was found out.
    prose : Prose
        Its sentences.
    moments : Moments
        Its clock.
    charts : tuple of Chart
        Its charts of lines, thinned.
    acts : Acts
        What the answers to *why not* rest on.
    is_whole : bool
        Whether it was held against other recordings of the vehicle, too.
    """

    explained: Explained
    prose: Prose
    moments: Moments
    charts: tuple[Chart, ...]
    acts: Acts
    is_whole: bool = True

    @property
    def samples(self) -> int:
        """How many samples it holds."""
        return sum(len(each.t) for each in self.explained.recording.channels.values())


@dataclass(frozen=True, slots=True)
class Glance:
    """A morning at a glance.

    Parameters
    ----------
    strip : Strip
        Its lanes along the time.
    sentence : str
        What happened, in one sentence.
    """

    strip: Strip
    sentence: str


def held_of(explained: Explained) -> Held:
    """Put the sentences beside an explained recording.

    Parameters
    ----------
    explained : Explained
        The explained recording.

    Returns
    -------
    Held
        With its sentences and its clock.
    """
    moments = moments_of(explained.recording, explained.story)
    acts = acts_of(explained.recording, explained.flows, explained.known)
    return Held(explained, prose_of(explained), moments, charts_of(explained), acts)


def glance_of(held: Held) -> Glance:
    """Take what is seen at a glance out of an explained recording.

    Parameters
    ----------
    held : Held
        The explained recording.

    Returns
    -------
    Glance
        Lanes and one sentence.
    """
    sentence = glance_sentence(held.explained, held.moments)
    return Glance(strip_of(held.explained, held.moments), sentence)
