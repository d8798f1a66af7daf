import pytest
from asammdf import MDF

from tests.export.kept import PACK, START, recording
from tests.export.round_trip import assert_reads_back
from thawline.errors import RequestError
from thawline.export.mdf import write_mdf


def test_reads_back_through_our_own_reader(tmp_path):
    """Every sample comes back to a relative 1e-12 with its unit, at its own time."""
    for start in (START, 0.0):
        kept = recording(start=start)
        write_mdf(kept, tmp_path / "a.mf4")
        assert_reads_back(kept, tmp_path / "a.mf4")


def test_another_reader_of_the_format_agrees(tmp_path):
    """asammdf finds each channel with its unit and comment, and clocks shared by two only once."""
    kept = recording()
    write_mdf(kept, tmp_path / "a.mf4")
    with MDF(tmp_path / "a.mf4") as mdf:
        assert len(mdf.groups) == 4
        signal = mdf.get(f"{PACK}CurrentVoltage")
        assert signal.unit == "V"
        assert "pack voltage" in signal.comment
        assert list(signal.samples) == list(kept.channels[f"{PACK}CurrentVoltage"].values)
        assert mdf.header.start_time.timestamp() == pytest.approx(START, abs=1e-6)


def test_another_suffix_is_refused(tmp_path):
    """Readers tell the format's version by `.mf4`, so nothing else is written."""
    with pytest.raises(RequestError, match=r"ends in '.mf4'.*Name it 'a.mf4'"):
        write_mdf(recording(), tmp_path / "a.dat")
    assert not list(tmp_path.iterdir())
