"""A session: frames to disk, adapters that go and come back, silence, notes, full disks."""

import errno
import json
import os
import threading
import time

import can
import pytest

from tests.live.playing import (
    adapter,
    journal_lines,
    listening,
    numbers,
    pull,
    wait_for,
    write_car,
)
from tests.recording.making import START, lines
from thawline.errors import InputError, RequestError, SourceError, VehicleFileError
from thawline.library.library import open_library
from thawline.live import listened
from thawline.live.events import read_events, write_note
from thawline.live.finish import finish
from thawline.live.follow import Follower
from thawline.live.heartbeat import heartbeat
from thawline.live.listening import Listening
from thawline.live.running import find_session, leftover, recording_of, running


@pytest.fixture
def library(tmp_path):
    return open_library(tmp_path / "library")


def feed(channel, texts):
    """Put the frames of candump lines on a virtual bus, as another node."""
    other = can.Bus(interface="virtual", channel=channel)
    for text in texts:
        identifier, payload = text.split()[2].split("#")
        other.send(
            can.Message(
                arbitration_id=int(identifier, 16),
                data=bytes.fromhex(payload),
                is_extended_id=len(identifier) > 3,
            )
        )
    other.shutdown()


def test_frames_reach_the_disk_within_a_second(tmp_path, library):
    """Also of a bus on which little happens."""
    with listening(tmp_path, library, "virtual:soon") as session:
        for count in range(1, 4):
            feed("soon", lines(1.0)[:1])
            came = time.monotonic()
            wait_for(lambda c=count: len(journal_lines(session.session.journal)) == c)
            assert time.monotonic() - came < 1.0 + 1.0  # a busy computer may take its time


def test_a_session_is_seen_while_it_runs_and_no_longer(tmp_path, library):
    """The lock tells; the heartbeat says how it goes."""
    assert running(library) == ()
    with listening(tmp_path, library, "virtual:seen") as session:
        assert [s.id for s in running(library)] == [session.session.id]
        assert leftover(library) == ()
        assert find_session(library, "gannet").id == session.session.id
        beat = heartbeat(session.session)
        assert beat.state == "listening"
        assert abs(beat.clock(time.time()) - session.clock()) < 0.5
        with pytest.raises(RequestError, match="There are"):
            find_session(library, "petrel")
    assert running(library) == ()
    assert [s.id for s in leftover(library)] == [session.session.id]
    assert heartbeat(session.session).state == "ended"


def test_an_adapter_that_is_pulled_is_taken_up_again(tmp_path, library, monkeypatch):
    """What came before is kept, the time between is a gap that the recording tells."""
    monkeypatch.setattr(listened, "FIRST_PAUSE_S", 0.1)
    port = tmp_path / "a" / "tty"
    with (
        adapter(tmp_path / "a", 500.0) as first,
        listening(tmp_path, library, f"slcan:{port}") as session,
    ):
        wait_for(lambda: session.beat().frames > 200)
        pull(first)
        wait_for(lambda: session.beat().state == "lost")
        before = session.beat()
        assert "trying again" in before.buses[0].told
        assert heartbeat(session.session).state == "lost"
        time.sleep(1.0)
        with adapter(tmp_path / "a", 500.0):
            wait_for(lambda: session.beat().state == "listening")
            wait_for(lambda: session.beat().frames > before.frames + 200)
            follower = Follower(session.session)
            wait_for(lambda: follower.update() >= 0 and follower.recording().gaps)
            growing = follower.recording()
        last = session.stop()
    session.let_go()
    assert last.frames == last.kept
    assert [e.kind for e in read_events(session.session.events)][:2] == ["lost", "back"]
    done = finish(session.session, library).recording
    assert done.quality.frames == last.frames
    told = [text for text in done.quality.warnings if "was gone" in text]
    assert told
    gap = done.gaps[0]
    assert 1.0 <= gap.to_s - gap.from_s < 20.0
    assert growing.gaps[0].from_s == pytest.approx(gap.from_s, abs=0.01)


def test_two_buses_are_heard_at_once(tmp_path, library):
    """Each frame keeps the name of its bus."""
    with listening(tmp_path, library, "a=virtual:one", "b=virtual:two") as session:
        feed("one", lines(2.0))
        feed("two", lines(1.0))
        wait_for(lambda: session.beat().frames == len(lines(2.0)) + len(lines(1.0)))
        session.stop()
        names = [line.split()[1] for line in journal_lines(session.session.journal)]
    assert names.count("a") == len(lines(2.0))
    assert names.count("b") == len(lines(1.0))


def test_silence_is_told_with_what_may_be_wrong(tmp_path, library, monkeypatch):
    """A bus asleep and a wrong bit rate look alike: both are asked about."""
    monkeypatch.setattr(listened, "SILENT_S", 0.3)
    with (
        adapter(tmp_path / "a", 0.0, "silent"),
        listening(tmp_path, library, f"slcan:{tmp_path / 'a' / 'tty'}") as session,
    ):
        wait_for(lambda: session.beat().state == "silent")
        told = session.beat().buses[0].told
    assert "500000 bit/s" in told
    assert "awake" in told


def test_notes_carry_the_moment_of_the_key(tmp_path, library):
    """From this program and from another; both go along into the recording."""
    with listening(tmp_path, library, "virtual:notes") as session:
        feed("notes", lines(1.0))
        wait_for(lambda: session.beat().frames)
        at = session.clock()
        time.sleep(0.3)
        session.note("turned on  the cabin", at)
        other = write_note(find_session(library, session.session.id[:8]), "saw ice")
        feed("notes", lines(1.0))
        wait_for(lambda: len(read_events(session.session.events)) == 2)
        with pytest.raises(RequestError, match="say something"):
            session.note("  ")
    done = finish(session.session, library)
    from thawline.library.notes import notes

    kept = {note.text: note.at_s for note in notes(library, done.recording.id)}
    assert kept["turned on the cabin"] == pytest.approx(at - done.recording.starts_at, abs=1e-6)
    assert kept["saw ice"] == pytest.approx(other.at - done.recording.starts_at, abs=1e-6)
    assert recording_of(library, session.session.id) == done.recording.id
    assert not session.session.folder.exists()
    with pytest.raises(Exception, match="no longer listening"):
        write_note(session.session, "too late")


def test_a_full_disk_is_told_and_nothing_is_lost_when_there_is_room(tmp_path, library, monkeypatch):
    """Frames and notes wait in memory."""
    real, full = os.write, threading.Event()

    def write(handle, data):
        if full.is_set():
            raise OSError(errno.ENOSPC, "No space left on device")
        return real(handle, data)

    monkeypatch.setattr(os, "write", write)
    with listening(tmp_path, library, "virtual:full") as session:
        feed("full", lines(1.0))
        wait_for(lambda: session.beat().kept == len(lines(1.0)))
        full.set()
        feed("full", lines(2.0))
        session.note("no room")
        wait_for(lambda: session.beat().state == "disk-full")
        assert "No space" in session.disk_told
        assert session.beat().kept == len(lines(1.0))
        assert len(journal_lines(session.session.journal)) == len(lines(1.0))
        full.clear()
        wait_for(lambda: session.beat().kept == len(lines(1.0)) + len(lines(2.0)))
        wait_for(lambda: read_events(session.session.events))
        assert session.beat().state == "listening"


def test_a_log_is_played_at_any_speed_with_its_own_times(tmp_path, library):
    """A minute in a second or two; the recording is that of the log."""
    log = tmp_path / "morning.log"
    log.write_text("\n".join(lines(60.0)) + "\n")
    vehicle, database = write_car(tmp_path)
    session = Listening(library, vehicle, [database], (), play=log, speed=60.0)
    begin = time.monotonic()
    wait_for(lambda: session.is_done)
    took = time.monotonic() - begin
    note = session.note("at its end")
    session.stop()
    session.let_go()
    assert 0.9 < took < 20.0
    assert journal_lines(session.session.journal) == lines(60.0)
    assert note.at >= START + 59.0
    done = finish(session.session, library).recording
    assert done.starts_at == pytest.approx(START)
    assert done.duration_s == pytest.approx(59.95, abs=0.2)


@pytest.mark.parametrize("speed", [0.0, -1.0, float("nan"), float("inf")])
def test_a_speed_that_is_none_is_refused(tmp_path, library, speed):
    """The message gives an example."""
    log = tmp_path / "morning.log"
    log.write_text("\n".join(lines(1.0)) + "\n")
    vehicle, database = write_car(tmp_path)
    with pytest.raises(RequestError, match="--speed"):
        Listening(library, vehicle, [database], (), play=log, speed=speed)


def test_a_table_cannot_be_played(tmp_path, library):
    """It holds no frames; the message says what to do with it."""
    table = tmp_path / "bench.csv"
    table.write_text("time,amps\n0,1\n1,2\n2,3\n")
    vehicle, database = write_car(tmp_path)
    with pytest.raises(SourceError, match="thawline add"):
        Listening(library, vehicle, [database], (), play=table)


def test_faulty_files_leave_no_session_behind(tmp_path, library):
    """The database is checked before an adapter is opened."""
    vehicle, database = write_car(tmp_path)
    vehicle.write_text(vehicle.read_text().replace("PackPower.Volts", "PackPower.Wolts"))
    with pytest.raises(VehicleFileError, match=r"PackPower\.Volts"):
        listening_with(library, vehicle, database, "virtual:faulty")
    assert leftover(library) == ()


def listening_with(library, vehicle, database, bus):
    from thawline.live.bus_spec import parse_buses

    return Listening(library, vehicle, [database], parse_buses([bus]))


def test_a_bus_that_the_vehicle_file_names_must_be_listened_to(tmp_path, library):
    """Else its signals would silently never come."""
    vehicle, database = write_car(tmp_path)
    text = vehicle.read_text().replace('from = "Port.Cable"', 'from = "Port.Cable"\nbus = "body"')
    vehicle.write_text(text)
    with pytest.raises(InputError, match=r"--bus body=interface:channel"):
        listening_with(library, vehicle, database, "virtual:named")


def test_an_adapter_that_cannot_be_opened_leaves_no_other_open(tmp_path, library):
    """All buses, or none."""
    with (
        pytest.raises(RequestError, match="cannot be opened"),
        listening(tmp_path, library, "virtual:first", "slcan:/dev/no-such-port"),
    ):
        pass
    assert leftover(library) == ()
    assert not any(t.name.startswith("bus ") for t in threading.enumerate())


def test_heartbeats_are_whole_whenever_they_are_read(tmp_path, library):
    """They are replaced in one step."""
    with listening(tmp_path, library, "virtual:beats") as session:
        done = threading.Event()

        def beat():
            while not done.is_set():
                session.beat()

        writer = threading.Thread(target=beat)
        writer.start()
        for _ in range(300):
            assert (
                json.loads((session.session.folder / "heartbeat.json").read_text())["frames"] == 0
            )
        done.set()
        writer.join()


def test_numbers_are_read_from_lines():
    """The tests' own reading of numbered frames."""
    assert numbers(["(1.0) can0 100#000000000000000A"]) == [10]
