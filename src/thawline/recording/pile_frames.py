"""Pile up what a log of raw frames holds: mend its clock, decode what the vehicle file maps."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from thawline.errors import DatabaseError, SourceError
from thawline.recording.ahead import ahead
from thawline.recording.pile import GAP_AT_LEAST_S, Pile
from thawline.recording.recording import ClockStep, Quality
from thawline.recording.spill import Spill
from thawline.recording.times import DISORDER_S, ClockState, fingerprint, mend
from thawline.recording.wanted import PutAside, mapped, put_aside, unmapped
from thawline.signals.database import Database
from thawline.signals.decode import decode, match_count
from thawline.signals.layout import SignalLayout
from thawline.sources.frames import Frames
from thawline.vehicle.vehicle import Vehicle

#: Time may jump backward this often in a log [1] ...
BACKWARD_TIMES = 50
#: ... or in this share of its lines; beyond, the log is not in the order of time [1].
BACKWARD_SHARE = 0.001
#: A log is named an odd fit if the database knows less of it than this [1].
FEW = 0.01
#: The median interval is taken from this many intervals of a batch [1].
MEDIAN_OF = 10_000


def _check_backward(t: NDArray[np.float64], path: Path) -> None:
    if not np.any(t[1:] < t[:-1]):
        return
    change = np.diff(t)
    backward = np.flatnonzero(change < -DISORDER_S)
    mostly = len(change) > 1 and 2 * int((change < 0).sum()) > len(change)
    if mostly:
        backward = np.flatnonzero(change < 0)
    if mostly or len(backward) > max(BACKWARD_TIMES, BACKWARD_SHARE * len(t)):
        raise SourceError(
            f"time runs backward {len(backward)} times, first from {t[backward[0]]:.6f} s "
            f"to {t[backward[0] + 1]:.6f} s at entry {backward[0] + 2}",
            file=path,
            cure="put the log in the order of time, or record it again",
        )


def pile_frames(
    batches: Iterator[Frames],
    vehicle: Vehicle,
    database: Database | None,
    path: Path,
    spill: Spill,
    *,
    number: int = 0,
    keep_all: bool = False,
) -> Pile:
    """Pile up the samples of a log of raw frames.

    Parameters
    ----------
    batches : iterator of Frames
        The log.
    vehicle : Vehicle
        Says which signals are wanted.
    database : Database or None
        Says where they lie.
    path : Path
        The file, for messages.
    spill : Spill
        Where samples are put aside; the pile reads them from there.
    number : int
        Number of the file, of several that share the spill [1].
    keep_all : bool
        Whether signals that are not mapped are decoded too.

    Returns
    -------
    Pile
        The samples of every mapped signal, and of the others if they are kept.

    Raises
    ------
    SourceError
        If the log holds no data frame, or is not in the order of time.
    DatabaseError
        If there is no database, or it knows no frame of the log.
    VehicleFileError
        If a mapped signal is not in the database.
    """
    if database is None:
        raise DatabaseError(
            "this is a log of raw frames; without a signal database nothing in it can be read",
            file=path,
            cure="add --database FILE.dbc",
        )
    layouts = mapped(vehicle, database)
    others, warnings = unmapped(database, layouts) if keep_all else ({}, [])
    wanted: dict[str | None, dict[str, SignalLayout]] = {}
    for layout in (*layouts.values(), *others.values()):
        wanted.setdefault(layout.bus, {})[layout.key] = layout
    too_short: Counter[str] = Counter()
    state, silent = ClockState(), []
    left_out: Counter[str] = Counter()
    steps: list[tuple[float, float]] = []
    count = known = duplicates = 0
    first, last, medians, is_epoch = np.inf, -np.inf, [], True
    with closing(ahead(batches)) as read:
        for frames in read:
            left_out.update(frames.left_out)
            if not len(frames):
                continue
            _check_backward(frames.t, path)
            keys = fingerprint(
                frames.t,
                frames.identifier ^ (frames.bus.astype(np.uint32) << np.uint32(23)),
                frames.data,
            )
            mended = mend(frames.t, keys, state)
            state, is_epoch = mended.state, frames.is_epoch
            steps += mended.steps
            count += len(frames)
            duplicates += int((~mended.keep).sum())
            kept = _kept(frames, mended.t, mended.keep)
            known += match_count(kept, database)
            for signals in wanted.values():
                for key, part in decode(kept, list(signals.values())).items():
                    put_aside(spill, number, signals[key], part)
                    too_short[key] += part.too_short
            if not len(kept):
                continue
            t = np.sort(kept.t) if np.any(kept.t[1:] < kept.t[:-1]) else kept.t
            change = np.diff(t, prepend=last if np.isfinite(last) else t[0])
            medians.append(float(np.median(change[:: 1 + len(change) // MEDIAN_OF])))
            silent += [
                (float(t[i] - change[i]), float(t[i]))
                for i in np.flatnonzero(change > GAP_AT_LEAST_S)
            ]
            first, last = min(first, float(t[0])), max(last, float(t[-1]))
    if count == 0:
        raise SourceError(
            "holds no data frame" + (f" ({_told(left_out)})" if left_out else ""),
            file=path,
            cure="check that the logger was listening to the right bus",
        )
    if known == 0:
        raise DatabaseError(
            f"none of the {count} frames of {path.name} has an identifier that "
            f"{', '.join(database.files) or 'the database'} knows",
            file=path,
            cure="check that database, vehicle and bus belong together",
        )
    warnings = [*database.warnings, *warnings]
    if known < FEW * count:
        warnings.append(f"the database knows only {known} of {count} frames")
    warnings += [
        f"{lost} frames were too short for {key}" for key, lost in too_short.items() if lost
    ]
    quality = Quality(
        count,
        dict(left_out),
        tuple(ClockStep(at, by) for at, by in steps),
        duplicates,
        tuple(warnings),
    )
    median = float(np.median(medians)) if medians else 0.0
    raws, rest = PutAside(spill, number, layouts), PutAside(spill, number, others)
    return Pile(raws, first, last, tuple(silent), median, is_epoch, quality, rest)


def _told(counts: Counter[str]) -> str:
    return ", ".join(f"{n} {reason}" for reason, n in sorted(counts.items()))


def _kept(frames: Frames, t: NDArray[np.float64], keep: NDArray[np.bool_]) -> Frames:
    if keep.all():
        return replace(frames, t=t)
    return replace(
        frames,
        t=t[keep],
        identifier=frames.identifier[keep],
        bus=frames.bus[keep],
        length=frames.length[keep],
        data=frames.data[keep],
    )
