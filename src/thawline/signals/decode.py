"""Turn frames into physical values, one array per signal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from thawline.signals.bits import Payloads, codes, physical_values, reals, unsigned_bits
from thawline.signals.database import Database
from thawline.signals.layout import Condition, SignalLayout
from thawline.signals.lookup import places
from thawline.sources.frames import Frames


@dataclass(frozen=True, slots=True)
class Decoded:
    """The values of one signal, in the order of the log.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Time of each value, as the frames have it [s].
    values : ndarray of float64, shape (n,)
        Physical values [unit].
    unit : str
        Unit of the values as the database writes it; may be empty.
    codes : ndarray of int, shape (n,), optional
        Raw codes, for labelled signals only [1].
    labels : mapping of int to str
        Names of the codes, for labelled signals.
    too_short : int
        Frames of the message that ended before the signal and were left out [1].
    """

    t: NDArray[np.float64]
    values: NDArray[np.float64]
    unit: str = ""
    codes: NDArray[np.integer[Any]] | None = None
    labels: Mapping[int, str] = field(default_factory=dict)
    too_short: int = 0


def decode(frames: Frames, wanted: Sequence[SignalLayout]) -> dict[str, Decoded]:
    """Decode the wanted signals of a batch of frames.

    Parameters
    ----------
    frames : Frames
        The frames.
    wanted : sequence of SignalLayout
        The signals, each ``Message.Signal`` once; one whose ``bus`` is set is read from
        frames of that bus only.

    Returns
    -------
    dict of str to Decoded
        Values by ``Message.Signal``; empty arrays for a signal that never came.
    """
    messages: dict[int, list[SignalLayout]] = {}
    for signal in wanted:
        messages.setdefault(signal.identifier, []).append(signal)
    decoded = {signal.key: _nothing(signal) for signal in wanted}
    for identifier, rows in _rows_by_identifier(frames.identifier, list(messages)):
        by_bus: dict[str | None, list[SignalLayout]] = {}
        for signal in messages[identifier]:
            by_bus.setdefault(signal.bus, []).append(signal)
        for bus, signals in by_bus.items():
            here = rows if bus is None else rows[_on_bus(frames, rows, bus)]
            if len(here):
                decoded.update(_decode_message(frames, here, signals))
    return decoded


def join(batches: Iterable[Mapping[str, Decoded]]) -> dict[str, Decoded]:
    """Put what several batches gave behind one another.

    Parameters
    ----------
    batches : iterable of mapping of str to Decoded
        Results of ``decode``, in the order of the log.

    Returns
    -------
    dict of str to Decoded
        Values by ``Message.Signal`` over all batches.
    """
    parts: dict[str, list[Decoded]] = {}
    for batch in batches:
        for key, part in batch.items():
            parts.setdefault(key, []).append(part)
    return {key: _joined(found) for key, found in parts.items()}


def match_count(frames: Frames, database: Database) -> int:
    """Count the frames whose identifier the database knows.

    Parameters
    ----------
    frames : Frames
        The frames.
    database : Database
        The database.

    Returns
    -------
    int
        Frames that match a message [1]; 0 says that the database does not fit the log.
    """
    known = np.unique([message.identifier for message in database.messages.values()])
    if len(known) == 0:
        return 0
    place = places(frames.identifier, known.astype(np.uint32))
    return int(np.count_nonzero(place < len(known)))


def _rows_by_identifier(
    identifier: NDArray[np.uint32], wanted: Sequence[int]
) -> Iterator[tuple[int, NDArray[np.intp]]]:
    """Give the rows of each wanted identifier, in order."""
    known = np.array(sorted(wanted), dtype=np.uint32)
    if len(known) == 0:
        return
    place = places(identifier, known)
    hits = np.flatnonzero(place < len(known))
    # numpy sorts numbers of two bytes by counting, many times faster than wider ones
    group = place[hits]
    order = hits[np.argsort(group, kind="stable")]
    ends = np.cumsum(np.bincount(group, minlength=len(known)))
    begin = 0
    for number, end in zip(known.tolist(), ends.tolist(), strict=True):
        if end > begin:
            yield number, order[begin:end]
        begin = end


def _on_bus(frames: Frames, rows: NDArray[np.intp], bus: str) -> NDArray[np.bool_]:
    if bus not in frames.buses:
        return np.zeros(len(rows), dtype=bool)
    return np.asarray(frames.bus[rows] == frames.buses.index(bus))


def _decode_message(
    frames: Frames, rows: NDArray[np.intp], signals: Sequence[SignalLayout]
) -> dict[str, Decoded]:
    """Decode the signals of one message from its frames."""
    payloads, length, t = Payloads(frames.data, rows), frames.length[rows], frames.t[rows]
    shortest, decoded = int(length.min()), {}
    for signal in signals:
        there = _present(payloads, length, signal.condition)
        if signal.bytes_needed > payloads.width:  # the batch has classic frames only
            lost = len(rows) if there is None else int(np.count_nonzero(there))
            decoded[signal.key] = _nothing(signal, too_short=lost)
            continue
        whole = None if shortest >= signal.bytes_needed else length >= signal.bytes_needed
        keep = there if whole is None else whole if there is None else whole & there
        lost = 0
        if whole is not None:
            lost = int(np.count_nonzero(~whole if there is None else ~whole & there))
        bits = unsigned_bits(payloads, signal)
        if keep is None:
            decoded[signal.key] = _decoded(t, bits, signal, lost)
        else:
            decoded[signal.key] = _decoded(t[keep], bits[keep], signal, lost)
    return decoded


def _present(
    payloads: Payloads, length: NDArray[np.uint8], condition: Condition | None
) -> NDArray[np.bool_] | None:
    """Tell which frames hold a multiplexed signal; None if all do."""
    if condition is None:
        return None
    selector = condition.selector
    if selector.bytes_needed > payloads.width:
        return np.zeros(len(payloads), dtype=bool)
    code = codes(unsigned_bits(payloads, selector), selector)
    shows = np.zeros(len(payloads), dtype=bool)
    for first, last in condition.ranges:
        shows |= (code >= first) & (code <= last)
    shows &= length >= selector.bytes_needed
    above = _present(payloads, length, selector.condition)
    return shows if above is None else shows & above


def _decoded(
    t: NDArray[np.float64], bits: NDArray[np.uint64], signal: SignalLayout, too_short: int
) -> Decoded:
    if signal.is_float:
        values = physical_values(reals(bits, signal), signal)
        return Decoded(t, values, signal.unit, None, signal.choices, too_short)
    raw = codes(bits, signal)
    kept = raw if signal.choices else None
    return Decoded(t, physical_values(raw, signal), signal.unit, kept, signal.choices, too_short)


def _nothing(signal: SignalLayout, too_short: int = 0) -> Decoded:
    """Give the empty result of a signal that never came."""
    return _decoded(np.zeros(0), np.zeros(0, dtype=np.uint64), signal, too_short)


def _joined(parts: Sequence[Decoded]) -> Decoded:
    first = parts[0]
    coded = [part.codes for part in parts if part.codes is not None]
    return Decoded(
        t=np.concatenate([part.t for part in parts]),
        values=np.concatenate([part.values for part in parts]),
        unit=first.unit,
        codes=np.concatenate(coded) if coded else None,
        labels=first.labels,
        too_short=sum(part.too_short for part in parts),
    )
