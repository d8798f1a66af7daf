"""Samples thinned on the server: nothing that matters is lost, gaps stay gaps."""

import json
import struct

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.report import morning
from tests.web.conftest import FIRST
from thawline.report.choice import Choice
from thawline.web.held import held_of
from thawline.web.samples import Line, Lines, line_of, packed, samples_of, stretch_of


def unpack(body):
    """Read the answer as the page's script does."""
    (length,) = struct.unpack_from("<I", body)
    head = json.loads(body[4 : 4 + length])
    at, lines = 4 + length, {}
    for line in head["lines"]:
        n = line["count"]
        t = np.frombuffer(body, "<f4", n, at).astype(float) + head["from_s"]
        lines[line["path"]] = t, np.frombuffer(body, "<f4", n, at + 4 * n)
        at += 8 * n
    assert at == len(body)
    return lines


def ask(client, **query):
    asked = {"path": [morning.COLDEST], "from": 0, "to": 3600, "width": 800, **query}
    return client.get(f"/recordings/{FIRST}/samples", params=asked)


def test_a_stretch_with_few_samples_is_told_whole(client):
    """Zoomed in, every sample is there, and one on either side."""
    t, values = unpack(ask(client, **{"from": 100, "to": 160}).content)[morning.COLDEST]
    assert t[0] == 99.0 and t[-1] == 161.0 and len(t) == 63
    channel = morning.explained().recording.channels[morning.COLDEST]
    np.testing.assert_allclose(values, np.interp(t, channel.t, channel.values), atol=1e-5)


def test_gaps_stay_gaps(client):
    """No line is drawn across a time without data, at any zoom."""
    for stretch in ((0, 3600), (2100, 2400), (2195, 2300)):
        body = ask(client, **{"from": stretch[0], "to": stretch[1]}).content
        t, values = unpack(body)[morning.COLDEST]
        inside = (t > morning.GAP.from_s) & (t < morning.GAP.to_s)
        assert np.isnan(values[inside]).any()


def test_values_come_in_the_units_chosen(client):
    """°F if the reader chose it."""
    usual = unpack(ask(client).content)[morning.COLDEST][1]
    other = unpack(ask(client, temperature="degF").content)[morning.COLDEST][1]
    np.testing.assert_allclose(other, usual * 1.8 + 32.0, rtol=1e-5)


def test_flows_are_lines_too():
    """Powers on the common clock are asked for by their name, several lines at once."""
    held, paths = held_of(morning.explained()), ["flow:supply", morning.COLDEST]
    lines = unpack(samples_of(Lines(), held, paths, 300.0, 600.0, 800, Choice()))
    assert set(lines) == set(paths)
    np.testing.assert_allclose(lines["flow:supply"][1], 5.0, atol=0.01)


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ({"path": ["Powertrain.Nothing"]}, "has no line"),
        ({"path": ["flow:../../etc/passwd"]}, "has no line"),
        ({"from": 10, "to": 10}, "has no length"),
        ({"from": "nan", "to": 10}, "has no length"),
        ({"from": "x"}, "makes no sense"),
        ({"path": []}, "makes no sense"),
    ],
)
def test_what_makes_no_sense_is_told(client, query, words):
    """A wrong question has an answer in words."""
    answer = ask(client, **query)
    assert answer.status_code == 400 and words in answer.json()["problem"]


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(20, 400), st.floats(0.0, 0.8))
def test_a_spike_is_seen_at_every_zoom_that_holds_it(seed, width, begin):
    """One sample far from all others is never thinned away."""
    rng = np.random.default_rng(seed)
    t = np.sort(rng.uniform(0.0, 1000.0, 20_000))
    values = rng.normal(size=len(t))
    from_s, to_s = 1000.0 * begin, 1000.0 * (begin + 0.2)
    values[rng.choice(np.flatnonzero((t >= from_s) & (t <= to_s)))] = 50.0
    shown_t, shown = stretch_of(Line("kW", t, values), from_s, to_s, width)
    assert shown.max() == 50.0
    assert len(shown) <= 2 * width + 2 and np.all(np.diff(shown_t) >= 0.0)


def test_lines_are_prepared_once():
    """The second question about a line finds it ready."""
    lines, held = Lines(), held_of(morning.explained())
    assert lines.get(held, morning.COLDEST) is lines.get(held, morning.COLDEST)
    assert line_of(held, "flow:supply").unit == "kW"


def test_times_stay_exact_far_from_the_beginning():
    """A day into a recording, neighbours a millisecond apart are still apart."""
    t = 86400.0 + np.arange(50) / 1000.0
    found = unpack(packed({"x": (t, t)}, 86400.0))["x"][0]
    np.testing.assert_allclose(np.diff(found), 0.001, rtol=0.01)
    assert Choice().values(t, "s") is t
