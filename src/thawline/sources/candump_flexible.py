"""Read the lines of candump text that hold frames with a flexible data rate.

The compact layout has two signs and a digit of flags before the payload, the one of the
screen a length of two digits ::

    (1700000000.123456) can0 1A2##1001122334455667788990011
     (001.234567)  can0  1A2  [12]  00 11 22 33 44 55 66 77 88 99 00 11
"""

from __future__ import annotations

import numpy as np
import polars as pl
from numpy.typing import NDArray

from thawline.sources.candump_lines import as_identifier, as_time
from thawline.sources.payloads import WIDEST, from_hex

#: Columns of parsed lines: place in the batch, time [s], bus, identifier, payload length [byte].
COLUMNS = ("row", "t", "bus", "identifier", "length")
_HEAD = r"^\s*\(([^)]*)\)\s+(\S+)\s+(?:[RT]X \S \S\s+)?([0-9A-Fa-f]{1,8})"
_COMPACT = _HEAD + r"##[0-9A-Fa-f]()([0-9A-Fa-f.]*)(?:\s+[RT])?\s*$"
_SCREEN = _HEAD + r"\s+\[(\d\d)\]\s*((?:[0-9A-Fa-f]{2}\s+)*(?:[0-9A-Fa-f]{2})?)\s*(?:'.*')?\s*$"


def parse_flexible(lines: pl.DataFrame) -> tuple[pl.DataFrame, NDArray[np.uint8]]:
    """Parse frames with a flexible data rate.

    Parameters
    ----------
    lines : DataFrame
        Columns ``row`` and ``line``.

    Returns
    -------
    tuple of DataFrame and ndarray of uint8, shape (n, 8) or (n, 64)
        The frames found, with the columns of ``COLUMNS``, in order; and their payloads.
    """
    found = []
    for pattern, sign in ((_COMPACT, "##"), (_SCREEN, "[")):
        some = lines.filter(pl.col("line").str.contains(sign, literal=True))
        digits = pl.col("5").str.replace_all(r"[\s.]", "")
        signs = digits.str.len_bytes()
        stated = pl.col("4").cast(pl.Int64, strict=False)  # the compact layout states none
        frame = (
            some.select("row", pl.col("line").str.extract_groups(pattern).alias("group"))
            .unnest("group")
            .with_columns(digits.alias("5"))
            .select(
                "row",
                as_time(pl.col("1")).alias("t"),
                pl.col("2").alias("bus"),
                as_identifier(pl.col("3")),
                pl.when(
                    (signs % 2 == 0)
                    & (signs <= 2 * WIDEST)
                    & (stated.is_null() | (stated * 2 == signs))
                )
                .then(signs // 2)
                .cast(pl.UInt8)
                .alias("length"),
                pl.col("5").alias("digits"),
            )
        )
        whole = pl.all_horizontal(
            pl.col("t").is_finite().fill_null(False),
            *(pl.col(name).is_not_null() for name in COLUMNS[2:]),
        )
        found.append(frame.filter(whole))
    both = pl.concat(found).sort("row")
    return both.select(COLUMNS), from_hex(both["digits"], both["length"].to_numpy())
