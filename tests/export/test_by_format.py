from dataclasses import replace
from pathlib import Path

import pytest

from tests.export.kept import recording
from thawline.errors import RequestError
from thawline.export.by_format import format_of, write_recording


def test_the_suffix_decides_unless_a_format_is_asked_for():
    """`.mf4`, `.parquet` and `.csv` say what they are; another suffix needs the format."""
    assert format_of(Path("a.MF4")) == "mdf"
    assert format_of(Path("a.parquet")) == "parquet"
    assert format_of(Path("a.csv")) == "csv"
    assert format_of(Path("a.txt"), "CSV") == "csv"


def test_what_tells_no_format_is_an_error_with_a_cure():
    """An unknown suffix and a misspelt format name what is right."""
    with pytest.raises(RequestError, match=r"'\.xls' does not tell the format.*End it in \.mf4"):
        format_of(Path("a.xls"))
    with pytest.raises(RequestError, match=r"no format 'parket'.*Did you mean 'parquet'"):
        format_of(Path("a.csv"), "parket")


def test_an_empty_recording_is_refused(tmp_path):
    """There is nothing to write, and no file is made."""
    with pytest.raises(RequestError, match="holds no sample"):
        write_recording(replace(recording(), channels={}), tmp_path / "a.csv", "csv")
    assert not list(tmp_path.iterdir())
