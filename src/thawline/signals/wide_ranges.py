"""Keep wide multiplexer ranges of a DBC as ranges.

A DBC may say that a signal is present for the codes 0 to 4294967295 of its selector; the
parser would list them one by one and not come back. Such ranges are taken out beforehand.
"""

from __future__ import annotations

import re

#: First and last codes.
Ranges = tuple[tuple[int, int], ...]
#: Ranges with more codes than this are kept apart [1].
WIDE_FROM = 4096
_ENTRY = re.compile(r"(SG_MUL_VAL_\s+(\d+)\s+(\w+)\s+\w+\s+)([\d\s,-]+);")
_RANGE = re.compile(r"(\d+)\s*-\s*(\d+)")


def shrink_wide_ranges(text: str) -> tuple[str, dict[tuple[int, str], Ranges]]:
    """Replace wide ranges by their first code, and note them.

    Parameters
    ----------
    text : str
        A DBC.

    Returns
    -------
    tuple of str and dict
        The text with no wide range in it; and the true ranges of the signals concerned, by
        identifier (bit 31 set for extended ones) and name.
    """
    wide: dict[tuple[int, str], Ranges] = {}

    def shrink(entry: re.Match[str]) -> str:
        ranges = tuple((int(first), int(last)) for first, last in _RANGE.findall(entry[4]))
        if all(last - first < WIDE_FROM for first, last in ranges):
            return entry[0]
        wide[int(entry[2]), entry[3]] = ranges
        return entry[1] + f"{ranges[0][0]}-{ranges[0][0]};"

    return _ENTRY.sub(shrink, text), wide
