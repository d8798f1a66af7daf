"""Samples of a stretch of time, thinned to what a chart can show."""

from __future__ import annotations

import json
import struct
import threading
from collections import OrderedDict
from dataclasses import dataclass

import numpy as np

from thawline.errors import RequestError, did_you_mean
from thawline.report.choice import Choice
from thawline.report.series import CALM_WINDOWS
from thawline.report.thinning import Floats, calmed, flickers, thin, with_breaks
from thawline.web.held import Held

#: Bytes that prepared lines may take in all [byte].
MOST_BYTES = 1024**3
#: Samples per pixel that a line keeps, and widths that a chart may have [1], [px].
PER_PIXEL, WIDTHS = 2, (16, 8192)
FLOW = "flow:"


@dataclass(frozen=True, slots=True)
class Line:
    """A line, ready to be thinned.

    Parameters
    ----------
    unit : str
        Its catalogue unit.
    t, values : ndarray of float64, shape (n,)
        Samples with a NaN inside each silence [s], [unit].
    is_flickering : bool
        Whether it goes to and fro between two steps of its sensor.
    """

    unit: str
    t: Floats
    values: Floats
    is_flickering: bool = False


class Lines:
    """Keeps the lines that were looked at last, ready to be thinned."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._lines: OrderedDict[tuple[str, str], Line] = OrderedDict()

    def get(self, held: Held, path: str) -> Line:
        """Give a line of a recording.

        Parameters
        ----------
        held : Held
            The explained recording.
        path : str
            Of a channel, or ``flow:`` and a flow's name.

        Returns
        -------
        Line
            The line.

        Raises
        ------
        RequestError
            If the recording has no such line.
        """
        # a recording that still grows is another one each time
        key = (f"{held.explained.recording.id}, {held.explained.recording.duration_s}", path)
        with self._lock:
            if key in self._lines:
                self._lines.move_to_end(key)
                return self._lines[key]
        line = line_of(held, path)
        with self._lock:
            self._lines[key] = line
            while len(self._lines) > 1 and self._bytes() > MOST_BYTES:
                self._lines.popitem(last=False)
        return line

    def _bytes(self) -> int:
        return sum(line.t.nbytes + line.values.nbytes for line in self._lines.values())


def line_of(held: Held, path: str) -> Line:
    """Prepare a line of a recording.

    Parameters
    ----------
    held : Held
        The explained recording.
    path : str
        Of a channel, or ``flow:`` and a flow's name.

    Returns
    -------
    Line
        The line.

    Raises
    ------
    RequestError
        If the recording has no such line.
    """
    recording, flows = held.explained.recording, held.explained.flows
    if path.startswith(FLOW) and path.removeprefix(FLOW) in flows.flows:
        return Line("kW", flows.t, flows.flows[path.removeprefix(FLOW)].kW)
    if path not in recording.channels:
        known = [*recording.channels, *(FLOW + name for name in flows.flows)]
        raise RequestError(
            f"{recording.id} has no line {path!r}",
            cure=did_you_mean(path, known) or "choose one of its channels",
        )
    channel = recording.channels[path]
    t, values = with_breaks(channel, recording.gaps)
    return Line(channel.unit, t, values, channel.unit == "degC" and flickers(values))


def stretch_of(line: Line, from_s: float, to_s: float, width: int) -> tuple[Floats, Floats]:
    """Thin what a line holds in a stretch of time, with one sample more on both sides.

    Parameters
    ----------
    line : Line
        The line.
    from_s, to_s : float
        The stretch [s].
    width : int
        How many pixels it is drawn on [px].

    Returns
    -------
    tuple of ndarray
        Times [s] and values; NaN where the line breaks.
    """
    first = max(int(np.searchsorted(line.t, from_s, "left")) - 1, 0)
    last = min(int(np.searchsorted(line.t, to_s, "right")) + 1, len(line.t))
    t, values = line.t[first:last], line.values[first:last]
    if line.is_flickering:
        t, values = calmed(t, values, (to_s - from_s) / CALM_WINDOWS)
    return thin(t, values, PER_PIXEL * width)


def packed(lines: dict[str, tuple[Floats, Floats]], from_s: float) -> bytes:
    """Pack thinned lines for the browser.

    Parameters
    ----------
    lines : dict of str to tuple of ndarray
        Times [s] and values by path.
    from_s : float
        What times are counted from, so that short numbers are exact enough [s].

    Returns
    -------
    bytes
        Length of the heading (little-endian, 4 bytes), the heading as JSON, padding up to a
        multiple of four, then times and values of each line as little-endian float32.
    """
    told = {
        "from_s": from_s,
        "lines": [{"path": path, "count": len(t)} for path, (t, _) in lines.items()],
    }
    head = json.dumps(told).encode()
    head += b" " * (-len(head) % 4)
    parts = [struct.pack("<I", len(head)), head]
    for t, values in lines.values():
        parts += [(t - from_s).astype("<f4").tobytes(), values.astype("<f4").tobytes()]
    return b"".join(parts)


def samples_of(
    lines: Lines, held: Held, paths: list[str], from_s: float, to_s: float, width: int,
    choice: Choice,
) -> bytes:  # fmt: skip
    """Answer what a chart asks when it is zoomed.

    Parameters
    ----------
    lines : Lines
        Lines at hand.
    held : Held
        The explained recording.
    paths : list of str
        Which lines.
    from_s, to_s : float
        The stretch, since the recording's start [s].
    width : int
        How wide the chart is [px].
    choice : Choice
        Units of the values.

    Returns
    -------
    bytes
        As ``packed`` has it.

    Raises
    ------
    RequestError
        If there is no such line, or the stretch or the width makes no sense.
    """
    if not (np.isfinite(from_s) and np.isfinite(to_s) and from_s < to_s):
        raise RequestError(
            f"the stretch from {from_s:g} s to {to_s:g} s has no length",
            cure="give from= and to= in seconds of the recording, the lower one first",
        )
    width = min(max(width, WIDTHS[0]), WIDTHS[1])
    found = {}
    for path in dict.fromkeys(paths):
        line = lines.get(held, path)
        t, values = stretch_of(line, from_s, to_s, width)
        found[path] = (t, choice.values(values, line.unit))
    return packed(found, from_s)
