"""`thawline watch` as a person runs it."""

import json
import os
import pty
import re
import select
import signal
import subprocess
import sys
import time

import pytest

from tests.cli.running import thawline
from tests.live.playing import wait_for, write_car
from tests.recording.making import START, lines
from thawline.cli.watch_keys import Notebook
from thawline.cli.watch_page import KEYS
from thawline.cli.watch_words import coming, span, still_ahead, troubles, until
from thawline.library.library import open_library
from thawline.library.listing import listing
from thawline.library.notes import notes
from thawline.live.events import read_events
from thawline.live.running import leftover, running


@pytest.fixture
def played(tmp_path):
    """A log of two minutes, and the words that play it in a second or two."""
    vehicle, database = write_car(tmp_path)
    log = tmp_path / "morning.log"
    log.write_text("\n".join(lines(120.0)) + "\n")
    return ["watch", "--play", str(log), "-d", str(database), "-v", str(vehicle)]


def begin(played, folder, *more, **pipes):
    """Begin to watch in a program of its own."""
    words = [sys.executable, "-c", "from thawline.cli.app import main; main()", *played]
    words += ["--library", str(folder / "library"), *more]
    return subprocess.Popen(words, **pipes)


def test_a_line_of_json_a_second_then_the_recording(tmp_path, played):
    """Each line is one document; the last is what it became."""
    told = []
    with begin(
        played, tmp_path, "--speed", "2", "--json", stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE, text=True,
    ) as program:  # fmt: skip
        for line in program.stdout:
            told.append(json.loads(line))
            if told[-1].get("story") and told[-1]["frames"] > 100:
                program.terminate()
    assert program.returncode == 0
    *seconds, last = told
    assert last["recording"]["frames"] >= seconds[-1]["kept"] > 0
    for each in seconds:
        assert set(each) == {
            "session", "t_s", "at", "state", "frames", "frames_per_s", "kept", "lost", "bytes",
            "buses", "story", "ahead", "fault", "notes",
        }  # fmt: skip
    story = seconds[-1]["story"]
    assert set(story) >= {"starts_at", "until_s", "turning_points", "now", "refused", "gaps"}
    assert story["starts_at"] == pytest.approx(START)
    assert 0.0 <= story["until_s"] <= seconds[-1]["t_s"]


def test_a_played_log_is_kept_with_notes_from_standard_input(tmp_path, played):
    """Where there is no terminal, each line is a note; prose says what was kept."""
    with begin(
        played, tmp_path, "--speed", "2", stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        stderr=subprocess.PIPE, text=True,
    ) as program:  # fmt: skip
        for line in program.stdout:
            if "Plugged in" in line:
                break
        program.stdin.write("turned on the cabin\n\n")
        program.stdin.flush()
        library = open_library(tmp_path / "library")
        (session,) = running(library)
        wait_for(lambda: read_events(session.events))
        program.terminate()
        _, errors = program.communicate(timeout=120)
    assert program.returncode == 0, errors
    assert "1 notes" in errors
    (entry,) = listing(library)
    (note,) = notes(library, entry.id)
    assert note.text == "turned on the cabin"
    assert 0.0 <= note.at_s <= entry.duration_s


def test_keys_on_a_terminal_write_notes_and_end(tmp_path, played):
    """A digit is a note, n begins one in words, q ends; the terminal is put back."""
    master, slave = pty.openpty()
    environment = os.environ | {"TERM": "xterm", "COLUMNS": "100", "LINES": "40"}
    words = [sys.executable, "-c", "from thawline.cli.app import main; main()", *played]
    words += ["--speed", "2", "--library", str(tmp_path / "library")]
    library = open_library(tmp_path / "library")
    with subprocess.Popen(
        words, stdin=slave, stdout=slave, stderr=subprocess.PIPE, env=environment
    ) as program:
        os.close(slave)
        seen = b""

        def look(pattern: bytes) -> bool:
            nonlocal seen
            while select.select([master], [], [], 0.1)[0]:
                try:
                    seen += os.read(master, 65536)
                except OSError:
                    break
            return re.search(pattern, seen) is not None

        wait_for(lambda: look(rb"What comes"), 90.0)
        assert b"nothing is sent" in seen
        os.write(master, b"3")
        wait_for(lambda: look(rb"noted: turned on the cabin"))
        os.write(master, b"nsaw 3 geese\x7f\r")
        wait_for(lambda: look(rb"noted: saw 3 gees"))
        os.write(master, b"q")
        errors = b""
        while program.poll() is None:
            look(b"-")
            time.sleep(0.05)
        errors = program.stderr.read()
    os.close(master)
    assert program.returncode == 0, errors
    (entry,) = listing(library)
    assert [note.text for note in notes(library, entry.id)] == ["turned on the cabin", "saw 3 gees"]


def test_a_note_in_words_is_about_the_moment_of_its_key():
    """Not about the moment of Enter."""
    book = Notebook(KEYS)
    assert book.press("n", 10.0) == []
    assert book.press("ice on q", 11.0) == []
    assert not book.wants_end
    assert book.press("3\r", 15.0) == [(10.0, "ice on q3")]
    assert book.press("n", 16.0) == []
    assert book.press("\x1b[A", 17.0) == []
    assert book.typed is None
    assert book.press("1", 18.0) == [(18.0, KEYS["1"])]
    book.press("q", 19.0)
    assert book.wants_end


@pytest.mark.parametrize(
    ("words", "cure"),
    [
        ([], "Add --bus"),
        (["--bus", "slcan:/dev/no-such-port"], "no vehicle file is given"),
        (["--bus", "slcan:/dev/no-such-port", "-v", "CAR"], "no signal database is given"),
        (["--bus", "slcan:/dev/no-such-port", "-v", "CAR", "-d", "DBC"], "cannot be opened"),
        (["--bus", "slcam:x", "-v", "CAR", "-d", "DBC"], "Did you mean 'slcan'"),
        (["--bus", "slcan:x", "--play", "y"], "exclude each other"),
        (["--play", "no-such.log", "-v", "CAR", "-d", "DBC"], "no-such.log"),
        (["--play", "LOG", "-v", "CAR", "-d", "DBC", "--speed", "0"], "--speed"),
        (["--play", "LOG", "-v", "CAR", "-d", "DBC", "--for", "-1"], "--for"),
    ],
)
def test_what_cannot_be_listened_to_is_told_with_its_cure(tmp_path, played, words, cure):
    """Exit code 2, one message, and no session left behind."""
    places = {"CAR": played[6], "DBC": played[4], "LOG": played[2]}
    done = thawline(
        "watch", *[places.get(word, word) for word in words], library=tmp_path / "library"
    )
    assert done.returncode == 2, done.stderr
    assert cure in done.stderr
    assert "Traceback" not in done.stderr
    assert leftover(open_library(tmp_path / "library")) == ()


def test_a_note_goes_to_a_recording_that_grows(tmp_path, played):
    """`thawline note` finds it by its name; `thawline recordings` names it."""
    library = open_library(tmp_path / "library")
    none = subprocess.DEVNULL
    with begin(played, tmp_path, stdin=none, stdout=none, stderr=none) as program:
        wait_for(lambda: running(library), 60.0)
        (session,) = running(library)
        listed = thawline("recordings", library=tmp_path / "library")
        assert f"{session.id} is growing" in listed.stderr
        done = thawline("note", session.id, "saw ice", library=tmp_path / "library")
        assert done.returncode == 0, done.stderr
        program.terminate()
        program.wait(60)
    (entry,) = listing(library)
    assert [note.text for note in notes(library, entry.id)] == ["saw ice"]


def test_nothing_to_recover_is_said(tmp_path):
    """And is no error."""
    done = thawline("watch", "--recover", library=tmp_path / "library")
    assert done.returncode == 0
    assert "nothing broke off" in done.stderr


def test_countdowns_run_on_the_clock():
    """Between two forecasts the time left gets shorter; what is past is now."""
    point = {"kind": "charging-begins", "p10_s": 100.0, "p50_s": 160.0, "p90_s": None,
             "never": 0.12, "is_past": False, "level_kW": None}  # fmt: skip
    assert coming(point, 40.0) == (
        "10 % 1:00, 50 % 2:00, 90 % later from now; 12% that it does not come"
    )
    assert until(100.0, 100.5) == "now"
    assert span(3725.2) == "1:02:05"


def test_what_came_since_a_forecast_is_no_longer_ahead():
    """The story is newer than the forecast."""
    ahead = {"made_at_s": 500.0, "turning_points": [
        {"kind": "charging-begins", "is_past": False}, {"kind": "plugged-in", "is_past": True},
        {"kind": "cabin-comfortable", "is_past": False}]}  # fmt: skip
    story = {"turning_points": [{"kind": "charging-begins", "t_s": 520.0, "because": ""}]}
    assert [p["kind"] for p in still_ahead({"ahead": ahead, "story": story})] == [
        "cabin-comfortable"
    ]
    assert still_ahead({"story": story}) is None


def test_a_fault_in_explaining_is_told_and_explaining_begins_anew(monkeypatch, tmp_path, played):
    """Listening goes on whatever explaining does."""
    from multiprocessing import Pipe
    from pathlib import Path

    from thawline.cli import watch_explain
    from thawline.live.listening import Listening

    session = Listening(
        open_library(tmp_path / "library"), Path(played[6]), [Path(played[4])], (),
        play=Path(played[2]), speed=60.0,
    )  # fmt: skip
    ours, theirs = Pipe()
    told = []

    class Once:
        calls = 0

        def __init__(self, *_):
            pass

        def tell(self):
            Once.calls += 1
            if Once.calls == 2:
                raise ZeroDivisionError("by nothing")
            if Once.calls == 4:
                ours.close()
            return watch_explain.NOTHING

    monkeypatch.setattr(watch_explain, "Explainer", Once)
    monkeypatch.setattr(watch_explain, "AGAIN_S", 0.01)
    monkeypatch.setattr(watch_explain, "STORY_EVERY_S", 0.01)
    monkeypatch.setattr(watch_explain, "NICENESS", 0)
    real = theirs.send
    monkeypatch.setattr(theirs, "send", lambda each: (told.append(each), real(each)))
    before = signal.getsignal(signal.SIGINT)
    try:
        watch_explain.explain_on(theirs, session.session.folder, tmp_path / "library", ())
    finally:
        signal.signal(signal.SIGINT, before)
        session.stop()
        session.let_go()
    assert "by nothing" in told[1]["fault"]
    assert told[2] == watch_explain.NOTHING
    beat = session.beat()
    assert any("listening goes on" in text for text in troubles(beat, "", told[1]["fault"]))
