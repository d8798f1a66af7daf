"""A morning in one sentence: how cold, how long it took, what it cost."""

from __future__ import annotations

from thawline.ledger.ledger import Line
from thawline.report.explained import Explained
from thawline.report.heading import COLDEST, OUTSIDE
from thawline.report.moments import Moments, duration_text
from thawline.report.numbers import quantity

#: Turning points that are told, and what of them is told.
TOLD = (
    ("regeneration-returns", "regeneration returned"),
    ("coldest-cell-thaws", "the coldest cell passed 0 °C"),
    ("charging-begins", "charging began"),
    ("cabin-comfortable", "the cabin was comfortable"),
    ("drive-begins", "it drove off"),
)
#: Energies below this are not worth a word [kWh].
LEAST_KWH = 0.05


def glance_sentence(explained: Explained, moments: Moments) -> str:
    """Tell a morning in one sentence.

    Parameters
    ----------
    explained : Explained
        The explained recording.
    moments : Moments
        Its clock.

    Returns
    -------
    str
        Such as ``At −9.0 °C in the coldest cell; pack heated for 28 min; charging began after
        25 min; 4.23 kWh from the supply, 0.95 kWh into the pack.``
    """
    parts = [_cold(explained), _heated(explained), *_came(explained, moments), _energy(explained)]
    text = "; ".join(part for part in parts if part)
    return text[:1].upper() + text[1:] + "." if text else "Nothing happened that can be told."


def _cold(explained: Explained) -> str:
    for path, where in ((COLDEST, "in the coldest cell"), (OUTSIDE, "outside")):
        channel = explained.recording.channels.get(path)
        if channel is not None and len(channel.values):
            return f"{quantity(float(channel.values[0]), 'degC')} {where}"
    return ""


def _heated(explained: Explained) -> str:
    spans = [span for span in explained.story.spans if span.lane == "pack-heating"]
    if not spans:
        return "the pack was not heated"
    heated = sum(span.to_s - span.from_s for span in spans)
    return f"pack heated for {duration_text(max(round(heated / 60.0), 1) * 60.0)}"


def _came(explained: Explained, moments: Moments) -> list[str]:
    first: dict[str, float] = {}
    for point in explained.story.turning_points:
        first.setdefault(point.kind, point.t_s)
    came: list[str] = []
    for kind, words in TOLD:
        if kind not in first:
            continue
        waited = first[kind] - moments.zero_s
        if not moments.is_from_plug_in or waited <= 0.0:
            came.append(f"{words} at {moments.clock(first[kind])[:5]}")
            continue
        after = duration_text(round(waited / 60.0) * 60.0)
        came.append(f"{words} after {after}" + ("" if came else " of being plugged in"))
    return came


def _energy(explained: Explained) -> str:
    lines: dict[str, Line] = {line.line: line for line in explained.ledger.electrical}
    told = []
    for name, words in (("supply", "from the supply"), ("pack-in", "into the pack")):
        line = lines.get(name)
        if line is not None and line.kWh is not None and line.kWh >= LEAST_KWH:
            told.append(f"{quantity(line.kWh, 'kWh')} {words}")
    return ", ".join(told)
