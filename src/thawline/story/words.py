"""The story in sentences: the headline of the morning, and a text for the terminal."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime

import numpy as np

from thawline.recording.dated import has_date
from thawline.recording.flows import Flows
from thawline.recording.recording import Recording
from thawline.story import names
from thawline.story.energy_words import energies_of, money
from thawline.story.figures import degrees, energy, joined, kilowatt, lasting, moment, percent
from thawline.story.gates import cell_name, coldest_path
from thawline.story.scene import Scene, make_scene
from thawline.story.story import Span, Story, TurningPoint
from thawline.story.thresholds import threshold

#: A headline has at least and at most this many sentences [1].
FEWEST, MOST = 3, 6
#: Lines for the terminal are wrapped at this column [1].
COLUMNS = 88
#: A figure and the space before its unit.
FIGURE = re.compile(r"(\d) (?=[a-zA-Z°%])")


def _at(scene: Scene, t_s: float) -> str:
    """Write an instant as the clock shows it, in UTC, or as time into an undated recording."""
    start = scene.recording.starts_at
    if not has_date(start):
        return f"{moment(t_s)} into the recording"
    return f"at {datetime.fromtimestamp(round(start + t_s), UTC):%H:%M:%S} UTC"


def _since(story: Story, t_s: float) -> str:
    """Write how long after plugging in an instant was, if it was."""
    plugged = _first(story, "plugged-in")
    if plugged is None or t_s - plugged.t_s < 60.0:
        return ""
    return f", {lasting(t_s - plugged.t_s)} after plugging in"


def _first(story: Story, kind: str) -> TurningPoint | None:
    return next((point for point in story.turning_points if point.kind == kind), None)


def _spans(story: Story, lane: str) -> list[Span]:
    return [span for span in story.spans if span.lane == lane]


def _ends_of(scene: Scene, path: str | None) -> tuple[float, float] | None:
    """Give the first and the last value of a channel."""
    channel = scene.recording.channels.get(path) if path else None
    if channel is None or not len(channel.values):
        return None
    few = max(1, min(5, len(channel.values)))
    return float(np.median(channel.values[:few])), float(np.median(channel.values[-few:]))


def _opening(scene: Scene, story: Story) -> str:
    name = scene.recording.vehicle.name
    cells = _ends_of(scene, coldest_path(scene))
    outside = _ends_of(scene, names.OUTSIDE_AIR)
    where = cell_name(scene)
    state = f"{name} stood with {where} at {degrees(cells[0])}" if cells else name
    if outside is not None:
        state += f"{' and' if cells else ' stood with'} the air outside at {degrees(outside[0])}"
    plugged = _first(story, "plugged-in")
    supply = _spans(story, "supply")
    if plugged is not None:
        offered = plugged.because.partition("; the supply ")[2].rstrip(".")
        offered = offered.removeprefix("offered ").removeprefix("stood at ")
        to = f", to a supply of {offered}" if offered else ""
        return f"{state}; it was plugged in {_at(scene, plugged.t_s)}{to}."
    if supply:
        since = "already" if supply[0].from_s < threshold("opening_s") else "at some time"
        return f"{state}; a supply was {since} there."
    length = lasting(scene.recording.duration_s)
    verb = "" if cells or outside else " was recorded"
    if any(lost.what == "supply" for lost in story.lost):
        return f"{state}{verb}; no signal tells of a supply in the {length} of the recording."
    return f"{state}{verb}; no supply was seen in the {length} of the recording."


def _heating(scene: Scene, story: Story) -> str | None:
    spans = _spans(story, "pack-heating")
    if not spans:
        return None
    length = sum(span.to_s - span.from_s for span in spans)
    given = energies_of(scene)["pack-heating"]
    mean = f" with {kilowatt(given * 3600.0 / length)} on average" if given and length else ""
    since = _at(scene, spans[0].from_s).removeprefix("at ")
    text = f"From {since} on the pack was heated{mean}, for {lasting(length)} in all"
    path = coldest_path(scene)
    if path is not None:
        before = scene.value(path, spans[0].from_s)
        after = scene.value(path, spans[-1].to_s)
        if before is not None and after is not None:
            which = cell_name(scene).replace("the pack's", "its").replace("the ", "its ")
            text += f", and {which} went from {degrees(before)} to {degrees(after)}"
    return text + "."


def _returns(scene: Scene, story: Story) -> str | None:
    back, thaw = _first(story, "regeneration-returns"), _first(story, "coldest-cell-thaws")
    parts = []
    if back is not None:
        limit = _ends_of(scene, names.REGENERATION_LIMIT)
        at_end = f", and {kilowatt(limit[1])} of it were allowed at the end" if limit else ""
        parts.append(
            f"regeneration returned {_at(scene, back.t_s)}{_since(story, back.t_s)}{at_end}"
        )
    if thaw is not None:
        parts.append(f"the coldest cell passed 0 °C {_at(scene, thaw.t_s)}")
    if not parts:
        return None
    text = "; ".join(parts)
    return f"{text[0].upper()}{text[1:]}."


def _charging(scene: Scene, story: Story) -> str | None:
    spans = _spans(story, "charging")
    begins = _first(story, "charging-begins")
    if not spans:
        if not _spans(story, "supply") or any(lost.what == "charging" for lost in story.lost):
            return None
        cells = _ends_of(scene, coldest_path(scene))
        at = f": {cell_name(scene)} ended at {degrees(cells[1])}" if cells else ""
        return f"Charging never began{at}."
    length = sum(span.to_s - span.from_s for span in spans)
    known = [span for span in spans if span.level is not None]
    into = sum((span.level or 0.0) * (span.to_s - span.from_s) / 3600.0 for span in known)
    took = f"{energy(into)} went into the pack in {lasting(length)}" if known else ""
    if begins is None:
        return f"It was charging when the recording began; {took or 'how much is not known'}."
    reason = begins.because.split(". ")[0].rstrip(".")
    reason = reason[0].lower() + reason[1:]
    when = f"{_at(scene, begins.t_s)}{_since(story, begins.t_s)}"
    return f"Charging began {when}: {reason}{'; ' + took if took else ''}."


def _shown(scene: Scene) -> str | None:
    ends = _ends_of(scene, names.CHARGE_SHOWN)
    if ends is None or abs(ends[1] - ends[0]) < 2.0 * threshold("target_margin_percent"):
        return None
    way = "rose" if ends[1] > ends[0] else "fell"
    return f"The charge shown {way} from {percent(ends[0])} to {percent(ends[1])}."


def _mishaps(scene: Scene, story: Story) -> str | None:
    lost, back = _first(story, "supply-lost"), _first(story, "supply-back")
    if lost is not None:
        text = f"The supply was lost {_at(scene, lost.t_s)} while the cable stayed connected"
        if back is not None:
            text += f" and came back after {lasting(back.t_s - lost.t_s)}"
        return text + "."
    silent = sum(gap.to_s - gap.from_s for gap in scene.recording.gaps)
    return f"Nothing was recorded for {lasting(silent)} of it." if silent else None


def _comfort_and_drive(scene: Scene, story: Story) -> str | None:
    parts = []
    comfort, drive = _first(story, "cabin-comfortable"), _first(story, "drive-begins")
    if comfort is not None:
        parts.append(f"the cabin was comfortable {_at(scene, comfort.t_s)}")
    if drive is not None:
        parts.append(f"the car set off {_at(scene, drive.t_s)}")
    text = joined(parts)
    return f"{text[0].upper()}{text[1:]}." if text else None


def headline(
    recording: Recording,
    flows: Flows,
    story: Story,
    energies: Mapping[str, float | None] | None = None,
) -> list[str]:
    """Tell the morning in a few sentences, as one would tell others.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers.
    story : Story
        Its story.
    energies : mapping of str to float or None, optional
        ``supply``, ``pack-out``, ``pack-heating``, ``cabin-heating`` and ``pack-in`` as the
        ledger has them; else they are added up here, without times that no data tell [kWh].

    Returns
    -------
    list of str
        Three to six sentences with the numbers; times since the recording's start.
    """
    scene = make_scene(recording, flows)
    wanted = [
        _heating(scene, story),
        _charging(scene, story),
        _returns(scene, story),
        _mishaps(scene, story),
        money(energies_of(scene) if energies is None else energies),
        _comfort_and_drive(scene, story),
        _shown(scene),
    ]
    sentences = [_opening(scene, story), *(text for text in wanted if text)][:MOST]
    if len(sentences) < FEWEST:
        sentences.append(
            f"The recording lasts {lasting(recording.duration_s)} and shows "
            f"{len(story.turning_points)} turning points."
        )
    if len(sentences) < FEWEST:
        missing = joined(list(dict.fromkeys(lost.what for lost in story.lost)))
        sentences.append(
            f"What it cannot tell: {missing}." if missing else "Nothing was left untold."
        )
    return sentences


def _wrapped(text: str, indent: str, first: str) -> list[str]:
    """Wrap a text, keeping figures and their units together."""
    tied = FIGURE.sub("\\1\N{NO-BREAK SPACE}", text)
    lines = textwrap.wrap(
        tied, COLUMNS, initial_indent=first, subsequent_indent=indent, break_long_words=False
    )
    return [line.replace("\N{NO-BREAK SPACE}", " ") for line in lines]


def as_text(story: Story, sentences: Sequence[str] = ()) -> str:
    """Write a story for the terminal.

    Parameters
    ----------
    story : Story
        The story.
    sentences : sequence of str
        The headline, to stand above it.

    Returns
    -------
    str
        Headline, turning points with their reasons, lanes, and what could not be told.
    """
    lines = _wrapped(" ".join(sentences), "", "")
    if story.turning_points:
        lines += ["", "Turning points"]
    for point in story.turning_points:
        unsure = f" ± {point.plus_minus_s:.0f} s" if point.plus_minus_s >= 0.95 else ""
        lines.append(f"  {moment(point.t_s):>8}{unsure}  {point.kind}")
        lines += _wrapped(point.because, " " * 12, " " * 12)
    if story.spans:
        lines += ["", "What was going on"]
    for span in story.spans:
        times = f"{moment(span.from_s)} to {moment(span.to_s)}"
        lines += _wrapped(f"{times}: {span.because}", " " * 17, f"  {span.lane:<13}  ")
    if story.lost:
        lines += ["", "What could not be told"]
    for lost in story.lost:
        lines += _wrapped(f"{lost.what}: {lost.because} Cure: {lost.cure}.", "    ", "  ")
    return "\n".join(lines) + "\n"
