"""Read the frames of a serial adapter (slcan) in bulk: one by one they would take a whole core.

Frames come as ``t1A2412345678`` and a carriage return: a sign for the kind, the identifier in
three or eight digits, the length code, the payload, and four digits of the adapter's own clock if
it was told to add them.
"""

from __future__ import annotations

import re
import time

from thawline.live.bus_spec import BusSpec
from thawline.live.listener import Clock, Received
from thawline.live.slcan_port import BELL, OK, ListeningPort
from thawline.sources.payloads import BYTES_BY_CODE, CLASSIC

#: Bytes are gathered for so long before they are taken, so that there is little to wake up for [s].
GATHER_S = 0.005
#: Bytes that wait already are this old, at most [s].
OLDEST_S = 0.1
#: Longest piece that can be a frame; a longer one comes from something else than an adapter [byte].
LONGEST = 160
#: Digits of the adapter's own clock [1].
CLOCK_DIGITS = 4
#: Kinds of frames: remote ones, ones with a flexible data rate, ones with a faster data phase.
REMOTE, FLEXIBLE, FASTER = b"rR", b"dDbB", b"bB"
_FRAME = re.compile(
    rb"(?:([trdb])([0-9A-Fa-f]{3})|([TRDBx])([0-9A-Fa-f]{8}))([0-9A-Fa-f])([0-9A-Fa-f]*)"
)


class SlcanListener:
    """A serial adapter, opened listening only.

    Parameters
    ----------
    spec : BusSpec
        The bus.
    insist : bool
        Whether an adapter without a listen-only mode is opened all the same.

    Raises
    ------
    RequestError
        If the adapter refuses.
    can.CanError, OSError
        If the port cannot be opened.
    """

    def __init__(self, spec: BusSpec, insist: bool) -> None:
        self._port = ListeningPort(spec, insist)
        self._name = spec.name.encode()
        self._tail = self._port.rest
        self._last = 0.0
        self.told = self._port.told

    def receive(self, clock: Clock) -> Received:
        """Wait a moment for frames and give them.

        Parameters
        ----------
        clock : callable
            Gives the time.

        Returns
        -------
        Received
            What came, each frame timed by its place among the bytes.

        Raises
        ------
        OSError
            If the adapter is gone.
        """
        port = self._port.serialPortOrig
        asked = clock()
        first = port.read(1)
        if not first:
            return Received()
        began = clock()
        time.sleep(GATHER_S)
        fresh = first + port.read(port.in_waiting)
        now = clock()
        # what waited already came after the last reading
        since = began if began - asked > GATHER_S else max(self._last, began - OLDEST_S)
        self._last = now
        pieces = (self._tail + fresh).replace(BELL, OK).split(OK)
        self._tail = pieces.pop()
        if len(self._tail) > LONGEST:
            pieces.append(self._tail)
            self._tail = b""
        return self._lines([piece for piece in pieces if piece], since, now)

    def _lines(self, pieces: list[bytes], since: float, now: float) -> Received:
        step = (now - since) / max(len(pieces), 1)
        found = [self._line(piece, since + step * i) for i, piece in enumerate(pieces, 1)]
        lines = [line for line in found if line]
        return Received(b"".join(lines), len(lines), len(found) - len(lines))

    def _line(self, piece: bytes, t: float) -> bytes:
        """Write a piece as a line; empty if it is no frame."""
        found = _FRAME.fullmatch(piece)
        if found is None:
            return b""
        short, number, long, wide, code, digits = found.groups()
        kind, identifier = short or long, (number or wide).upper()
        if kind in REMOTE:
            return b"(%.6f) %b %b#R\n" % (t, self._name, identifier)
        length = BYTES_BY_CODE[int(code, 16)]
        if kind not in FLEXIBLE:
            length = min(length, CLASSIC)
        if len(digits) - 2 * length not in (0, CLOCK_DIGITS):
            return b""
        payload = digits[: 2 * length].upper()
        if kind in FLEXIBLE:
            flags = b"1" if kind in FASTER else b"0"
            return b"(%.6f) %b %b##%b%b\n" % (t, self._name, identifier, flags, payload)
        return b"(%.6f) %b %b#%b\n" % (t, self._name, identifier, payload)

    def close(self) -> None:
        """Close the channel and let the port go, also of an adapter that is gone."""
        self._port.shutdown()
