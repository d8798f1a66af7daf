"""Write small MDF 4.10 bus logs by hand, block by block, as loggers do.

Written from the block descriptions of ASAM MDF 4.1 (from memory), so that the reader is
tried on files that its own parser did not write: packed members, payloads of variable
length kept apart, one group for each bus.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass, field

FrameRow = tuple[float, int, bool, bytes]  # time [s], number, extended, payload
BUS_SOURCE, CAN = 2, 2
MASTER, VALUE, VARIABLE = 2, 0, 1
UNSIGNED, FLOAT, BYTES = 0, 4, 10


@dataclass
class Blocks:
    """A file that grows block by block; a link is the address of a block."""

    content: bytearray = field(default_factory=bytearray)

    def add(self, name: bytes, links: list[int], body: bytes) -> int:
        self.content += b"\0" * (-len(self.content) % 8)
        address = len(self.content)
        size = 24 + 8 * len(links) + len(body)
        self.content += struct.pack("<4sIQQ", name, 0, size, len(links))
        self.content += struct.pack(f"<{len(links)}Q", *links) + body
        return address

    def text(self, words: str) -> int:
        raw = words.encode() + b"\0"
        return self.add(b"##TX", [], raw + b"\0" * (-len(raw) % 8))


def channel(
    blocks: Blocks,
    name: str,
    after: int,
    *,
    kind: int = VALUE,
    data_type: int = UNSIGNED,
    at: tuple[int, int],
    bits: int,
    parts: int = 0,
    data: int = 0,
) -> int:
    """Add a channel block that stands before another; ``at`` is byte and bit."""
    body = struct.pack("<BBBBIIII", kind, kind == MASTER, data_type, at[1], at[0], bits, 0, 0)
    body += struct.pack("<BBH6d", 0, 0, 0, *([0.0] * 6))
    return blocks.add(b"##CN", [after, parts, blocks.text(name), 0, 0, data, 0, 0], body)


def group(blocks: Blocks, after: int, bus: int, rows: list[FrameRow], *, packed: bool) -> int:
    """Add a data group with one channel group of data frames."""
    record, payloads = b"", b""
    for t, number, extended, payload in rows:
        if packed:  # 8 time, 4 identifier with flag, 1 bus and length, 8 offset of the payload
            word = number | extended << 31
            record += struct.pack("<dIBQ", t, word, bus | len(payload) << 4, len(payloads))
            payloads += struct.pack("<I", len(payload)) + payload
        else:
            record += struct.pack("<dIBBB8s", t, number, extended, bus, len(payload), payload)
    first = 0
    prefix = "CAN_DataFrame."
    if packed:
        apart = blocks.add(b"##SD", [], payloads)
        first = channel(
            blocks, prefix + "DataBytes", first, kind=VARIABLE, data_type=BYTES, at=(13, 0),
            bits=64, data=apart,
        )  # fmt: skip
        first = channel(blocks, prefix + "DataLength", first, at=(12, 4), bits=4)
        first = channel(blocks, prefix + "BusChannel", first, at=(12, 0), bits=4)
        first = channel(blocks, prefix + "IDE", first, at=(11, 7), bits=1)
        first = channel(blocks, prefix + "ID", first, at=(8, 0), bits=29)
        width = 21
    else:
        first = channel(blocks, prefix + "DataBytes", first, data_type=BYTES, at=(15, 0), bits=64)
        first = channel(blocks, prefix + "DataLength", first, at=(14, 0), bits=8)
        first = channel(blocks, prefix + "BusChannel", first, at=(13, 0), bits=8)
        first = channel(blocks, prefix + "IDE", first, at=(12, 0), bits=8)
        first = channel(blocks, prefix + "ID", first, at=(8, 0), bits=32)
        width = 23
    whole = channel(
        blocks, "CAN_DataFrame", 0, data_type=BYTES, at=(8, 0), bits=8 * (width - 8), parts=first
    )
    clock = channel(blocks, "Timestamp", whole, kind=MASTER, data_type=FLOAT, at=(0, 0), bits=64)
    source = blocks.add(
        b"##SI", [blocks.text(f"CAN{bus}"), 0, 0], struct.pack("<BBB5x", BUS_SOURCE, CAN, 0)
    )
    body = struct.pack("<QQHHIII", 0, len(rows), 0x6, ord("."), 0, width, 0)
    frames = blocks.add(b"##CG", [0, clock, blocks.text(f"CAN{bus}"), source, 0, 0], body)
    data = blocks.add(b"##DT", [], record)
    return blocks.add(b"##DG", [after, frames, data, 0], struct.pack("<B7x", 0))


def bus_log(groups: list[tuple[int, list[FrameRow]]], *, packed: bool, starts_at_ns: int) -> bytes:
    """Make a whole file from frames by bus, one group for each."""
    blocks = Blocks()
    blocks.content += struct.pack("<8s8s8s4xH30xHH", b"MDF     ", b"4.10    ", b"tests", 410, 0, 0)
    assert len(blocks.content) == 64
    blocks.content += b"\0" * 104  # the header comes last, when its links are known
    after = 0
    for bus, rows in reversed(groups):
        after = group(blocks, after, bus, rows, packed=packed)
    note = blocks.text("<FHcomment><TX>made by hand</TX></FHcomment>")
    history = blocks.add(b"##FH", [0, note], struct.pack("<QhhB3x", starts_at_ns, 0, 0, 0))
    links = struct.pack("<6Q", after, history, 0, 0, 0, 0)
    body = struct.pack("<QhhBBBBdd", starts_at_ns, 0, 0, 0, 0, 0, 0, 0.0, 0.0)
    blocks.content[64 : 64 + 104] = struct.pack("<4sIQQ", b"##HD", 0, 104, 6) + links + body
    return bytes(blocks.content)
