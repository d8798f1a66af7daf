"""Turn lines of candump text into columns, whole batches at a time.

Three layouts are read. The compact one of log files ::

    (1700000000.123456) can0 1A2#0011AABB

optionally followed by the direction ``R`` or ``T``; the same with stray blanks; and the one
that the tool prints on a screen ::

     (001.234567)  can0  1A2   [4]  00 11 AA BB
"""

from __future__ import annotations

import polars as pl

#: Columns of parsed lines: place in the batch, time [s], bus, identifier, payload length
#: [byte] and the payload as one number, the first byte highest.
COLUMNS = ("row", "t", "bus", "identifier", "length", "word")
_COMPACT = (
    r"^\s*\(([^)]*)\)\s+(\S+)\s+([0-9A-Fa-f]{1,8})#([0-9A-Fa-f.]*)(?:_[0-9A-Fa-f])?(?:\s+[RT])?\s*$"
)
_SCREEN = (
    r"^\s*\(([^)]*)\)\s+(\S+)\s+(?:[RT]X \S \S\s+)?([0-9A-Fa-f]{1,8})\s+"
    r"\[(\d)\]\s*((?:[0-9A-Fa-f]{2}\s+)*(?:[0-9A-Fa-f]{2})?)\s*(?:'.*')?\s*$"
)
_HEAD = r"^\s*\([^)]*\)\s+\S+\s+"
#: What lines that are no data frames look like, by the reason for leaving them out.
_REASONS = {
    "remote": _HEAD + r"[^#\[]*(?:#[Rr][0-9A-Fa-f]?(?:\s|_|$)|\[\d\]\s+remote request)",
    "error": r"ERRORFRAME",
}


def as_identifier(identifier: pl.Expr) -> pl.Expr:
    """Convert an identifier's digits; more than three make it an extended one.

    Parameters
    ----------
    identifier : Expr
        The digits.

    Returns
    -------
    Expr
        The column ``identifier``; null where it is none.
    """
    # a number may begin with a plus sign, a payload and an identifier may not
    number = identifier.str.to_integer(base=16, dtype=pl.UInt32, strict=False)
    return (
        pl.when(identifier.str.starts_with("+"))
        .then(None)
        .when(identifier.str.len_bytes() > 3)
        .then((number & 0x7FFF_FFFF) | 0x8000_0000)
        .when(number <= 0x7FF)
        .then(number)
        .alias("identifier")
    )


def as_time(text: pl.Expr) -> pl.Expr:
    """Convert a time, in seconds or as a date, with blanks around it.

    Parameters
    ----------
    text : Expr
        The time as it stands between its brackets.

    Returns
    -------
    Expr
        Seconds; null where it is no time.
    """
    bare = text.str.strip_chars()
    date = bare.str.to_datetime("%Y-%m-%d %H:%M:%S%.f", strict=False, time_unit="us")
    return pl.coalesce(bare.cast(pl.Float64, strict=False), date.dt.epoch("us") / 1e6)


def _frame_columns(
    row: pl.Expr, time: pl.Expr, bus: pl.Expr, identifier: pl.Expr, payload: pl.Expr
) -> list[pl.Expr]:
    """Convert texts to numbers; whatever does not fit becomes null."""
    signs = payload.str.len_bytes()
    word = payload.str.to_integer(base=16, dtype=pl.UInt64, strict=False)
    return [
        row.alias("row"),
        time.alias("t"),
        bus.alias("bus"),
        as_identifier(identifier),
        pl.when((signs % 2 == 0) & (signs <= 16)).then(signs // 2).cast(pl.UInt8).alias("length"),
        pl.when(signs == 0)
        .then(pl.lit(0, dtype=pl.UInt64))
        .when(~payload.str.starts_with("+"))
        .then(word)
        .alias("word"),
    ]


def _complete(frame: pl.DataFrame) -> pl.Expr:
    """Tell which rows have all that a frame needs."""
    return pl.all_horizontal(
        pl.col("t").is_finite().fill_null(False),
        *(pl.col(name).is_not_null() for name in frame.columns if name in COLUMNS[2:]),
    )


def parse_plain(lines: pl.Series) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Parse the layout of log files; this is the fast path.

    Parameters
    ----------
    lines : Series of str
        The lines of a batch.

    Returns
    -------
    tuple of DataFrame
        The frames, with the columns of ``COLUMNS``; and the other lines that are not blank,
        with the columns ``row`` and ``line``.
    """
    split = (
        pl.LazyFrame({"line": lines})
        .with_row_index("row")
        .with_columns(pl.col("line").str.split_exact(" ", 2).alias("cells"))
        .select(
            "row", "line", pl.col("cells").struct.rename_fields(["time", "bus", "rest"])
        )
        .unnest("cells")
        .with_columns(pl.col("rest").str.split_exact("#", 1).alias("frame"))
        .select(
            "row", "line", "time", "bus", "rest",
            pl.col("frame").struct.rename_fields(["identifier", "payload"]),
        )
        .unnest("frame")
    )  # fmt: skip
    bare = pl.col("time").str.strip_prefix("(").str.strip_suffix(")")
    size = {
        name: pl.col(name).str.len_bytes().cast(pl.Int32)
        for name in ("line", "time", "bare", "bus", "rest", "identifier", "payload")
    }
    parsed = (
        split.with_columns(bare.alias("bare"))
        .select(
            "line",
            *_frame_columns(
                pl.col("row"),
                pl.col("bare").cast(pl.Float64, strict=False),
                pl.col("bus"),
                pl.col("identifier"),
                pl.col("payload"),
            ),
            (
                (size["bare"] == size["time"] - 2)
                & (size["rest"] == size["identifier"] + size["payload"] + 1)
            ).alias("whole"),
            (size["line"] - size["time"] - size["bus"] - size["rest"] - 2).alias("behind"),
        )
        .collect()
    )
    whole = parsed.select(good=_complete(parsed) & pl.col("whole"))["good"]
    if (parsed["behind"] != 0).any():  # a direction is all that may stand behind the frame
        ends = pl.col("line").str.ends_with(" R") | pl.col("line").str.ends_with(" T")
        is_direction = (pl.col("behind") == 2) & ends
        behind = parsed.select(good=(pl.col("behind") == 0) | is_direction)["good"]
        whole &= behind.fill_null(False)
    if whole.all():
        return parsed.select(COLUMNS), parsed.select("row", "line").clear()
    other = parsed.filter(~whole & (parsed["line"].str.strip_chars().str.len_bytes() > 0))
    return parsed.filter(whole).select(COLUMNS), other.select("row", "line")


def parse_odd(lines: pl.DataFrame) -> pl.DataFrame:
    """Parse the other layouts; slower.

    Parameters
    ----------
    lines : DataFrame
        Columns ``row`` and ``line``.

    Returns
    -------
    DataFrame
        The frames found, with the columns of ``COLUMNS``, in order.
    """
    found = []
    for pattern, payload in ((_COMPACT, "4"), (_SCREEN, "5")):
        groups = lines.select(
            "row", pl.col("line").str.extract_groups(pattern).alias("group")
        ).unnest("group")
        frame = groups.select(
            _frame_columns(
                pl.col("row"),
                as_time(pl.col("1")),
                pl.col("2"),
                pl.col("3"),
                pl.col(payload).str.replace_all(r"[\s.]", ""),
            ),
        )
        stated = groups["4"].cast(pl.Int64, strict=False) if payload == "5" else None
        if stated is not None:  # a line that was cut has fewer bytes than it states
            frame = frame.filter(frame["length"].cast(pl.Int64) == stated)
        found.append(frame.filter(_complete(frame)))
    return pl.concat(found).sort("row")


def reasons(lines: pl.DataFrame) -> dict[str, int]:
    """Count lines that are no data frames by what they seem to be.

    Parameters
    ----------
    lines : DataFrame
        Column ``line``.

    Returns
    -------
    dict of str to int
        Lines by reason [1]: ``remote``, ``error``, ``unreadable``.
    """
    counts, left = {}, lines["line"]
    for reason, pattern in _REASONS.items():
        match = left.str.contains(pattern)
        counts[reason] = int(match.sum())
        left = left.filter(~match)
    counts["unreadable"] = len(left)
    return {reason: count for reason, count in counts.items() if count}
