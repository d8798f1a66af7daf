"""Fragments of pages, each with its own style: what a notebook shows of a product."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from hashlib import sha256

from thawline.compare.comparison import Comparison
from thawline.forecast.forecast import Forecast
from thawline.ledger.ledger import Ledger
from thawline.recording.recording import Recording
from thawline.report.chronicle import chronicle
from thawline.report.compare_page import title_of_comparison
from thawline.report.compare_rows import Told, side_facts, told_rows, told_turnings
from thawline.report.explained import Explained
from thawline.report.forecast_page import ahead_table, name_of
from thawline.report.heading import Heading, heading_of
from thawline.report.learned_tables import Table
from thawline.report.moments import Moments, moments_of
from thawline.report.numbers import number, symbol
from thawline.report.page import Account, account_of
from thawline.report.palette import palette
from thawline.report.prose import prose_of
from thawline.report.quality import quality_sentences
from thawline.report.strip import Strip, strip_of
from thawline.report.templating import environment

#: Columns whose cells stand at the right.
NUMBERS = ("min", "10 %", "50 %", "90 %", "never", "A", "B", "B less A", "samples", "notes")
PERMISSION = "A forecast is no permission: what the car allows is the car's to decide."


@dataclass(frozen=True, slots=True)
class Fragment:
    """What a fragment shows, from top to bottom.

    Parameters
    ----------
    title : str
        What it is of.
    facts, sentences : tuple of str
        Small print below the title, and what is said.
    strip : Strip or None
        The morning along its time.
    accounts : tuple of Account
        Accounts with their pictures.
    tables : tuple of Table
        Tables.
    notes : tuple of str
        What to mind.
    """

    title: str = ""
    facts: tuple[str, ...] = ()
    sentences: tuple[str, ...] = ()
    strip: Strip | None = None
    accounts: tuple[Account, ...] = ()
    tables: tuple[Table, ...] = ()
    notes: tuple[str, ...] = ()


def set_fragment(shown: Fragment) -> str:
    """Set a fragment; all that comes from files is escaped.

    Parameters
    ----------
    shown : Fragment
        What it shows.

    Returns
    -------
    str
        One ``div`` with its style, without scripts and without anything to load.
    """
    # pictures refer to their own patterns by name; two fragments of a page must not share one
    accounts = [
        replace(one, name=f"{one.name}-{sha256(repr(one).encode()).hexdigest()[:10]}")
        for one in shown.accounts
    ]
    return (
        environment()
        .get_template("fragments/fragment.html")
        .render(
            palette=palette().values(),
            numbers=NUMBERS,
            title=shown.title,
            facts=shown.facts,
            sentences=shown.sentences,
            strip=shown.strip,
            accounts=accounts,
            tables=[table for table in shown.tables if table.rows],
            notes=shown.notes,
        )
    )


def _facts(recording: Recording, heading: Heading) -> tuple[str, ...]:
    return (*heading.facts, f"recording {recording.id}")


def recording_fragment(recording: Recording) -> Fragment:
    """Show what was recorded.

    Parameters
    ----------
    recording : Recording
        The recording.

    Returns
    -------
    Fragment
        Its heading, its channels, and how good the log was.
    """
    moments = Moments(recording.starts_at, 0.0, False)
    rows = tuple(
        (path, symbol(one.unit) or "state", str(len(one.t)), f"{number(one.period_s, 3)} s",
         one.source)
        for path, one in recording.channels.items()
    )  # fmt: skip
    heading = heading_of(recording, moments)
    heads = ("channel", "unit", "samples", "every", "from")
    return Fragment(
        heading.title,
        _facts(recording, heading),
        tables=(Table("Channels", heads, rows),),
        notes=tuple(quality_sentences(recording, moments)),
    )


def story_fragment(explained: Explained) -> Fragment:
    """Show what the car did and why.

    Parameters
    ----------
    explained : Explained
        The explained recording.

    Returns
    -------
    Fragment
        Headline, strip, chronicle, and what could not be told.
    """
    moments = moments_of(explained.recording, explained.story)
    heading = heading_of(explained.recording, moments)
    rows = tuple(
        ("–" if entry.mark is None else str(entry.mark), entry.clock, entry.minutes, entry.title,
         entry.because)
        for entry in chronicle(explained, moments)
    )  # fmt: skip
    heads = ("mark", "UTC" if moments.is_dated else "elapsed", "min", "what", "because")
    return Fragment(
        heading.title,
        _facts(explained.recording, heading),
        prose_of(explained).headline,
        strip_of(explained, moments),
        tables=(Table(f"Chronicle; minutes count from {moments.origin}", heads, rows),),
        notes=tuple(
            f"Could not be told: {one.what}. {one.because} {one.cure}".strip()
            for one in explained.story.lost
        ),
    )


def ledger_fragment(ledger: Ledger) -> Fragment:
    """Show where the energy went.

    Parameters
    ----------
    ledger : Ledger
        The accounts.

    Returns
    -------
    Fragment
        Both accounts, as pictures and as tables.
    """
    accounts = (
        account_of("electrical", "Electrical", ledger.electrical),
        account_of("heat", "Heat", ledger.heat),
    )
    return Fragment("Where the energy went", accounts=accounts, notes=ledger.notes)


def forecast_fragment(found: Forecast) -> Fragment:
    """Show when each turning point will come.

    Parameters
    ----------
    found : Forecast
        The forecast.

    Returns
    -------
    Fragment
        Verdict, table, reasons, and what is taken for granted.
    """
    reasons = tuple(
        f"{name_of(point.kind, point.level_kW).capitalize()}: {point.because}"
        for point in found.turning_points
        if not point.is_past
    )
    assumed = tuple(f"Taken for granted: {words}" for words in found.assumes)
    return Fragment(
        f"What comes next, seen from {number(found.made_at_s / 60.0, 1)} min",
        (f"recording {found.recording_id}",),
        (found.verdict,),
        tables=(ahead_table(found),),
        notes=(*reasons, *assumed, PERMISSION),
    )


def comparison_fragment(found: Comparison) -> Fragment:
    """Show what differs between two mornings.

    Parameters
    ----------
    found : Comparison
        The comparison.

    Returns
    -------
    Fragment
        What differs and why, and the figures; a star marks what differs by more than its doubt.
    """
    tables = [_two("Minutes to each turning point", told_turnings(found))]
    tables += [_two(group, rows) for group, rows in told_rows(found).items()]
    return Fragment(
        title_of_comparison(found),
        tuple(
            f"{side.label}: {', '.join(side_facts(side))}, recording {side.recording_id}"
            for side in (found.a, found.b)
        ),
        found.sentences,
        tables=tuple(tables),
        notes=("A star marks what differs by more than its doubt. Differences are B less A.",),
    )


def _two(title: str, rows: Sequence[Told]) -> Table:
    heads = ("figure", "unit", "A", "B", "B less A", "")
    cells = (
        (row.title, row.unit, row.a, row.b, row.difference, "*" if row.differs else "")
        for row in rows
    )
    return Table(title, heads, tuple(cells))
