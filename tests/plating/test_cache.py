"""Maps are computed once and kept."""

from __future__ import annotations

import numpy as np
import pytest

from thawline.plating import cache
from thawline.plating.plating import PlatingMap


@pytest.fixture
def counted(monkeypatch):
    calls = []

    def compute(degC, charge_pct, progress=None):
        calls.append(progress)
        rates = degC[:, None] * 0.02 + 1.0 - charge_pct[None, :] * 0.005
        return PlatingMap("OKane2022", "a paper", "a model", "0", 600.0, degC, charge_pct, rates)

    monkeypatch.setattr(cache, "compute", compute)
    monkeypatch.setattr(cache, "version", lambda: "26.10")
    return calls


def test_the_second_time_nothing_is_computed(counted, tmp_path):
    """The kept map equals the computed one."""
    first = cache.plating_map(tmp_path / "deep")
    second = cache.plating_map(tmp_path / "deep")
    assert len(counted) == 1 and second.is_cached and not first.is_cached
    assert np.array_equal(first.rate_per_h, second.rate_per_h)
    assert not list(tmp_path.glob("**/*.part"))


@pytest.mark.parametrize("rubbish", ["", "{", "[]", '{"degC": [1], "charge_pct": [2]}'])
def test_rubbish_is_computed_anew(counted, tmp_path, rubbish):
    """A damaged file is no map."""
    cache.plating_map(tmp_path)
    kept = next(tmp_path.glob("*.json"))
    kept.write_text(rubbish, "utf-8")
    assert not cache.plating_map(tmp_path).is_cached
    assert len(counted) == 2
    assert cache.plating_map(tmp_path).is_cached


def test_another_version_is_another_map(counted, tmp_path, monkeypatch):
    """A new version of the package does not read the old one's map."""
    cache.plating_map(tmp_path)
    monkeypatch.setattr(cache, "version", lambda: "27.1")
    assert not cache.plating_map(tmp_path).is_cached


def test_a_folder_that_cannot_be_written_only_costs_time(counted, tmp_path):
    """The map is there all the same."""
    blocked = tmp_path / "file"
    blocked.write_text("no folder", "utf-8")
    assert cache.plating_map(blocked).rate_per_h.shape == (11, 9)
