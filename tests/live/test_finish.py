"""The end of a session, and what broke off."""

import shutil

import pytest

from tests.live.playing import write_car
from tests.live.test_follow import grown as grown
from tests.live.test_follow import put
from tests.recording.making import START, lines
from thawline.errors import InputError
from thawline.library.listing import listing
from thawline.library.notes import notes
from thawline.live import finish as finish_module
from thawline.live.events import BACK, LOST, NOTE, Event, write_event
from thawline.live.finish import finish, logs_folder
from thawline.live.interruptions import interruptions
from thawline.live.running import leftover
from thawline.walk import add


def test_the_frames_stay_as_a_log_that_can_be_added(grown, tmp_path):
    """A signal that is mapped later is found there."""
    library, session, journal = grown
    put(journal, lines(60.0))
    done = finish(session, library)
    assert done.frames_file == logs_folder(library) / f"{done.recording.id}.log.gz"
    vehicle, database = write_car(tmp_path)
    text = vehicle.read_text()
    vehicle.write_text(
        text
        + '[signals."Powertrain.TractionBattery.Temperature.Max"]\nfrom = "PackCells.Warmest"\n'
    )
    again = add([done.frames_file], [database], vehicle, library)
    assert again.is_new
    assert "Powertrain.TractionBattery.Temperature.Max" in again.recording.channels


def test_frames_can_be_dropped(grown):
    """If the person wants the room."""
    library, session, journal = grown
    put(journal, lines(10.0))
    assert finish(session, library, keep_frames=False).frames_file is None
    assert not list(library.folder.rglob("*.log.gz"))


@pytest.mark.parametrize("at", ["_add_notes", "_keep_log", "_tell_became", "rmtree"])
def test_finishing_twice_makes_nothing_twice(grown, monkeypatch, at):
    """Wherever the first time broke off, the second completes it."""
    library, session, journal = grown
    put(journal, lines(30.0))
    write_event(session.events, Event(START + 12.5, NOTE, "asked for charging"))

    def broken(*_, **__):
        raise KeyboardInterrupt

    with monkeypatch.context() as breaking:
        target = shutil if at == "rmtree" else finish_module
        breaking.setattr(target, at, broken)
        with pytest.raises(KeyboardInterrupt):
            finish(session, library)
    done = finish(session, library)
    entries = listing(library)
    assert [entry.id for entry in entries] == [done.recording.id]
    assert [(n.at_s, n.text) for n in notes(library, done.recording.id)] == [
        (pytest.approx(12.5), "asked for charging")
    ]
    assert not session.folder.exists()
    assert (logs_folder(library) / f"{done.recording.id}.log.gz").exists()


def test_a_session_without_a_frame_leaves_nothing(grown):
    """No empty recording, no folder."""
    library, session, _ = grown
    assert finish(session, library).recording is None
    assert not session.folder.exists()
    assert listing(library) == []


def test_frames_that_make_no_recording_are_kept_and_named(grown):
    """The database knows none of them; the person may have the wrong one."""
    library, session, journal = grown
    put(journal, [f"({START + i:.6f}) can0 7F0#00" for i in range(20)])
    with pytest.raises(InputError, match="The frames are safe there") as caught:
        finish(session, library)
    log = logs_folder(library) / f"{session.id}.log.gz"
    assert str(log) in str(caught.value)
    assert log.exists()
    assert not session.folder.exists()


def test_notes_outside_the_frames_are_put_at_the_ends(grown):
    """A key pressed before the first frame, or after the last, is about that end."""
    library, session, journal = grown
    put(journal, lines(10.0))
    write_event(session.events, Event(START - 5.0, NOTE, "early"))
    write_event(session.events, Event(START + 500.0, NOTE, "late"))
    done = finish(session, library)
    kept = {note.text: note.at_s for note in notes(library, done.recording.id)}
    assert kept == {"early": 0.0, "late": done.recording.duration_s}


def test_a_broken_line_of_events_spoils_no_other(grown):
    """A full disk may cut one."""
    library, session, journal = grown
    put(journal, lines(10.0))
    write_event(session.events, Event(START + 1.0, NOTE, "one"))
    with session.events.open("ab") as file:
        file.write(b'{"at": 1700000000.0, "kind": "no')
    write_event(session.events, Event(START + 2.0, NOTE, "two"))
    done = finish(session, library)
    assert [note.text for note in notes(library, done.recording.id)] == ["one", "two"]


def test_a_damaged_document_is_no_session(grown):
    """It is passed over, not stumbled over; its frames stay where they are."""
    library, session, journal = grown
    put(journal, lines(1.0))
    (session.folder / "session.json").write_text("{")
    assert leftover(library) == ()
    assert session.journal.exists()


def test_losses_and_returns_are_paired():
    """By bus; what never came back lasts until the end."""
    found = interruptions(
        [
            Event(110.0, LOST, "pulled", "a"),
            Event(112.0, LOST, "pulled", "b"),
            Event(115.0, BACK, "", "a"),
            Event(116.0, LOST, "again", "a"),
        ],
        2, 100.0, 30.0,
    )  # fmt: skip
    assert [(i.bus, i.from_s, i.to_s, i.is_whole) for i in found] == [
        ("a", 10.0, 15.0, False), ("b", 12.0, 30.0, False), ("a", 16.0, 30.0, False),
    ]  # fmt: skip
