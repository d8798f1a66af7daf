"""The report as one HTML page that works from a file, without a network."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from thawline import __version__
from thawline.ledger.ledger import Line
from thawline.report.accounts import Row, rows_of
from thawline.report.choice import USUAL, Choice
from thawline.report.chosen import lines_in
from thawline.report.chronicle import (
    chronicle,
    evidence_text,
    letters_of,
    title_of,
    unchecked_sentences,
)
from thawline.report.explained import Explained, Finding
from thawline.report.figure import LEFT, RIGHT
from thawline.report.flow_picture import Picture, flow_picture
from thawline.report.heading import heading_of
from thawline.report.moments import Moments, moments_of
from thawline.report.numbers import uncertain
from thawline.report.palette import palette
from thawline.report.panels import panels_of
from thawline.report.prose import Prose, cautions, prose_of
from thawline.report.quality import quality_sentences
from thawline.report.templating import environment

#: Width of a flow picture and of its labels, on wide and on narrow screens [px].
WIDE, NARROW = (760.0, 190.0), (360.0, 122.0)


@dataclass(frozen=True, slots=True)
class Account:
    """One account, ready for the page.

    Parameters
    ----------
    name, title : str
        Its name.
    rows : tuple of Row
        Its lines.
    wide, narrow : Picture or None
        Its pictures for wide and narrow screens.
    unit : str
        What its energies are in.
    """

    name: str
    title: str
    rows: tuple[Row, ...]
    wide: Picture | None
    narrow: Picture | None
    unit: str = "kWh"

    @property
    def has_rest(self) -> bool:
        """Whether the picture shows something unaccounted."""
        return self.wide is not None and any(band.is_hatched for band in self.wide.bands)

    @property
    def has_open(self) -> bool:
        """Whether the picture shows something that cannot be told."""
        return self.wide is not None and any(band.is_open for band in self.wide.bands)


@dataclass(frozen=True, slots=True)
class Told:
    """A finding, ready for the page.

    Parameters
    ----------
    title, since, sure, because : str
        What, since when, how sure, and why.
    evidence : tuple of str
        What it rests on.
    next_check, caution : str
        The cheapest check that would tell more, and what to mind with it.
    letter : str
        What marks it in the charts.
    """

    title: str
    since: str
    sure: str
    because: str
    evidence: tuple[str, ...]
    next_check: str = ""
    caution: str = ""
    letter: str = ""


def page(explained: Explained) -> str:
    """Write the page of an explained recording.

    Parameters
    ----------
    explained : Explained
        The explained recording.

    Returns
    -------
    str
        One HTML document with its styles, scripts and data in it.
    """
    return set_page(explained, prose_of(explained))


def set_page(explained: Explained, prose: Prose) -> str:
    """Set the page from sentences that are already written.

    Parameters
    ----------
    explained : Explained
        The explained recording.
    prose : Prose
        Its sentences.

    Returns
    -------
    str
        One HTML document.
    """
    from markupsafe import Markup  # comes with jinja2

    moments = moments_of(explained.recording, explained.story)
    panels = panels_of(explained, moments)
    return (
        environment()
        .get_template("page.html")
        .render(
            version=__version__,
            palette=palette().values(),
            left=LEFT,
            right=RIGHT,
            panels=panels,
            # bokeh escapes what it embeds; both are scripts of its own making
            library=Markup(panels.library),
            script=Markup(panels.script),
            **told_of(explained, prose, moments),
        )
    )


def told_of(
    explained: Explained, prose: Prose, moments: Moments, choice: Choice = USUAL
) -> dict[str, Any]:
    """Gather what a page tells beside its charts.

    Parameters
    ----------
    explained : Explained
        The explained recording.
    prose : Prose
        Its sentences.
    moments : Moments
        Its clock.
    choice : Choice
        Units of the accounts; sentences are converted where they are set.

    Returns
    -------
    dict
        What the templates in ``parts`` take.
    """
    recording, story, charge = explained.recording, explained.story, explained.charge
    electrical, heat = explained.ledger.electrical, explained.ledger.heat
    return {
        "heading": heading_of(recording, moments),
        "recording": recording,
        "moments": moments,
        "prose": prose,
        "contents": _contents(prose, explained),
        "entries": chronicle(explained, moments),
        "electrical": account_of("electrical", "Electrical", electrical, choice),
        "heat": account_of("heat", "Heat", heat, choice),
        "notes_of_ledger": explained.ledger.notes,
        "gains": [
            (title, uncertain(gain.pct, gain.plus_minus_pct), gain.note)
            for title, gain in (
                ("shown", charge.shown),
                ("charged", charge.charged),
                ("warmed back", charge.warmed_back),
            )
        ],
        "findings": _findings(explained, moments),
        "unchecked": unchecked_sentences(explained.unchecked),
        "lost": story.lost,
        "quality": quality_sentences(recording, moments),
        "notes": [
            ("" if at_s is None else moments.clock(at_s), words) for at_s, words in explained.notes
        ],
        "cautions": cautions(),
    }


def _contents(prose: Prose, explained: Explained) -> list[tuple[str, str]]:
    entries = [
        ("chronicle", "Chronicle", True),
        ("charts", "Charts", True),
        ("ledgers", "Where the energy went", True),
        ("charge", "Charge", True),
        ("why-not", "Why not more?", bool(prose.why_not)),
        ("findings", "Findings", bool(explained.findings or explained.unchecked)),
        ("not-told", "What could not be told", True),
        ("log", "The log", True),
        ("notes", "Notes", bool(explained.notes)),
        ("reading", "How to read this", True),
        ("cautions", "Cautions", True),
    ]
    return [(anchor, title) for anchor, title, is_there in entries if is_there]


def account_of(name: str, title: str, lines: tuple[Line, ...], choice: Choice = USUAL) -> Account:
    """Prepare an account for a page.

    Parameters
    ----------
    name, title : str
        ``electrical`` or ``heat``, and its title.
    lines : tuple of Line
        Its lines.
    choice : Choice
        Units of its energies.

    Returns
    -------
    Account
        Its rows and pictures.
    """
    rows = rows_of(name, lines_in(lines, choice))
    unit = choice.energy
    wide, narrow = flow_picture(rows, *WIDE, unit), flow_picture(rows, *NARROW, unit)
    return Account(name, title, tuple(rows), wide, narrow, unit)


def _findings(explained: Explained, moments: Moments) -> list[Told]:
    return [
        Told(
            title=title_of(one.kind),
            since="" if one.from_s is None else moments.clock(one.from_s),
            sure="" if one.confidence is None else f"{one.confidence:.0%}",
            because=one.because,
            evidence=evidence_text(one.evidence, moments),
            next_check=one.next_check,
            caution=one.caution,
            letter=letter,
        )
        for letter, one in zip(
            letters_of(explained.findings),
            (Finding(*plain) for plain in explained.findings),
            strict=True,
        )
    ]
