"""Signals that no path is mapped to: kept beside the channels, read when they are asked for."""

import numpy as np
import pytest

from tests.library.made import a_morning, differences, named
from thawline.errors import LibraryError
from thawline.library import load as load_module
from thawline.library.add import add_recording
from thawline.library.folder import OTHERS
from thawline.library.library import open_library
from thawline.library.load import load
from thawline.recording.recording import Channel

FAST, LATE = "Body.Wiper", "Body.Horn"


@pytest.fixture
def kept(tmp_path):
    """A morning with two other signals on one clock, and one that comes late."""
    t, late = np.arange(0.0, 600.0, 0.1), np.arange(500.0, 600.0)
    others = {
        FAST: Channel(FAST, "", t, np.sin(t), source=FAST),
        "Body.Lamp": Channel("Body.Lamp", "lx", t, np.cos(t), resolution=0.5, source="Body.Lamp"),
        LATE: Channel(LATE, "", late, late % 2.0, is_state=True, source=LATE),
    }
    library, recording = open_library(tmp_path / "library"), named(a_morning(), others=others)
    assert add_recording(library, recording, "key")
    return library, recording


def test_they_come_back_bit_by_bit(kept):
    """With all that a channel says of itself."""
    library, recording = kept
    assert differences(recording, load(library, recording.id)) == []


def test_nothing_of_them_is_read_until_one_is_asked_for(kept, monkeypatch):
    """Explaining does not pay; then only the channel that is asked for is read."""
    library, recording = kept
    read, from_parquet = [], load_module.from_parquet

    def noted(path, lengths, wanted):
        read.append((path.name, len(wanted)))
        return from_parquet(path, lengths, wanted)

    monkeypatch.setattr(load_module, "from_parquet", noted)
    others = load(library, recording.id).others
    assert list(others) == list(recording.others) and len(others) == 3
    assert "Nobody" not in others
    assert OTHERS not in [name for name, _ in read]
    assert np.array_equal(others[FAST].values, recording.others[FAST].values)
    assert read[-1] == (OTHERS, 2)


def test_what_was_known_at_a_time_holds_for_them_too(kept):
    """Cut at that time; one that had not come yet is not there."""
    library, recording = kept
    others = load(library, recording.id, before_s=300.0).others
    assert list(others) == [FAST, "Body.Lamp"] and len(others) == 2
    assert others[FAST].t[-1] <= 300.0 < others[FAST].t[-1] + 0.2
    with pytest.raises(KeyError):
        others[LATE]


def test_damage_is_told_when_one_is_asked_for(kept):
    """The channels can be read all the same."""
    library, recording = kept
    (file,) = library.recordings.glob(f"*/{OTHERS}")
    content = bytearray(file.read_bytes())
    content[len(content) // 2] ^= 1
    file.write_bytes(content)
    loaded = load(library, recording.id)
    assert list(loaded.channels) == list(recording.channels)
    with pytest.raises(LibraryError, match="are damaged"):
        loaded.others[FAST]


def test_recordings_without_them_have_no_file_for_them(tmp_path):
    """As before there were any."""
    library = open_library(tmp_path)
    add_recording(library, a_morning(), "key")
    assert not list(library.recordings.glob(f"*/{OTHERS}"))
    assert load(library, a_morning().id).others == {}
