"""Text tables as spreadsheets and lab programs write them."""

from __future__ import annotations

import gzip
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from thawline.errors import SourceError
from thawline.sources import chunks as lines_module
from thawline.sources.csv_table import read_csv_table
from thawline.sources.table import Table

NEW_YEAR = 1_704_067_200.0  # 2024-01-01T00:00:00Z


def read(folder: Path, text: str | bytes, name: str = "lab.csv", **options) -> Table:
    """Write a table and read it."""
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_csv_table(path, **options)


def values(table: Table, name: str) -> list[float | None]:
    """Give a column's values, None for empty cells."""
    return [None if np.isnan(v) else float(v) for v in table.columns[name].values]


def test_a_plain_table_gives_columns_with_units_from_their_headings(tmp_path: Path) -> None:
    """Units in brackets or parentheses; columns are found with and without them."""
    table = read(
        tmp_path, "time [s],Pack current [A],Pack_U (V)\n0,1.5,350\n0.5,-2,351\n1,2.5e1,352\n"
    )
    assert (table.rows, table.is_epoch, dict(table.left_out)) == (3, False, {})
    assert list(table.columns) == ["Pack current [A]", "Pack_U (V)"]
    current = table.columns["Pack current"]
    assert current.unit == "A" and current.t.tolist() == [0.0, 0.5, 1.0]
    assert values(table, "Pack current [A]") == [1.5, -2.0, 25.0]
    assert table.columns["Pack_U"].unit == "V" and "pack_u (v)" in table.columns


def test_a_lab_file_with_preamble_units_row_decimal_comma_and_latin_1(tmp_path: Path) -> None:
    """Semicolons, CRLF, a German header, units in a second row, a row that is too short."""
    text = (
        "Prüfling;Gannet\r\nDatum;15.01.2024\r\n\r\n"
        "Zeit;Strom;Temperatur außen;Heizung\r\ns;A;°C;\r\n"
        "0,0;1,5;-20,25;Aus\r\n0,5;1.234,5;-20,5;Ein\r\n1,0;1,7;Ein\r\n1,5;-;;Ein\r\n"
    )
    table = read(tmp_path, text.encode("latin-1"))
    assert table.columns["Strom"].t.tolist() == [0.0, 0.5, 1.5]
    assert values(table, "Strom") == [1.5, 1234.5, None]
    assert values(table, "Temperatur außen") == [-20.25, -20.5, None]
    assert table.columns["Temperatur außen"].unit == "°C"
    assert table.columns["Heizung"].labels == {0.0: "Aus", 1.0: "Ein"}
    assert values(table, "Heizung") == [0.0, 1.0, 1.0]
    assert dict(table.left_out) == {"wrong number of cells": 1}


@pytest.mark.parametrize(
    "encode",
    [
        lambda s: s.encode("utf-8"),
        lambda s: s.encode("utf-8-sig"),
        lambda s: s.encode("cp1252"),
        lambda s: s.encode("utf-16"),
        lambda s: gzip.compress(s.encode("utf-8")),
        lambda s: gzip.compress(s.encode("cp1252")),
    ],
)
def test_any_usual_encoding_gives_the_same_table(tmp_path: Path, encode) -> None:
    """UTF-8 with and without mark, the spreadsheets' latin-1, UTF-16, archives."""
    table = read(tmp_path, encode("Zeit\tKühler [°C]\n0\t-3.5\n1\t-3.25\n"))
    assert list(table.columns) == ["Kühler [°C]"]
    assert table.columns["Kühler"].unit == "°C" and values(table, "Kühler") == [-3.5, -3.25]


@pytest.mark.parametrize(
    ("heading", "cells", "expected", "is_epoch"),
    [
        ("time", ["0", "0.5"], [0.0, 0.5], False),
        ("Time (ms)", ["0", "500"], [0.0, 0.5], False),
        ("t_ms", ["0", "500"], [0.0, 0.5], False),
        ("elapsed [min]", ["0", "1.5"], [0.0, 90.0], False),
        ("Time [h]", ["0", "0.25"], [0.0, 900.0], False),
        ("timestamp", ["1704067200.25", "1704067201"], [NEW_YEAR + 0.25, NEW_YEAR + 1], True),
        ("timestamp", ["1704067200250", "1704067201000"], [NEW_YEAR + 0.25, NEW_YEAR + 1], True),
        ("epoch_us", ["1704067200250000", "1704067201000000"],
         [NEW_YEAR + 0.25, NEW_YEAR + 1], True),
        ("Timestamp", ["2024-01-01T00:00:00.25Z", "2024-01-01T01:00:01+01:00"],
         [NEW_YEAR + 0.25, NEW_YEAR + 1], True),
        ("Date Time", ["2024-01-01 00:00:00,25", "2024-01-01 00:00:01"],
         [NEW_YEAR + 0.25, NEW_YEAR + 1], True),
        ("Zeit", ["01.01.2024 00:00:00,25", "01.01.2024 00:00:01"],
         [NEW_YEAR + 0.25, NEW_YEAR + 1], True),
        ("when", ["1/15/2024 12:00:00.25 AM", "1/15/2024 1:00:01 PM"],
         [NEW_YEAR + 14 * 86400 + 0.25, NEW_YEAR + 14 * 86400 + 13 * 3600 + 1], True),
        ("time", ["15/01/2024 00:00:00", "15/01/2024 00:00:01"],
         [NEW_YEAR + 14 * 86400, NEW_YEAR + 14 * 86400 + 1], True),
        ("time", ["2024-01-01 01:00:00 +01:00", "2024-01-01 01:00:01 +0100"],
         [NEW_YEAR, NEW_YEAR + 1], True),
        ("Date", ["45292.0", "45292.00001157407"], [NEW_YEAR, NEW_YEAR + 1], True),
        ("time", ["2024/01/01 00:00:00", "2024/01/01 00:01"], [NEW_YEAR, NEW_YEAR + 60], True),
        ("time", ["23:59:59.5", "00:00:00.5"], [86399.5, 86400.5], False),
    ],
)  # fmt: skip
def test_times_are_read_in_any_usual_form(
    tmp_path: Path, heading: str, cells: list[str], expected: list[float], is_epoch: bool
) -> None:
    """Seconds, other units, epoch in any unit, ISO 8601, day.month.year, times of day."""
    rows = "".join(f"{cell};{i}\n" for i, cell in enumerate(cells))
    table = read(tmp_path, f"{heading};x\n{rows}")
    assert table.columns["x"].t.tolist() == pytest.approx(expected, abs=1e-6)
    assert table.is_epoch is is_epoch


def test_date_and_time_of_day_in_two_columns_are_joined(tmp_path: Path) -> None:
    """A lab file often has a column for each."""
    text = "Date,Time,x\n2024-01-01,00:00:00.25,1\n2024-01-01,00:00:01,2\n"
    table = read(tmp_path, text)
    assert table.columns["x"].t.tolist() == [NEW_YEAR + 0.25, NEW_YEAR + 1]
    assert list(table.columns) == ["x"] and table.is_epoch


def test_the_time_column_may_be_named(tmp_path: Path) -> None:
    """What is not recognised is read when the vehicle file names it."""
    table = read(tmp_path, "Ticks,Time,x\n0,7,1\n2,8,2\n", time_column="ticks")
    assert table.columns["x"].t.tolist() == [0.0, 2.0] and "Time" in table.columns


def test_rows_whose_time_cannot_be_read_are_left_out_and_counted(tmp_path: Path) -> None:
    """Neither an infinity nor a word is a time."""
    table = read(tmp_path, "time,x\n0,1\ninf,2\nbreak,3\n,4\n4,5\n5,6\n6,7\n")
    assert values(table, "x") == [1.0, 5.0, 6.0, 7.0]
    assert dict(table.left_out) == {"unreadable time": 3}


def test_states_and_labels_become_codes(tmp_path: Path) -> None:
    """On and off words are 1 and 0; other words are numbered and named."""
    text = "time,plug,mode,n\n0,TRUE,Idle,1\n1,false,Heating,2\n2,,Off,err\n3,True,Idle,4\n"
    table = read(tmp_path, text)
    assert values(table, "plug") == [1.0, 0.0, None, 1.0]
    mode = table.columns["mode"]
    assert [mode.labels[code] for code in mode.values] == ["Idle", "Heating", "Off", "Idle"]
    assert [code for code, name in mode.labels.items() if name == "Off"] == [0.0]
    assert values(table, "n") == [1.0, 2.0, None, 4.0]
    assert any("'err'" in warning for warning in table.warnings)


def test_free_text_is_no_column(tmp_path: Path) -> None:
    """Notes are left out with a warning."""
    rows = "".join(f"{i},note {i},{i}\n" for i in range(200))
    table = read(tmp_path, "time,note,x\n" + rows)
    assert list(table.columns) == ["x"] and any("'note'" in w for w in table.warnings)


def test_quoted_cells_may_hold_separators(tmp_path: Path) -> None:
    """Quotes protect commas in labels, headings and numbers."""
    text = '"time [s]","Heater, left","U [V]"\n"0","on, full","1,234.5"\n"1","off","999.5"\n'
    table = read(tmp_path, text + '"2","off","1,100"\n')
    assert table.columns["Heater, left"].labels == {0.0: "off", 1.0: "on, full"}
    assert values(table, "U") == [1234.5, 999.5, 1100.0]


def test_quotes_in_odd_places_are_taken_as_they_come(tmp_path: Path) -> None:
    """Inches and a quote that is not closed must not swallow the lines that follow."""
    text = 'time,note,x\n0,5" pipe",1\n1,"open,2\n2,"a" b,3\n3,plain,4\n'
    table = read(tmp_path, text)
    assert values(table, "x") == [1.0, 3.0, 4.0]
    assert dict(table.left_out) == {"wrong number of cells": 1}


def test_headings_that_stand_twice_stay_apart(tmp_path: Path) -> None:
    """The second of two equal headings is numbered."""
    table = read(tmp_path, "time,T,T\n0,1,2\n1,3,4\n")
    assert values(table, "T") == [1.0, 3.0] and values(table, "T #2") == [2.0, 4.0]


def test_batches_give_the_same_table_as_one(tmp_path: Path, monkeypatch) -> None:
    """Long tables are read in pieces."""
    rows = "".join(f"{i};{i / 8:.3f};{'on' if i % 5 else 'off'}\n" for i in range(500))
    text = "t;a;b\n" + rows.replace(".", ",")
    whole = read(tmp_path, text)
    monkeypatch.setattr(lines_module, "LINES_PER_BATCH", 64)
    pieces = read(tmp_path, text)
    for name in ("a", "b"):
        assert pieces.columns[name].t.tolist() == whole.columns[name].t.tolist()
        assert values(pieces, name) == values(whole, name)
        assert pieces.columns[name].labels == whole.columns[name].labels


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("time,x\n", r"header and no rows"),
        ("0,1\n1,2\n", r"no header"),
        ("when,x\n0,1\n", r"no time column is recognised among 'when', 'x'.*\[table\] time"),
        ("time,x\nsoon,1\nlater,2\n", r"'time' cannot be read, such as 'soon'.*ISO 8601"),
        ("time;x\n01/02/2024 00:00:00;1\n02/02/2024 00:00:00;1\n", r"cannot be read.*ISO 8601"),
        ("words\nand words\n", r"neither a log nor a table"),
        ("time,note\n0,\n1,\n", r"no column beside the time"),
    ],
)
def test_what_is_no_table_is_an_error_with_its_cure(tmp_path: Path, text: str, says: str) -> None:
    """Each error names the file, what is wrong and what to do."""
    with pytest.raises(SourceError, match=says) as caught:
        read(tmp_path, text)
    assert caught.value.file == tmp_path / "lab.csv" and caught.value.cure


def test_a_wrong_name_for_the_time_column_gets_the_nearest_right_one(tmp_path: Path) -> None:
    """The message lists the columns."""
    with pytest.raises(SourceError, match=r"no column 'Tick'.*Did you mean 'Ticks'\?"):
        read(tmp_path, "Ticks,x\n0,1\n", time_column="Tick")


numbers = st.one_of(st.none(), st.floats(allow_nan=False, allow_infinity=False, width=32))


@settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    st.lists(st.tuples(numbers, numbers), min_size=2, max_size=20),
    st.sampled_from([",", ";", "\t", "|"]),
    st.booleans(),
    st.sampled_from(["\n", "\r\n"]),
)
def test_any_numbers_written_in_any_dialect_are_read_back(
    tmp_path: Path,
    cells: list[tuple[float | None, float | None]],
    separator: str,
    comma: bool,
    end: str,
) -> None:
    """Round trip over separators, decimal signs and line ends."""

    def write(value: float | None) -> str:
        text = "" if value is None else repr(value)
        return text.replace(".", ",") if comma and separator != "," else text

    cells[0] = (1.5, -2.25)
    lines = [separator.join(("time", "a", "b"))]
    lines += [separator.join((str(i), write(a), write(b))) for i, (a, b) in enumerate(cells)]
    table = read(tmp_path, end.join(lines) + end)
    assert values(table, "a") == [a for a, _ in cells]
    assert values(table, "b") == [b for _, b in cells]


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    st.binary(max_size=200)
    | st.text(alphabet='time,;\t\n"0123456789.-:abc[] ', max_size=200).map(str.encode)
    | st.text(alphabet='time,;\t\n"0123456789.-:abc[] ', max_size=200).map(
        lambda tail: b"time;a\n0;1\n" + tail.encode()
    )
)
def test_whatever_stands_in_the_file_nothing_but_a_source_error_comes_out(
    tmp_path: Path, content: bytes
) -> None:
    """Fuzz: columns that come out share the length of their clock."""
    try:
        table = read(tmp_path, content)
    except SourceError:
        return
    for column in table.columns.values():
        assert len(column.t) == len(column.values) == table.rows
        assert np.isfinite(column.t).all() and not np.isinf(column.values).any()
