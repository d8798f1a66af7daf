"""The report for a terminal: plain text of at most a hundred columns."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from thawline.report.accounts import Row, rows_of
from thawline.report.chronicle import Entry, chronicle, title_of, unchecked_sentences
from thawline.report.explained import Explained, Finding
from thawline.report.heading import heading_of
from thawline.report.moments import Moments, moments_of
from thawline.report.numbers import NO_BREAK, tied, uncertain
from thawline.report.one_line import one_line
from thawline.report.prose import Prose, cautions, prose_of
from thawline.report.quality import quality_sentences

#: Width of the page, and of the columns for clock and minutes [columns].
WIDTH, CLOCK, MINUTES = 98, 10, 8


def text(explained: Explained) -> str:
    """Set the report of an explained recording for a terminal.

    Parameters
    ----------
    explained : Explained
        The explained recording.

    Returns
    -------
    str
        Lines of at most a hundred columns, with a last line break.
    """
    return set_text(explained, prose_of(explained))


def set_text(explained: Explained, prose: Prose) -> str:
    """Set the report from sentences that are already written.

    Parameters
    ----------
    explained : Explained
        The explained recording.
    prose : Prose
        Its sentences.

    Returns
    -------
    str
        Lines of at most a hundred columns, with a last line break.
    """
    recording, story = explained.recording, explained.story
    moments = moments_of(recording, story)
    heading = heading_of(recording, moments)
    lines = [*_wrapped(heading.title, ""), *_wrapped("; ".join(heading.facts) + ".", "")]
    lines += [*_wrapped(f"Recording {recording.id}", ""), "=" * WIDTH, ""]
    lines += _paragraphs(prose.headline)
    lines += _chronicle(chronicle(explained, moments), moments)
    lines += _account("Electrical ledger", rows_of("electrical", explained.ledger.electrical))
    lines += _account("Heat ledger", rows_of("heat", explained.ledger.heat))
    lines += ["", *_wrapped(" ".join(prose.ledger), "  ")]
    lines += _listed("", explained.ledger.notes)
    lines += _charge(explained, prose)
    lines += _why_not(prose, moments)
    lines += _findings(explained, moments)
    lost = [f"{one.what}: {one.because} {_cure(one.cure)}".strip() for one in story.lost]
    lines += _listed("What could not be told", lost)
    lines += _listed("The log", quality_sentences(recording, moments))
    lines += _listed("Notes", [words for at_s, words in explained.notes if at_s is None])
    lines += _listed("Cautions", cautions())
    return "\n".join(line.rstrip() for line in lines).rstrip() + "\n"


def _cure(cure: str) -> str:
    return f"Cure: {cure}" if cure else ""


def _wrapped(words: str, indent: str, further: str | None = None) -> list[str]:
    wrapped = textwrap.wrap(
        str(tied(one_line(words))),
        WIDTH,
        initial_indent=indent,
        subsequent_indent=indent if further is None else further,
        break_on_hyphens=False,
    )
    return [line.replace(NO_BREAK, " ") for line in wrapped] or [indent.rstrip()]


def _titled(title: str, unit: str = "") -> list[str]:
    return ["", title.upper() + (f", {unit}" if unit else ""), ""]


def _paragraphs(sentences: Iterable[str]) -> list[str]:
    return [line for words in sentences for line in _wrapped(words, "")]


def _listed(title: str, sentences: Iterable[str]) -> list[str]:
    listed = [line for words in sentences for line in _wrapped(words, "  - ", "    ")]
    return [*(_titled(title) if title else []), *listed] if listed else []


def _chronicle(entries: list[Entry], moments: Moments) -> list[str]:
    lines = _titled("Chronicle")
    if not entries:
        return [*lines, "  No turning point was found."]
    clock = "UTC" if moments.is_dated else "elapsed"
    lines.append(f"  {clock:<{CLOCK}}{'min':>{MINUTES}}   (minutes count from {moments.origin})")
    hang = " " * (2 + CLOCK + MINUTES + 3)
    for entry in entries:
        mark = "note" if entry.mark is None else f"{entry.mark:>2}"
        title = entry.because if entry.mark is None else entry.title
        give_or_take = f" ({entry.give_or_take})" if entry.give_or_take else ""
        head = f"  {entry.clock:<{CLOCK}}{entry.minutes:>{MINUTES}}   "
        lines += _wrapped(f"{mark}  {title}{give_or_take}", head, hang)
        if entry.mark is not None and entry.because:
            lines += _wrapped(entry.because, hang + "    ")
    return lines


def _account(title: str, rows: list[Row]) -> list[str]:
    lines = _titled(title, "kWh")
    name = max((len(row.title) for row in rows), default=0) + 2
    value = max((len(row.value) for row in rows), default=0)
    for row in rows:
        head = f"  {row.title:<{name}}{row.value:>{value}}  {row.origin:<9} "
        lines += _wrapped(row.note, head, " " * len(head)) if row.note else [head]
    return lines


def _charge(explained: Explained, prose: Prose) -> list[str]:
    charge = explained.charge
    lines = _titled("Charge: shown, added, warmed back")
    lines += _wrapped(prose.charge, "  ") if prose.charge else []
    for title, gain in (
        ("shown", charge.shown), ("charged", charge.charged), ("warmed back", charge.warmed_back)
    ):  # fmt: skip
        head = f"  {title:<13}{uncertain(gain.pct, gain.plus_minus_pct):>18}  "
        lines += _wrapped(gain.note, head, " " * len(head)) if gain.note else [head]
    return lines


def _why_not(prose: Prose, moments: Moments) -> list[str]:
    lines: list[str] = []
    when = ""
    for instant in prose.why_not:
        if instant.when != when:
            when = instant.when
            lines += _wrapped(f"{when} ({moments.clock(instant.answer.t_s)})", "  ")
        lines += _wrapped(f"{instant.subject}{instant.answer.because}", "    ", "      ")
    return [*_titled("Why not more?"), *lines] if lines else []


def _findings(explained: Explained, moments: Moments) -> list[str]:
    found = []
    for one in (Finding(*plain) for plain in explained.findings):
        since = "" if one.from_s is None else f" from {moments.clock(one.from_s)}"
        sure = "" if one.confidence is None else f" (confidence {one.confidence:.0%})"
        check = f" Next check: {one.next_check}" if one.next_check else ""
        caution = f" Caution: {one.caution}" if one.caution else ""
        found.append(f"{title_of(one.kind)}{since}{sure}: {one.because}{check}{caution}")
    listed = _listed("Findings", found)
    missing = unchecked_sentences(explained.unchecked)
    return listed + _listed("" if listed else "Findings", missing)
