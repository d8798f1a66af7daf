"""Gather a recording from files: pile up each, put them together, make channels."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from contextlib import closing
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np

from thawline.errors import SourceError, VehicleFileError
from thawline.recording.pile import GAP_AT_LEAST_S, GAP_INTERVALS, Pile
from thawline.recording.pile_frames import pile_frames
from thawline.recording.pile_table import pile_table
from thawline.recording.plain_channel import plain_channel
from thawline.recording.recording import Channel, ClockStep, Gap, Quality, Recording
from thawline.recording.samples import Raw, make_channel
from thawline.recording.spill import Shelf, Spill
from thawline.signals.catalogue import find_signal
from thawline.signals.database import Database
from thawline.sources.by_suffix import open_source
from thawline.sources.table import Table
from thawline.vehicle.vehicle import Vehicle

Progress = Callable[[int, int], None]


def _gaps(piles: Sequence[Pile], zero: float) -> tuple[Gap, ...]:
    found = []
    for pile in piles:
        least = max(GAP_AT_LEAST_S, GAP_INTERVALS * pile.median_s)
        found += [(a, b) for a, b in pile.intervals if b - a > least]
    for before, after in pairwise(piles):
        if after.first - before.last > GAP_AT_LEAST_S:
            found.append((before.last, after.first))
    return tuple(Gap(a - zero, b - zero) for a, b in sorted(found))


def _join(parts: Sequence[Raw], zero: float) -> Raw:
    if len(parts) == 1:
        whole = replace(parts[0], t=parts[0].t - zero)
    else:
        codes = [part.codes for part in parts if part.codes is not None]
        whole = replace(
            parts[0],
            t=np.concatenate([part.t for part in parts]) - zero,
            values=np.concatenate([part.values for part in parts]),
            codes=np.concatenate(codes) if len(codes) == len(parts) else None,
        )
    if not np.any(whole.t[1:] < whole.t[:-1]):
        return whole
    order = np.argsort(whole.t, kind="stable")
    return replace(
        whole,
        t=whole.t[order],
        values=whole.values[order],
        codes=None if whole.codes is None else whole.codes[order],
    )


def _quality(piles: Sequence[Pile], zero: float, warnings: Sequence[str]) -> Quality:
    left_out: Counter[str] = Counter()
    for pile in piles:
        left_out.update(pile.quality.frames_left_out)
    steps = tuple(
        ClockStep(step.at_s - zero, step.by_s)
        for pile in piles
        for step in pile.quality.clock_steps
    )
    told = [text for pile in piles for text in pile.quality.warnings]
    told += [
        f"the logger's clock jumped by {step.by_s:+.3f} s at {step.at_s:.1f} s; taken out"
        for step in steps
    ]
    duplicates = sum(pile.quality.duplicates for pile in piles)
    if duplicates:
        told.append(f"{duplicates} frames stood in the log twice and were dropped")
    return Quality(
        sum(pile.quality.frames for pile in piles),
        dict(left_out),
        steps,
        duplicates,
        tuple(dict.fromkeys([*told, *warnings])),
    )


def _joined(piles: Sequence[Mapping[str, Raw]], name: str, zero: float) -> Raw:
    """Put together what the files have of one signal; at least one has it."""
    parts = [pile[name] for pile in piles if name in pile]
    parts = [part for part in parts if len(part.t)] or parts[:1]
    return _join(parts, zero)


def _channels(
    piles: Sequence[Pile], vehicle: Vehicle, zero: float, gaps: tuple[Gap, ...], shelf: Shelf
) -> tuple[dict[str, Channel], list[str]]:
    channels: dict[str, Channel] = {}
    warnings: list[str] = []
    for spec in vehicle.signals.values():
        if not any(spec.path in pile.raws for pile in piles):
            continue
        name = find_signal(spec.path)
        if name is None:
            raise VehicleFileError(f"unknown signal path {spec.path!r}", file=vehicle.file)
        # the samples have no name here, so that they are freed as soon as they are converted
        channel, told = make_channel(
            name, spec, _joined([pile.raws for pile in piles], spec.path, zero), vehicle, gaps
        )
        warnings += told
        if channel is not None:
            channels[spec.path] = _shelved(channel, shelf)
    return channels, warnings


def _others(
    piles: Sequence[Pile], zero: float, gaps: tuple[Gap, ...], shelf: Shelf
) -> dict[str, Channel]:
    """Make channels of what the vehicle file does not map."""
    others: dict[str, Channel] = {}
    for name in dict.fromkeys(name for pile in piles for name in pile.others):
        channel = plain_channel(name, _joined([pile.others for pile in piles], name, zero), gaps)
        if channel is not None:
            others[name] = _shelved(channel, shelf)
    return others


def _shelved(channel: Channel, shelf: Shelf) -> Channel:
    return replace(channel, t=shelf.put(channel.t), values=shelf.put(channel.values))


def gather(
    paths: Sequence[Path],
    vehicle: Vehicle,
    database: Database | None,
    *,
    recording_id: str = "",
    starts_at: float | None = None,
    progress: Progress | None = None,
    keep_all: bool = False,
    scratch: Path | None = None,
) -> Recording:
    """Gather one recording from one or several files.

    Parameters
    ----------
    paths : sequence of Path
        Logs or tables; several are put behind one another by their times.
    vehicle : Vehicle
        Says which signals are wanted.
    database : Database or None
        Says where they lie in frames; not needed for tables.
    recording_id : str
        Name of the recording.
    starts_at : float, optional
        When the recording began, for logs whose times are relative, since 1970-01-01 UTC [s].
    progress : callable, optional
        Called with the bytes done and the bytes in all, file by file.
    keep_all : bool
        Whether signals and columns that the vehicle file does not map are kept as well.
    scratch : Path, optional
        Where samples are put aside that memory should not hold; None: where the system has
        temporary files.

    Returns
    -------
    Recording
        Channels in catalogue units on their own clocks, times from the first sample. Large
        arrays are mapped from a file that vanishes with them.

    Raises
    ------
    InputError
        If a file, the database or the vehicle file is at fault.
    LibraryError
        If samples cannot be put aside, for instance because the disk is full.
    """
    with closing(Spill(scratch)) as spill, closing(Shelf(scratch)) as shelf:
        piles: list[Pile] = []
        for number, path in enumerate(paths):
            source = open_source(path, time_column=vehicle.time_column, progress=progress)
            if isinstance(source, Table):
                piles.append(pile_table(source, vehicle, path, keep_all=keep_all))
            else:
                found = pile_frames(
                    source,
                    vehicle,
                    database,
                    path,
                    spill,
                    number=number,
                    keep_all=keep_all,
                )
                piles.append(found)
        spill.free()
        return _put_together(piles, paths, vehicle, recording_id, starts_at, shelf)


def _put_together(
    piles: list[Pile],
    paths: Sequence[Path],
    vehicle: Vehicle,
    recording_id: str,
    starts_at: float | None,
    shelf: Shelf,
) -> Recording:
    """Make a recording of what the files gave."""
    piles = sorted(piles, key=lambda pile: pile.first)
    if len({pile.is_epoch for pile in piles}) > 1:
        raise SourceError(
            "some of the files have absolute times and some relative ones",
            file=", ".join(str(path) for path in paths),
            cure="add them one by one",
        )
    zero = piles[0].first
    last = max(pile.last for pile in piles)
    gaps = _gaps(piles, zero)
    channels, warnings = _channels(piles, vehicle, zero, gaps, shelf)
    if not channels:
        raise SourceError(
            "holds no sample of any signal that the vehicle file maps"
            + (f" ({'; '.join(warnings[:3])})" if warnings else ""),
            file=", ".join(str(path) for path in paths),
            cure=f"check {vehicle.file} against the log with `thawline vehicle check`",
        )
    if not piles[0].is_epoch and starts_at is None:
        warnings.append(
            "the log has no date: its times count from the first sample "
            "(--starts-at says when it began)"
        )
    warnings += [
        f"nothing was recorded from {gap.from_s:.1f} s to {gap.to_s:.1f} s" for gap in gaps
    ]
    begin = zero if piles[0].is_epoch else (starts_at or 0.0)
    return Recording(
        id=recording_id,
        vehicle=vehicle,
        starts_at=begin,
        duration_s=last - zero,
        channels=channels,
        gaps=gaps,
        quality=_quality(piles, zero, [*vehicle.warnings, *warnings]),
        others=_others(piles, zero, gaps, shelf),
    )
