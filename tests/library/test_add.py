"""Adding and removing: all of it or nothing, whatever happens in the middle."""

import os
import subprocess
import sys
import threading
from pathlib import Path

import numpy as np
import pytest

from tests.library.made import a_morning, differences, named
from thawline.errors import LibraryError, RequestError
from thawline.library.add import add_recording, remove
from thawline.library.folder import UNSETTLED
from thawline.library.library import open_library
from thawline.library.listing import listing
from thawline.library.load import load

ROOT = Path(__file__).resolve().parents[2]
OLD, NEW = "gannet-20260117-0612-3f9a1c", "petrel-20260118-0603-0c41ee"
#: So many lines apart are the kills of the default run.
APART = 9


def run(*arguments, **options):
    """Run a module of the tests in a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", *map(str, arguments)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=300,
        **options,
    )


@pytest.fixture
def library(tmp_path):
    """A library with one morning in it."""
    opened = open_library(tmp_path / "library")
    add_recording(opened, a_morning(OLD), "old")
    return opened


def names(library):
    return [entry.id for entry in listing(library)]


def folders(library):
    return sorted(path.name for path in library.recordings.iterdir())


def test_the_same_content_twice_is_one_recording(library):
    """The second time changes nothing, even under another name."""
    before = folders(library)
    assert not add_recording(library, a_morning("another"), "old")
    assert names(library) == [OLD]
    assert folders(library) == before


def test_a_name_that_is_taken_is_refused(library):
    """Other content under a name in use is an error, and nothing is left of it."""
    with pytest.raises(RequestError, match="another recording is already named"):
        add_recording(library, a_morning(OLD), "other")
    assert len(folders(library)) == 1


@pytest.mark.parametrize("name", ["", "a\0b", "\udcff"])
def test_a_name_that_is_none_is_refused(library, name):
    """Empty, or in no encoding."""
    with pytest.raises(RequestError, match="cannot be the name"):
        add_recording(library, a_morning(name), "other")


def test_removing_takes_all_of_it(library):
    """Catalogue, samples, and the way is free to add it again."""
    assert remove(library, "gannet") == OLD
    assert (names(library), folders(library)) == ([], [])
    assert not any(library.incoming.iterdir())
    assert add_recording(library, a_morning(OLD), "old")


def kill_everywhere(what, library, tmp_path, apart):
    """Kill an action at every so-many-th of its lines; give the state that each kill left."""
    script = ("tests.library.kills", what, library.folder, tmp_path / "copies")
    counted = run(*script, 0)
    assert counted.returncode == 0, counted.stderr
    lines = int(counted.stdout)
    points = range(1, lines + 1, apart)
    killed = run(*script, *points)
    assert killed.returncode == 0, killed.stderr
    assert killed.stdout == "", "every one of them must have been killed"
    left = {}
    for point in points:
        opened = open_library(tmp_path / "copies" / str(point))
        left[point] = names(opened)
        assert len(folders(opened)) == len(left[point])
        assert not any(opened.incoming.iterdir())
        assert not list(opened.recordings.glob(f"*/{UNSETTLED}"))
        for name in left[point]:
            assert differences(a_morning(name), load(opened, name)) == []
    return left


def after_a_kill_all_is_as_before_or_done(what, library, tmp_path, apart):
    """Old state up to one line, new state from there on; never anything between."""
    done = [OLD, NEW] if what == "add" else []
    left = list(kill_everywhere(what, library, tmp_path, apart).values())
    turn = left.index(done) if done in left else len(left)
    assert left == [[OLD]] * turn + [done] * (len(left) - turn)
    assert left[0] == [OLD]
    return left


@pytest.mark.parametrize("what", ["add", "remove"])
def test_a_kill_leaves_the_old_state_or_the_new(library, tmp_path, what):
    """The process really dies (signal 9), at lines spread over the whole action."""
    after_a_kill_all_is_as_before_or_done(what, library, tmp_path, APART)


@pytest.mark.slow
@pytest.mark.parametrize("what", ["add", "remove"])
def test_a_kill_at_any_line_leaves_the_old_state_or_the_new(library, tmp_path, what):
    """The same at every line."""
    left = after_a_kill_all_is_as_before_or_done(what, library, tmp_path, 1)
    assert left[-1] != [OLD], "the last lines come after the change is made"


BIG = """
import sys
from pathlib import Path
import numpy as np
from tests.library.made import a_morning, named
from thawline.library.add import add_recording
from thawline.library.library import open_library
from thawline.recording.recording import Channel
noise = np.random.default_rng(1).normal(size=2_000_000)
big = named(a_morning("big"), channels={"Speed": Channel("Speed", "km/h", noise, noise)})
library = open_library(Path(sys.argv[1]))
print("begin", flush=True)
add_recording(library, big, "big")
print("end", flush=True)
"""


@pytest.mark.slow
def test_a_kill_at_any_time_leaves_the_old_state_or_the_new(library):
    """Killed from outside while it packs, writes and flushes 30 MB, later each time."""
    outcomes = []
    for delay_s in np.arange(0.0, 1.5, 0.03):
        worker = subprocess.Popen(
            [sys.executable, "-c", BIG, str(library.folder)], cwd=ROOT, stdout=subprocess.PIPE
        )
        worker.stdout.readline()
        try:
            worker.wait(delay_s)
        except subprocess.TimeoutExpired:
            worker.kill()
        worker.communicate()
        opened = open_library(library.folder)
        assert len(folders(opened)) == len(names(opened))
        assert not any(opened.incoming.iterdir())
        outcomes.append("big" in names(opened))
        if outcomes[-1]:
            assert len(load(opened, "big").channels["Speed"].t) == 2_000_000
            remove(opened, "big")
    assert False in outcomes
    assert True in outcomes


WRITER = """
import sys
from dataclasses import replace
from pathlib import Path
from tests.library.made import a_morning
from thawline.library.add import add_recording
from thawline.library.library import open_library
from thawline.library.notes import add_note
for i in range(8):
    library = open_library(Path(sys.argv[1]))
    print(add_recording(library, a_morning(f"shared-{i}", 50), f"shared-{i}"))
    add_recording(library, a_morning(f"own-{sys.argv[2]}-{i}", 50), f"{sys.argv[2]}-{i}")
    add_note(library, f"shared-{i}", None, sys.argv[2])
"""


def test_two_programs_at_once(tmp_path):
    """Both add and note at the same time, while a third reads; nothing is lost or doubled."""
    library = open_library(tmp_path / "library")
    writers = [
        subprocess.Popen(
            [sys.executable, "-c", WRITER, str(library.folder), name],
            cwd=ROOT,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for name in ("one", "two")
    ]
    seen = []
    while any(writer.poll() is None for writer in writers):
        latest = listing(open_library(library.folder))[-1:]
        seen += [len(load(library, entry.id).channels) for entry in latest]
    said = [writer.communicate() for writer in writers]
    assert [error for _, error in said] == ["", ""]
    assert set(seen) <= {3}
    new = [out.split().count("True") for out, _ in said]
    assert sum(new) == 8, "each shared recording is new to exactly one of the two"
    entries = listing(library)
    assert len(entries) == 8 + 16
    assert all(entry.notes == 2 for entry in entries if entry.id.startswith("shared"))
    assert len(folders(library)) == len(entries)


def test_two_threads_of_one_program_at_once(tmp_path):
    """The handle holds no connection, so threads need not know of each other."""
    library = open_library(tmp_path)
    new = []

    def add(name):
        new.append(add_recording(library, a_morning(name, 50), "same"))

    threads = [threading.Thread(target=add, args=(f"thread-{i}",)) for i in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(new) == [False, False, False, True]


FULL = """
import resource, sys
from pathlib import Path
import numpy as np
from tests.library.made import a_morning, named
from thawline.recording.recording import Channel
from thawline.errors import LibraryError
from thawline.library.add import add_recording
from thawline.library.library import open_library
library = open_library(Path(sys.argv[1]))
noise = np.random.default_rng(1).normal(size=100_000)
big = named(a_morning("big"), channels={"Speed": Channel("Speed", "km/h", noise, noise)})
resource.setrlimit(resource.RLIMIT_FSIZE, (200_000, 200_000))
try:
    add_recording(library, big, "big")
except LibraryError as error:
    print(error)
"""


@pytest.mark.skipif(os.name == "nt", reason="limits of file size are a matter of POSIX")
def test_a_disk_that_fills_leaves_the_old_state(library):
    """The system refuses to write on in the middle of the samples."""
    done = subprocess.run(
        [sys.executable, "-c", FULL, str(library.folder)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    assert (
        "cannot be written: File too large. Nothing was added. The recording needs" in done.stdout
    )
    assert names(library) == [OLD]
    assert len(folders(library)) == 1
    assert not any(library.incoming.iterdir())


def test_a_library_that_vanished_is_an_error(tmp_path):
    """Its folder was deleted while a program had it open."""
    library = open_library(tmp_path / "library")
    (tmp_path / "library").rename(tmp_path / "elsewhere")
    with pytest.raises(LibraryError, match="cannot be written"):
        add_recording(library, named(a_morning(), id="x"), "x")
    with pytest.raises(LibraryError, match="cannot be written"):
        listing(library)
