"""Read a text file, plain or compressed, as batches of lines."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import polars as pl

from thawline.errors import SourceError

#: Lines in a batch, so that memory stays flat [1].
LINES_PER_BATCH = 150_000
#: A compressed log holds about this many times its size; only progress relies on it [1].
COMPRESSION = 4
#: How compressed files begin.
COMPRESSED = (b"\x1f\x8b", b"\x28\xb5\x2f\xfd")


def is_compressed(path: Path) -> bool:
    """Tell whether a file is a gzip or zstd archive, by its first bytes.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    bool
        True if it is one.
    """
    with path.open("rb") as file:
        return file.read(4).startswith(COMPRESSED)


def read_lines(
    path: Path,
    content: Path | bytes | None = None,
    *,
    progress: Callable[[int, int], None] | None = None,
) -> Iterator[tuple[pl.Series, bool]]:
    """Read the lines of a file in batches; gzip and zstd archives are unpacked on the way.

    Parameters
    ----------
    path : Path
        The file.
    content : Path or bytes, optional
        Its content where it had to be converted; None: the file itself.
    progress : callable, optional
        Called with the bytes done and the bytes in all (guessed for archives).

    Yields
    ------
    tuple of Series and bool
        Up to 150,000 lines without their ends, empty ones as nulls; and whether the file
        broke off after them, as a truncated archive does.

    Raises
    ------
    SourceError
        If the file cannot be read at all.
    """
    total = path.stat().st_size
    factor = COMPRESSION if is_compressed(path) else 1
    # no line holds the separator, so each line is one cell
    scan = pl.scan_csv(
        str(path) if content is None or isinstance(content, Path) else content,
        separator="\x01",
        has_header=False,
        quote_char=None,
        schema={"line": pl.String},
        truncate_ragged_lines=True,
        encoding="utf8-lossy",
        glob=False,
    )
    batches = scan.collect_batches(chunk_size=LINES_PER_BATCH, maintain_order=True)
    done, broke_off, count = 0, False, 0
    while not broke_off:
        try:
            lines = next(batches)["line"]
        except StopIteration:
            break
        except (OSError, pl.exceptions.PolarsError) as error:
            if count == 0:
                raise SourceError(
                    f"the file cannot be read ({error})",
                    file=path,
                    cure="Unpack it by hand to see what is left of it",
                ) from error
            broke_off = True
            lines = pl.Series("line", [], dtype=pl.String)
        count += 1
        yield lines, broke_off
        done += int(lines.str.len_bytes().sum()) + len(lines)
        if progress is not None:
            progress(min(done // factor, total), total)
    if progress is not None:
        progress(total, total)
