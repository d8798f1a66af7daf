"""The snapshot of a growing session is the recording that it will become."""

import time

import numpy as np
import pytest

from tests.live.playing import write_car
from tests.recording.making import START, lines
from thawline.library.library import open_library
from thawline.live import growing as growing_module
from thawline.live.bus_spec import parse_buses
from thawline.live.finish import finish
from thawline.live.follow import Follower
from thawline.live.growing import Series, thinned
from thawline.live.journal import Journal
from thawline.live.session import ListenedBus, make_session
from thawline.vehicle.read import read_vehicle


@pytest.fixture
def grown(tmp_path):
    """A session whose journal the test writes itself."""
    vehicle, database = write_car(tmp_path)
    library = open_library(tmp_path / "library")
    session, held = make_session(
        library, read_vehicle(vehicle), vehicle, [database],
        [ListenedBus("can0", "virtual:x", "a virtual bus")], started_at=START,
    )  # fmt: skip
    journal = Journal(session.journal)
    yield library, session, journal
    import os

    os.close(held)


def put(journal, texts):
    journal.append(("\n".join(texts) + "\n").encode(), len(texts))
    journal.flush()


def test_pieces_make_what_the_whole_makes(grown):
    """Second by second, the channels are those of the kept recording."""
    library, session, journal = grown
    follower = Follower(session)
    assert follower.recording() is None
    text = lines(240.0)
    before = 0
    for second in range(240):
        fresh = [line for line in text if START + second <= float(line[1:18]) < START + second + 1]
        put(journal, fresh)
        assert follower.update() == len(fresh)
        snapshot = follower.recording()
        samples = sum(len(c.t) for c in snapshot.channels.values())
        assert samples > before
        before = samples
        assert snapshot.duration_s <= second + 1.0
    kept = finish(session, library).recording
    assert set(snapshot.channels) == set(kept.channels)
    for path, channel in kept.channels.items():
        same = snapshot.channels[path]
        assert np.array_equal(same.t, channel.t), path
        assert np.array_equal(same.values, channel.values), path
        assert (same.unit, same.is_state, same.source) == (
            channel.unit, channel.is_state, channel.source,
        )  # fmt: skip
        assert same.resolution == pytest.approx(channel.resolution)
        assert same.noise == pytest.approx(channel.noise, rel=0.3, abs=1e-9)
    assert snapshot.starts_at == kept.starts_at
    assert snapshot.duration_s == kept.duration_s
    assert snapshot.gaps == kept.gaps


def test_an_earlier_snapshot_does_not_change(grown):
    """A page may go on reading it while the next one is made."""
    _, session, journal = grown
    follower = Follower(session)
    text = lines(120.0)
    put(journal, text[:400])
    follower.update()
    first = follower.recording()
    copies = {p: (c.t.copy(), c.values.copy()) for p, c in first.channels.items()}
    for begin in range(400, len(text), 50):
        put(journal, text[begin : begin + 50])
        follower.update()
        follower.recording()
    for path, (t, values) in copies.items():
        assert np.array_equal(first.channels[path].t, t)
        assert np.array_equal(first.channels[path].values, values)


def test_a_late_follower_catches_up(grown):
    """A page that is opened later sees all that came before."""
    _, session, journal = grown
    text = lines(60.0)
    for begin in range(0, len(text), 100):
        put(journal, text[begin : begin + 100])
    late = Follower(session)
    assert late.update() == len(text)
    assert late.recording().quality.frames == len(text)


def test_silence_within_is_a_gap(grown):
    """As it is in the recording that is kept."""
    library, session, journal = grown
    put(journal, lines(20.0))
    follower = Follower(session)
    follower.update()
    put(journal, lines(20.0, START + 50.0))
    follower.update()
    snapshot = follower.recording()
    assert len(snapshot.gaps) == 1
    assert snapshot.gaps[0].to_s - snapshot.gaps[0].from_s == pytest.approx(30.1, abs=0.2)
    assert any("nothing was recorded" in text for text in snapshot.quality.warnings)
    assert finish(session, library).recording.gaps == snapshot.gaps


def test_signals_that_come_often_are_thinned_states_keep_every_change():
    """Ten samples a second at most; they are picked, not averaged."""
    t = np.arange(0.0, 10.0, 0.001)
    values = np.sin(t)
    kept = thinned(t, values, is_state=False)
    assert 99 <= len(kept) <= 101
    assert np.all(np.isin(values[kept], values))
    state = np.zeros(len(t))
    state[1234] = 1.0
    kept = thinned(t, state, is_state=True)
    assert {1234, 1235} <= set(kept.tolist())
    assert len(thinned(t[:0], values[:0], is_state=True)) == 0


def test_each_sample_is_converted_a_bounded_number_of_times(grown, monkeypatch):
    """However long it lasts, the work for a second does not grow with what came before."""
    _, session, journal = grown
    converted = []
    real = growing_module.make_channel

    def counted(name, spec, raw, vehicle, gaps):
        converted.append(len(raw.t))
        return real(name, spec, raw, vehicle, gaps)

    monkeypatch.setattr(growing_module, "make_channel", counted)
    monkeypatch.setattr(growing_module, "BEFORE", 5)
    follower = Follower(session)
    text = lines(900.0)
    for begin in range(0, len(text), 12):
        put(journal, text[begin : begin + 12])
        follower.update()
        follower.recording()
    samples = sum(len(c.t) for c in follower.recording().channels.values())
    assert sum(converted) < 9 * samples  # making all anew each time would be 400 times


def test_series_grow_and_what_was_given_stays():
    """A view given out is neither written to nor moved."""
    series = Series()
    views = []
    for i in range(5000):
        series.append(np.array([float(i)]))
        if i % 500 == 0:
            views.append((i + 1, series.all()))
    for count, view in views:
        assert np.array_equal(view, np.arange(count, dtype=float))
        with pytest.raises(ValueError, match="read-only"):
            view[0] = 9.0
    assert len(series) == 5000


def test_buses_are_parsed_for_sessions():
    """The fixture's bus is one that can be written."""
    assert parse_buses(["virtual:x"])[0].name == "can0"
    assert time.time() > START
