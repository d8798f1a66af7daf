import csv

import polars as pl

from tests.export.kept import PACK, recording
from tests.export.round_trip import assert_reads_back
from thawline.export.csv import write_csv


def test_reads_back_through_our_own_table_reader(tmp_path):
    """Every sample comes back to a relative 1e-12 with its unit, at its own time."""
    for seed in range(3):
        kept = recording(seed)
        write_csv(kept, tmp_path / f"{seed}.csv")
        assert_reads_back(kept, tmp_path / f"{seed}.csv")


def test_a_recording_without_a_date_keeps_its_relative_times(tmp_path):
    """Times count from the first sample where nobody knows when that was."""
    kept = recording(start=0.0)
    write_csv(kept, tmp_path / "a.csv")
    assert_reads_back(kept, tmp_path / "a.csv")


def test_units_stand_in_the_headings_and_rows_are_even(tmp_path):
    """RFC 4180: a header, and every record has as many cells as it."""
    write_csv(recording(), tmp_path / "a.csv")
    with (tmp_path / "a.csv").open(newline="", encoding="utf-8") as file:
        rows = list(csv.reader(file))
    assert rows[0][:2] == ["Time [s]", f"{PACK}CurrentVoltage [V]"]
    assert {len(row) for row in rows} == {len(rows[0])}


def test_nothing_is_filled_in(tmp_path):
    """A cell is empty where the channel has no sample just then."""
    kept = recording()
    write_csv(kept, tmp_path / "a.csv")
    table = pl.read_csv(tmp_path / "a.csv", infer_schema_length=None)
    for column, channel in zip(table.columns[1:], kept.channels.values(), strict=True):
        assert len(table) - table[column].null_count() == len(channel.t)
