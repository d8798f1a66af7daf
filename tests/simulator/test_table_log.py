"""Tables."""

import polars as pl
import pytest

from tests.simulator.made import COLDEST, MEAN, short_morning
from thawline.simulator.demo import vehicle
from thawline.simulator.write import write_table
from thawline.vehicle.read import read_vehicle


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_a_table_has_the_columns_that_its_vehicle_file_names(separator, tmp_path):
    """Every signal of the vehicle file is a column, and its values are the true ones."""
    morning = short_morning()
    files = write_table(morning, vehicle("gannet")[1], tmp_path, 2.0, separator)
    frame = pl.read_csv(files.table, separator=separator)
    named = {heading.split(" [")[0]: heading for heading in frame.columns}
    signals = read_vehicle(files.vehicle_file).signals
    assert all(source.from_ in named for source in signals.values())
    assert frame.height == 450
    found = frame[named[signals[MEAN].from_]].drop_nulls()
    assert found[-1] == pytest.approx(morning.values[MEAN][-8], abs=0.2)


def test_cells_are_empty_until_the_sensor_is_ready(tmp_path):
    """A sensor that has no value yet leaves its cell empty."""
    files = write_table(short_morning(), vehicle("gannet")[1], tmp_path)
    frame = pl.read_csv(files.table)
    source = read_vehicle(files.vehicle_file).signals[COLDEST].from_
    cells = frame[f"{source} [degC]"]
    assert cells[:3].null_count() == 3
    assert cells[3:].null_count() == 0
