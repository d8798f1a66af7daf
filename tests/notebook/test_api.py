"""The door for Python: light to import, what docs/api.md shows, frames that agree, errors."""

from __future__ import annotations

import re
import subprocess
import sys

import numpy as np
import polars as pl
import pytest

import thawline
from tests.house.reading import ROOT
from thawline.errors import RequestError, SourceError
from thawline.library.listing import listing

BLOCKS = re.findall(r"```python\n(.*?)```", (ROOT / "docs" / "api.md").read_text("utf-8"), re.S)
COLDEST = "Powertrain.TractionBattery.Temperature.Min"


@pytest.fixture(scope="module")
def shown(folder):
    """What the blocks of docs/api.md leave behind, run one after the other."""
    names: dict = {}
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        for block in BLOCKS:
            exec(compile(block, "docs/api.md", "exec"), names)
    return names


def test_importing_thawline_loads_nothing_heavy():
    """Only the version is read; the rest comes with the first question, and is listed before."""
    code = (
        "import sys, thawline; "
        "heavy = {'numpy', 'polars', 'bokeh', 'scipy', 'jinja2', 'thawline.notebook'}; "
        "assert not heavy & set(sys.modules), heavy & set(sys.modules); "
        "assert {'open_library', 'read', '__version__'} <= set(dir(thawline)); "
        "thawline.read; assert 'thawline.notebook' in sys.modules"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    with pytest.raises(AttributeError, match="no attribute 'reed'"):
        _ = thawline.reed


def test_the_document_s_blocks_run_and_give_what_they_say(shown):
    """Every block runs; the two recordings, the forecast and the cure are there."""
    assert len(BLOCKS) >= 4
    assert len(shown["kept"]) == 2 and shown["morning"].id in shown["kept"].ids
    assert shown["cure"] == "Did you mean 'Speed'?"
    assert "coldest cell" in shown["answer"]
    points = shown["ahead"].turning_points.filter(~pl.col("is_past"))
    assert {"coldest-cell-thaws", "regeneration-at-kW"} <= set(points["kind"])
    assert (points["p50_s"].drop_nulls() > 500).all()


def test_frames_agree_with_each_other(shown):
    """The ledger's energy is the flow's sum; the story's thaw is the channel's crossing."""
    line = shown["line"].row(0, named=True)
    assert shown["heating"] == pytest.approx(line["kWh"], rel=0.01)
    points = shown["morning"].story.turning_points
    thaw = points.filter(pl.col("kind") == "coldest-cell-thaws").row(0, named=True)
    assert shown["thawed_s"] == pytest.approx(thaw["t_s"], abs=60.0)
    frame = shown["morning"].recording.channel(COLDEST)
    assert np.array_equal(frame["value"].to_numpy(), shown["degC"])
    units = dict(shown["morning"].recording.channels.select("path", "unit").iter_rows())
    assert units[COLDEST] == "degC"


def test_what_is_handed_out_cannot_be_written_to(shown):
    """Neither the arrays nor the views change; the recording stays as it was."""
    with pytest.raises(ValueError, match="read-only"):
        shown["t"][0] = 1.0
    with pytest.raises(AttributeError):
        shown["morning"].explained = None


def test_both_ways_in_tell_the_same(shown, folder):
    """What is read without a library has the name and the accounts that the library gives."""
    kept = thawline.open_library(folder / "mornings").explain(shown["morning"].id)
    assert kept.ledger.electrical.equals(shown["morning"].ledger.electrical)
    assert kept.story.turning_points.equals(shown["morning"].story.turning_points)


def test_reading_keeps_nothing(folder, monkeypatch, tmp_path):
    """No library is made or filled by reading."""
    monkeypatch.setenv("THAWLINE_LIBRARY", str(tmp_path / "none"))
    before = len(listing(thawline.open_library(folder / "mornings").library))
    thawline.read([folder / "beginning.log"], [folder / "car.dbc"], folder / "car.toml")
    assert not (tmp_path / "none").exists()
    assert len(thawline.open_library(folder / "mornings").recordings()) == before


def test_plain_lines_for_a_terminal(shown):
    """Each view prints as text without markup or control characters."""
    for key in ("morning", "kept", "ahead", "differs", "library"):
        text = repr(shown[key])
        assert text and "<div" not in text and all(c.isprintable() or c == "\n" for c in text)
    assert "Charging began" in repr(shown["morning"].story)


def test_what_is_not_there_is_refused(shown, folder):
    """Unknown names, instants outside, the same twice, files that are missing."""
    library = shown["library"]
    with pytest.raises(RequestError, match="no recording"):
        library.explain("heron")
    with pytest.raises(RequestError, match="must be in"):
        library.forecast(shown["first"], at_s=1e6)
    with pytest.raises(RequestError, match="same recording"):
        library.compare(shown["first"], shown["first"])
    with pytest.raises(RequestError, match="price"):
        library.compare(shown["first"], shown["second"], per_kWh=-1.0)
    with pytest.raises(RequestError, match="no file is given"):
        thawline.read([], folder / "car.dbc", folder / "car.toml")
    with pytest.raises(SourceError, match=r"none\.log"):
        thawline.read(folder / "none.log", folder / "car.dbc", folder / "car.toml")
