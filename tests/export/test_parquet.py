import json

import polars as pl

from tests.export.kept import CABLE, PACK, START, recording
from tests.export.round_trip import assert_reads_back
from thawline.export.parquet import KEY, write_parquet


def test_reads_back_through_our_own_table_reader(tmp_path):
    """Every sample comes back to a relative 1e-12 with its unit, at its own time."""
    for start in (START, 0.0):
        kept = recording(start=start)
        write_parquet(kept, tmp_path / "a.parquet")
        assert_reads_back(kept, tmp_path / "a.parquet")


def test_the_file_says_what_it_holds(tmp_path):
    """The metadata names vehicle, gaps, and each column's path, unit and source."""
    write_parquet(recording(), tmp_path / "a.parquet")
    told = json.loads(pl.read_parquet_metadata(tmp_path / "a.parquet")[KEY])
    assert told["vehicle"] == "Gannet"
    assert told["gaps"] == [[10.0, 12.0]]
    voltage = told["columns"][f"{PACK}CurrentVoltage [V]"]
    assert (voltage["unit"], voltage["source"]) == ("V", "A.U")


def test_states_stay_whole_numbers(tmp_path):
    """On and off are 1 and 0, not 1.0 and 0.0."""
    write_parquet(recording(), tmp_path / "a.parquet")
    states = pl.read_parquet(tmp_path / "a.parquet")[CABLE]
    assert states.dtype == pl.Int8
    assert states.drop_nulls().to_list() == [0, 1]
