"""Loading: what was added comes back, all of it or the part asked for."""

import json
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from tests.library.made import CABLE, COLDEST, VOLTAGE, a_morning, differences, named, recordings
from thawline.errors import LibraryError, RequestError
from thawline.library.add import add_recording, remove
from thawline.library.folder import DOCUMENT, SAMPLES
from thawline.library.library import open_library
from thawline.library.load import load


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(recordings())
def test_any_recording_comes_back_exactly(recording):
    """Every field and every bit of every sample survives the disk."""
    with TemporaryDirectory() as folder:
        library = open_library(Path(folder))
        assert add_recording(library, recording, "key")
        assert differences(recording, load(library, recording.id)) == []


@pytest.fixture
def library(tmp_path):
    """A library with one morning in it."""
    opened = open_library(tmp_path / "library")
    add_recording(opened, a_morning(), "key")
    return opened


def test_numbers_of_numpy_come_back_as_equal_numbers(tmp_path):
    """A recording whose fields are NumPy's numbers is kept too."""
    library = open_library(tmp_path)
    odd = named(a_morning(), duration_s=np.float64(599.0), starts_at=np.float32(1.5))
    add_recording(library, odd, "key")
    assert differences(odd, load(library, odd.id)) == []


def test_samples_of_a_shared_clock_are_shared_and_cannot_be_written_to(library):
    """Two channels of one message have one clock, so nobody may change it under the other."""
    loaded = load(library, "gannet")
    assert np.shares_memory(loaded.channels[COLDEST].t, loaded.channels[CABLE].t)
    with pytest.raises(ValueError, match="read-only"):
        loaded.channels[COLDEST].t[0] = 1.0


def test_only_the_channels_asked_for_are_read(library):
    """Paths choose channels; one that was not recorded is left out."""
    loaded = load(library, "gannet", paths=[VOLTAGE, "Speed"])
    assert list(loaded.channels) == [VOLTAGE]
    whole = a_morning().channels[VOLTAGE]
    assert np.array_equal(loaded.channels[VOLTAGE].values, whole.values)
    assert np.array_equal(loaded.channels[VOLTAGE].t, whole.t)


def test_no_sample_after_the_moment_is_given(library):
    """What is asked for at 200 s knows nothing later, not even the end of a gap."""
    loaded = load(library, "gannet", before_s=420.0)
    for channel in loaded.channels.values():
        assert channel.t[-1] == 420.0
    assert loaded.duration_s == 420.0
    assert [(gap.from_s, gap.to_s) for gap in loaded.gaps] == [(100.0, 130.0), (400.0, 420.0)]
    early = load(library, "gannet", before_s=200.25)
    assert early.channels[VOLTAGE].t[-1] == 200.0
    assert early.quality.clock_steps == ()


@pytest.mark.parametrize("moment", [-1.0, float("nan")])
def test_a_moment_before_the_start_is_refused(library, moment):
    """The message says what would be right."""
    with pytest.raises(RequestError, match=r"at or after the recording's start.*\[0, 599\]"):
        load(library, "gannet", before_s=moment)


def test_damaged_samples_are_noticed(library):
    """One flipped bit in the samples is an error, not a wrong number."""
    (path,) = library.recordings.glob(f"*/{SAMPLES}")
    content = bytearray(path.read_bytes())
    content[len(content) // 2] ^= 1
    path.write_bytes(content)
    with pytest.raises(LibraryError, match=r"damaged.*add its log again"):
        load(library, "gannet")


def test_missing_samples_are_named(library):
    """A samples file that somebody deleted is named."""
    (path,) = library.recordings.glob(f"*/{SAMPLES}")
    path.unlink()
    with pytest.raises(LibraryError, match=r"samples\.parquet cannot be read"):
        load(library, "gannet")


@pytest.mark.parametrize("text", ["", "{", "[]", '{"layout": 1}', '{"layout": "x"}'])
def test_a_damaged_document_is_named(library, text):
    """A recording.json that is not what was written is an error of ours to explain."""
    (path,) = library.recordings.glob(f"*/{DOCUMENT}")
    path.write_text(text)
    with pytest.raises(LibraryError, match="is damaged"):
        load(library, "gannet")


def test_a_document_of_a_newer_version_is_refused(library):
    """A newer layout is not guessed at."""
    (path,) = library.recordings.glob(f"*/{DOCUMENT}")
    path.write_text(json.dumps({**json.loads(path.read_text()), "layout": 99}))
    with pytest.raises(LibraryError, match="newer version of Thawline"):
        load(library, "gannet")


def test_a_removed_recording_cannot_be_loaded(library):
    """After removal its name is unknown."""
    remove(library, "gannet")
    with pytest.raises(RequestError, match="is empty"):
        load(library, "gannet")
