"""Every reader of logs and tables, given damaged files: what it says is sound, or an error."""

from __future__ import annotations

import gzip
from datetime import timedelta
from functools import cache
from pathlib import Path

import numpy as np
import polars as pl
import pytest
import zstd
from hypothesis import HealthCheck, given, settings

from tests.damaging import damaged, damages
from tests.sources.mdf_writing import bus_log
from tests.sources.test_other_logs import whole
from thawline.errors import SourceError
from thawline.sources.by_suffix import open_source
from thawline.sources.table import Table

FOREIGN = Path(__file__).resolve().parents[1] / "data" / "foreign" / "python-can"
KINDS = ("candump", "candump.gz", "candump.zst", "csv", "csv.gz", "tsv", "parquet", "mf4", "asc",
         "asc.fd", "asc.gz", "blf", "blf.fd", "blf.many", "trc", "trc.1")  # fmt: skip
SAMPLES = {
    "asc": "logfile.asc", "asc.fd": "test_CanFdMessage64.asc", "asc.gz": "test_CanMessage.asc.gz",
    "blf": "test_CanMessage.blf", "blf.fd": "test_CanFdMessage.blf", "blf.many": "issue_1905.blf",
    "trc": "test_CanMessage_V2_1.trc", "trc.1": "test_CanMessage_V1_3.trc",
}  # fmt: skip


@cache
def sound(kind: str, folder: Path) -> bytes:
    """Give a sound file of a kind."""
    if kind in SAMPLES:
        return (FOREIGN / SAMPLES[kind]).read_bytes()
    log = "".join(
        f"(17000000{i:02d}.5{i:05d}) can{i % 2} {0x100 + i:03X}{'##1' if i % 7 == 3 else '#'}"
        f"{'0AbC' * (i % 5)}\n"
        for i in range(40)
    ).encode()
    table = {"time [s]": [i / 2 for i in range(40)], "U [V]": [400 + i / 7 for i in range(40)],
             "state": ["on", "off"] * 20}  # fmt: skip
    if kind == "parquet":
        pl.DataFrame(table).write_parquet(folder / "sound.parquet")
        return (folder / "sound.parquet").read_bytes()
    if kind == "mf4":
        frames = [(i / 8, 0x100 + i % 3, i % 2 == 1, bytes([i] * (i % 9))) for i in range(40)]
        return bus_log([(1, frames), (2, frames)], packed=True, starts_at_ns=1_700_000_000 * 10**9)
    sep = "\t" if kind == "tsv" else ","
    text = pl.DataFrame(table).write_csv(separator=sep).encode()
    plain = log if kind.startswith("candump") else text
    if kind.endswith(".gz"):
        return gzip.compress(plain, mtime=0)
    return bytes(zstd.compress(plain)) if kind.endswith(".zst") else plain


def sound_or_refused(path: Path) -> None:
    """Read a file; whatever it gives fits together."""
    try:
        source = open_source(path)
        if isinstance(source, Table):
            for column in source.columns.values():
                assert len(column.t) == len(column.values) <= source.rows
                assert np.isfinite(column.t).all()
        else:
            whole(source)
    except SourceError as error:
        assert error.cure and path.name in str(error)


@pytest.mark.parametrize("kind", KINDS)
@settings(
    max_examples=25,
    deadline=timedelta(seconds=60),
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(damage=damages)
def test_a_damaged_file_gives_what_is_sound_or_an_error(tmp_path: Path, kind: str, damage) -> None:
    """No crash, no hang: columns of one length, finite times, numbers of buses that are named."""
    path = tmp_path / f"damaged.{kind.split('.')[0]}"
    path.write_bytes(damaged(sound(kind, tmp_path), damage))
    sound_or_refused(path)
