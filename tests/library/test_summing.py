"""Content is summed up while it is read; reading stops once it is known to be kept."""

from concurrent.futures import Future

import pytest

from tests.recording.making import write
from thawline.library.library import open_library
from thawline.library.listing import listing
from thawline.library.summing import AlreadyKeptError, Summing, start_summing
from thawline.sources import chunks
from thawline.walk import add


@pytest.fixture
def library(tmp_path):
    return open_library(tmp_path / "library")


def test_content_that_is_kept_is_not_read_to_its_end(tmp_path, library, monkeypatch):
    """The second time the same recording comes back, and there is still one."""
    log, database, vehicle = write(tmp_path)
    first = add([log], [database], vehicle, library)
    monkeypatch.setattr(chunks, "BLOCK_BYTES", 200)
    told = []
    again = add([log], [database], vehicle, library, progress=lambda *a: told.append(a))
    assert (first.is_new, again.is_new) == (True, False)
    assert again.recording.id == first.recording.id and len(listing(library)) == 1


def test_a_progress_stops_the_reading_only_once_the_sum_is_known(tmp_path, library):
    """Before that, and for what is not kept, it passes on what it is told."""
    log, database, vehicle = write(tmp_path)
    add([log], [database], vehicle, library)
    kept = start_summing(library, [log], vehicle.read_text(), [database])
    kept.key.result()
    waiting, other = Future(), Future()
    other.set_result("0" * 64)
    told = []
    for key in (waiting, other):
        watching = Summing(library, key).watching(lambda *a: told.append(a))
        watching(1, 2)
        watching(2, 2)
    assert told == [(1, 2), (2, 2)] * 2
    with pytest.raises(AlreadyKeptError):
        kept.watching(None)(1, 2)


def test_a_log_that_vanished_is_told_by_who_reads_it(tmp_path, library):
    """The sum itself says nothing of it."""
    _, database, vehicle = write(tmp_path)
    assert start_summing(library, [tmp_path / "none"], "", []).known() is None
    with pytest.raises(Exception, match="does not exist"):
        add([tmp_path / "none"], [database], vehicle, library)
