"""Read logs or tables into a scene: every signal of the database, on one clock of seconds."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from thawline.errors import DatabaseError, SourceError
from thawline.recording.samples import NO_VALUE
from thawline.recording.times import ClockState, fingerprint, mend
from thawline.signals.database import Database
from thawline.signals.decode import Decoded, decode, match_count
from thawline.signals.layout import SignalLayout
from thawline.sources.by_suffix import open_source
from thawline.sources.frames import Frames
from thawline.sources.headings import split_heading
from thawline.sources.table import Table
from thawline.suggest.candidate import Candidate, Scene
from thawline.suggest.tally import Tally

Progress = Callable[[int, int], None]

#: Seconds without any sample that make a gap [s].
GAP_S = 10
#: Seconds laid between two logs, so that they are stretches of their own [s].
BETWEEN_S = 2 * GAP_S
#: Codes of all ones mean "no value" in signals of at least so many bits [bit].
ALL_ONES_FROM = 4


@dataclass
class _Seen:
    """Tallies by key, and what was noticed on the way."""

    tallies: dict[str, Tally] = field(default_factory=dict)
    units: dict[str, str] = field(default_factory=dict)
    labels: dict[str, dict[float, str]] = field(default_factory=dict)
    warnings: list[str] = field(default_factory=list)
    next_second: int = 0

    def tally(self, key: str, scale: float | None = None) -> Tally:
        """Find a tally, or begin it."""
        return self.tallies.setdefault(key, Tally(scale))

    def close_log(self) -> None:
        """Leave a gap behind a log."""
        self.next_second = max((t.end for t in self.tallies.values()), default=-1) + BETWEEN_S


def _not_a_value(layout: SignalLayout, decoded: Decoded) -> NDArray[np.bool_]:
    """Find samples that say that there is no value: by label, or by a code of all ones."""
    bad = ~np.isfinite(decoded.values)
    if decoded.codes is not None:
        empty = [code for code, label in decoded.labels.items() if NO_VALUE.match(label.strip())]
        bad |= np.isin(decoded.codes, empty)
    elif not layout.is_float and layout.length >= ALL_ONES_FROM:
        top = 2 ** (layout.length - 1) - 1 if layout.is_signed else 2**layout.length - 1
        bad |= decoded.values == top * layout.scale + layout.offset
        if layout.is_signed:
            bad |= decoded.values == (-top - 1) * layout.scale + layout.offset
    return bad


def _told_apart(database: Database) -> tuple[list[SignalLayout], list[str]]:
    """List the signals whose identifier means one message only."""
    clear, unclear = [], []
    for rivals in database.messages_by_identifier.values():
        if len(rivals) == 1:
            clear += list(rivals[0].signals)
        else:
            unclear += [message.name for message in rivals]
    warnings = []
    if unclear:
        warnings.append(
            f"left out, as their identifiers mean several messages: {', '.join(sorted(unclear))}"
        )
    return clear, warnings


def _read_frames(
    batches: Iterator[Frames], layouts: Sequence[SignalLayout], database: Database, seen: _Seen
) -> tuple[int, int]:
    """Tally a log of frames; say how many frames there were and how many were known."""
    state, zero, count, known = ClockState(), np.nan, 0, 0
    for frames in batches:
        if not len(frames):
            continue
        keys = fingerprint(
            frames.t,
            frames.identifier ^ (frames.bus.astype(np.uint32) << np.uint32(23)),
            frames.data,
        )
        mended = mend(frames.t, keys, state)
        state = mended.state
        if np.isnan(zero):
            zero = float(np.min(mended.t))
        count += len(frames)
        known += match_count(frames, database)
        for layout in layouts:
            seen.tally(layout.key, float(layout.scale))
        for key, decoded in decode(frames, layouts).items():
            _tally(seen, key, database.signals[key], decoded, (frames.t, mended.t), zero)
    return count, known


def _tally(
    seen: _Seen,
    key: str,
    layout: SignalLayout,
    decoded: Decoded,
    clocks: tuple[NDArray[np.float64], NDArray[np.float64]],
    zero: float,
) -> None:
    good = ~_not_a_value(layout, decoded)
    raw, mended = clocks
    t = decoded.t[good]
    if raw is not mended and not np.array_equal(raw, mended):
        t = t + np.interp(t, np.sort(raw), (mended - raw)[np.argsort(raw, kind="stable")])
    second = np.floor(np.maximum(t - zero, 0.0)).astype(np.int64) + seen.next_second
    values = decoded.values[good]
    if np.any(np.diff(second) < 0):
        order = np.argsort(second, kind="stable")
        second, values = second[order], values[order]
    seen.tally(key).add(second, values)
    seen.units[key] = layout.unit.strip()
    if decoded.labels:
        seen.labels[key] = {
            float(code * layout.scale + layout.offset): label
            for code, label in decoded.labels.items()
        }


def _read_table(table: Table, seen: _Seen) -> None:
    """Tally a table of decoded columns."""
    zero = min(float(column.t[0]) for column in table.columns.values() if len(column.t))
    for heading, column in table.columns.items():
        order = np.argsort(column.t, kind="stable")
        t, values = column.t[order], column.values[order]
        good = np.isfinite(values)
        second = np.floor(t[good] - zero).astype(np.int64) + seen.next_second
        name = split_heading(heading)[0]
        seen.tally(name).add(second, values[good])
        seen.units[name] = (column.unit or "").strip()
        if column.labels:
            seen.labels[name] = dict(column.labels)
    seen.warnings += table.warnings


def _stretches(seen: _Seen) -> tuple[NDArray[np.bool_], NDArray[np.int64]]:
    """Find the seconds that hold anything, and the stretch that each belongs to."""
    n = max((tally.end for tally in seen.tallies.values()), default=-1) + 1
    touched = np.zeros(n, dtype=bool)
    for tally in seen.tallies.values():
        touched |= tally.touched(n)
    there = np.flatnonzero(touched)
    kept = np.zeros(n, dtype=bool)
    segment = np.zeros(n, dtype=np.int64)
    if len(there):
        breaks = np.flatnonzero(np.diff(there) > GAP_S)
        begins = there[np.append(0, breaks + 1)]
        ends = there[np.append(breaks, len(there) - 1)] + 1
        for number, (begin, end) in enumerate(zip(begins, ends, strict=True)):
            kept[begin:end] = True
            segment[begin:end] = number
    return kept, segment[kept]


def _reach(layout: SignalLayout) -> tuple[float | None, float | None]:
    """Give the lowest and highest value that a signal's bits can carry."""
    if layout.is_float:
        return None, None
    low = -(2 ** (layout.length - 1)) if layout.is_signed else 0
    ends = [layout.scale * raw + layout.offset for raw in (low, low + 2**layout.length - 1)]
    return float(min(ends)), float(max(ends))


def _candidate(key: str, order: int, layout: SignalLayout | None, seen: _Seen, n: int) -> Candidate:
    tally = seen.tallies[key]
    codes = tally.codes()
    is_state = bool(codes) and all(float(code).is_integer() for code in codes)
    touched = int(tally.touched(n).sum())
    least, most = (None, None) if layout is None else _reach(layout)
    return Candidate(
        key=key,
        unit=seen.units.get(key, ""),
        values=tally.series(n, is_state=is_state),
        step=tally.step(),
        codes=codes,
        labels=seen.labels.get(key, {}),
        period_s=n / max(tally.samples, 1) if touched else 0.0,
        habits=tally.habits(),
        words=(key,) if layout is None else (layout.name, layout.message, layout.comment),
        low=None if layout is None else layout.minimum,
        high=None if layout is None else layout.maximum,
        least=least,
        most=most,
        is_by_turns=layout is not None and layout.condition is not None,
        order=order,
    )


def read_logs(
    paths: Sequence[Path], database: Database | None, *, progress: Progress | None = None
) -> Scene:
    """Read logs or tables, every signal second by second.

    Parameters
    ----------
    paths : sequence of Path
        Logs or tables of one car.
    database : Database or None
        The signal database; not needed for tables.
    progress : callable, optional
        Called with the bytes done and the bytes in all, file by file.

    Returns
    -------
    Scene
        All signals that the logs have values of.

    Raises
    ------
    SourceError
        If a file cannot be read or holds nothing.
    DatabaseError
        If there is no database for a log of frames, or it knows no frame of it.
    """
    seen = _Seen()
    layouts: list[SignalLayout] = []
    if database is not None:
        layouts, seen.warnings = _told_apart(database)
        seen.warnings += database.warnings
    for path in paths:
        source = open_source(Path(path), progress=progress)
        if isinstance(source, Table):
            _read_table(source, seen)
        elif database is None:
            raise DatabaseError(
                "this is a log of raw frames; without a signal database nothing in it can be read",
                file=path,
                cure="add --database FILE.dbc",
            )
        else:
            count, known = _read_frames(source, layouts, database, seen)
            if not known:
                what = f"none of its {count} frames has an identifier that the database knows"
                raise DatabaseError(
                    what if count else "holds no data frame",
                    file=path,
                    cure="check that log and database belong together",
                )
        seen.close_log()
    kept, segment = _stretches(seen)
    if not len(segment):
        raise SourceError(
            "holds no value of any signal",
            file=", ".join(str(path) for path in paths),
            cure="check that log and database belong together",
        )
    by_key = {layout.key: layout for layout in layouts}
    candidates, silent = [], []
    for order, (key, tally) in enumerate(seen.tallies.items()):
        if not tally.samples:
            silent.append(key)
            continue
        made = _candidate(key, order, by_key.get(key), seen, len(kept))
        candidates.append(_cut(made, kept))
    return Scene(tuple(candidates), segment, tuple(silent), tuple(dict.fromkeys(seen.warnings)))


def _cut(candidate: Candidate, kept: NDArray[np.bool_]) -> Candidate:
    from dataclasses import replace

    return replace(candidate, values=candidate.values[kept])
