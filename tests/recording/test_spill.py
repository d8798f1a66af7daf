"""Samples put aside on disk and arrays mapped from it."""

import gc
import warnings

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from thawline.errors import LibraryError
from thawline.recording import spill as spill_module
from thawline.recording.spill import Shelf, Spill, let_go

parts = st.lists(
    st.tuples(st.sampled_from("abc"), st.lists(st.floats(allow_nan=False), max_size=5)), max_size=30
)


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(parts, st.sampled_from([0, 64, 10**9]))
def test_series_come_back_whole_and_in_order(tmp_path, given_parts, held):
    """However much is held in memory, every bit comes back, and twice the same."""
    expected = {key: [] for key in "abc"}
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(spill_module, "HELD_BYTES", held)
        spill = Spill(tmp_path)
        for key, numbers in given_parts:
            spill.append(key, np.array(numbers, dtype=np.float64))
            expected[key] += numbers
        for key in "abca":
            assert spill.take(key).tobytes() == np.array(expected[key], np.float64).tobytes()
        assert list(tmp_path.iterdir()) == [], "nothing that a kill could leave behind"
        spill.close()
    assert len(spill.take("a")) == 0


def test_one_array_under_several_keys_is_written_once(tmp_path, monkeypatch):
    """Signals of one message share their times."""
    t, last = np.arange(20.0), np.arange(10.0)
    monkeypatch.setattr(spill_module, "HELD_BYTES", t.nbytes)
    spill = Spill(tmp_path)
    for key in range(5):
        spill.append(key, t)
    assert spill._file is None
    spill.append("last", last)
    assert spill._file is not None and spill._file.seek(0, 2) == t.nbytes + last.nbytes
    assert all(np.array_equal(spill.take(key), t) for key in range(5))
    spill.close()


def test_shelved_arrays_outlive_the_shelf_and_can_be_let_go(tmp_path, monkeypatch):
    """Small ones stay as they are; large ones are mapped, read-only, and keep their numbers."""
    monkeypatch.setattr(spill_module, "SHELF_BYTES", 1000)
    monkeypatch.setattr(spill_module, "LARGE_BYTES", 100)
    small, first, second, third = (np.arange(float(n)) for n in (5, 100, 3000, 700))
    shelf = Shelf(tmp_path)
    assert shelf.put(small) is small and shelf.put(first) is first
    mapped = [shelf.put(second), shelf.put(third)]
    assert list(tmp_path.iterdir()) == []
    shelf.close()
    gc.collect()
    with warnings.catch_warnings(action="error"):
        for array, original in zip(mapped, (second, third), strict=True):
            let_go(array)
            assert np.array_equal(array, original) and not array.flags.writeable
    let_go(small)
    assert np.array_equal(small, np.arange(5.0))


def test_a_folder_that_cannot_be_written_is_a_library_error(tmp_path, monkeypatch):
    """With the cure."""
    monkeypatch.setattr(spill_module, "HELD_BYTES", 0)
    with pytest.raises(LibraryError, match=r"cannot be put aside.*Make room"):
        Spill(tmp_path / "nowhere").append("a", np.arange(3.0))
