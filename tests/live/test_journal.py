"""The journal: what is on disk is whole, whatever happens to the disk or the program."""

import errno
import gzip
import os
import subprocess
import sys

import pytest

from tests.house.reading import ROOT
from tests.live.playing import journal_lines
from thawline.errors import LibraryError
from thawline.live import journal as journal_module
from thawline.live.journal import Journal
from thawline.live.journal_tail import JournalTail, cut_to_whole


def lines(begin, end):
    return b"".join(b"(1700000000.%06d) can0 101#%016X\n" % (i, i) for i in range(begin, end))


@pytest.fixture
def journal(tmp_path):
    made = Journal(tmp_path / "frames.log.gz")
    yield made
    made.close()


def test_any_gzip_reader_reads_it_after_each_flush(journal):
    """Members follow one another as RFC 1952 allows; Python's gzip reads them as one text."""
    for i in range(3):
        journal.append(lines(10 * i, 10 * i + 10), 10)
        journal.flush()
        assert gzip.decompress(journal.path.read_bytes()) == lines(0, 10 * i + 10)
    assert journal.kept == 30


def test_a_cut_costs_the_last_member_only(journal):
    """Wherever a kill cuts the file, all members before are read, and the cut end can go."""
    ends = []
    for i in range(3):
        journal.append(lines(10 * i, 10 * i + 10), 10)
        journal.flush()
        ends.append(journal.path.stat().st_size)
    whole = journal.path.read_bytes()
    for cut in range(len(whole) + 1):
        journal.path.write_bytes(whole[:cut])
        kept = 10 * sum(end <= cut for end in ends)
        assert cut_to_whole(journal.path) == kept
        assert journal.path.stat().st_size == max([0, *(e for e in ends if e <= cut)])
        assert len(journal_lines(journal.path)) == kept


def test_damage_is_not_read_as_frames(journal):
    """A member whose sum is wrong does not count, nor does what follows it."""
    journal.append(lines(0, 10), 10)
    journal.flush()
    good = journal.path.stat().st_size
    journal.append(lines(10, 20), 10)
    journal.flush()
    data = bytearray(journal.path.read_bytes())
    data[-6] ^= 0xFF  # within the member's CRC-32
    journal.path.write_bytes(data)
    assert cut_to_whole(journal.path) == 10
    assert journal.path.stat().st_size == good


def test_following_sees_each_line_once(journal):
    """A reader that comes back gets what is new, never half a member."""
    tail = JournalTail(journal.path)
    got = b""
    for i in range(20):
        journal.append(lines(i, i + 1), 1)
        if i % 3 == 0:
            journal.flush()
        got += tail.read()
    journal.flush()
    assert got + tail.read() == lines(0, 20)
    assert tail.read() == b""


def test_a_full_disk_leaves_the_file_whole_and_loses_nothing(journal, monkeypatch):
    """Half a member is taken back; when there is room again, all lines are there."""
    journal.append(lines(0, 10), 10)
    journal.flush()
    real, budget = os.write, [20]

    def full(handle, data):
        if budget[0] == 0:
            raise OSError(errno.ENOSPC, "No space left on device")
        done = real(handle, bytes(data[: budget[0]]))
        budget[0] -= done
        return done

    monkeypatch.setattr(os, "write", full)
    for i in range(1, 4):
        journal.append(lines(10 * i, 10 * i + 10), 10)
        with pytest.raises(OSError, match="No space"):
            journal.flush()
        assert journal_lines(journal.path) == lines(0, 10).decode().splitlines()
    monkeypatch.setattr(os, "write", real)
    journal.flush()
    assert journal_lines(journal.path) == lines(0, 40).decode().splitlines()
    assert (journal.kept, journal.lost) == (40, 0)


def test_memory_is_bounded_and_what_is_lost_is_counted(journal, monkeypatch):
    """With no room for long, old lines are kept, new ones are counted as lost."""
    monkeypatch.setattr(journal_module, "WAITING_BYTES", 1000)

    def full(*_):
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as no_room:
        no_room.setattr(os, "write", full)
        for i in range(10):
            journal.append(lines(10 * i, 10 * i + 10), 10)
            with pytest.raises(OSError, match="No space"):
                journal.flush()
    journal.flush()
    kept = len(journal_lines(journal.path))
    assert 0 < kept < 100
    assert (journal.kept, journal.lost) == (kept, 100 - kept)


LIMITED = """
import resource, sys
from pathlib import Path
from thawline.live.journal import Journal
from tests.live.test_journal import lines
journal = Journal(Path(sys.argv[1]))
resource.setrlimit(resource.RLIMIT_FSIZE, (2000, resource.RLIM_INFINITY))
done, failed = 0, 0
for i in range(40):
    journal.append(lines(100 * i, 100 * i + 100), 100)
    try:
        journal.flush()
    except OSError:
        failed += 1
size = Path(sys.argv[1]).stat().st_size
resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
journal.flush()
print(failed, size, journal.kept, journal.lost)
"""


def test_a_real_limit_of_the_system_is_met_as_a_full_disk(tmp_path):
    """The kernel refuses to let the file grow; nothing is lost once it may grow again."""
    path = tmp_path / "frames.log.gz"
    done = subprocess.run(
        [sys.executable, "-c", LIMITED, str(path)], capture_output=True, text=True, cwd=ROOT,
        timeout=60,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    failed, size, kept, lost = map(int, done.stdout.split())
    assert failed > 10
    assert 0 < size <= 2000
    assert (kept, lost) == (4000, 0)
    assert journal_lines(path) == lines(0, 4000).decode().splitlines()


def test_a_folder_that_cannot_be_written_is_named(tmp_path):
    """The message names the place and the cure."""
    with pytest.raises(LibraryError, match="cannot be written"):
        Journal(tmp_path / "nowhere" / "frames.log.gz")
