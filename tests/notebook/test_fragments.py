"""Fragments: whole, alone on any page, and deaf to what names and notes would have them do."""

from __future__ import annotations

from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import pytest

from tests.report import morning as by_hand
from thawline.compare.compare import compare
from thawline.forecast.forecast import Fan, Forecast, PointAhead
from thawline.library.listing import Entry
from thawline.morning import Morning
from thawline.notebook import Recordings
from thawline.report.explained import Note
from thawline.report.views import ComparisonView, ForecastView
from thawline.story.story import Lost

EVIL = '</style></div><script>alert("x")</script><img src=x onerror=alert(1)>&amp;'


class Reader(HTMLParser):
    """Keeps tags, attributes and text; checks that tags are closed in order."""

    def __init__(self, html):
        super().__init__()
        self.open, self.tags, self.attrs, self.text = [], [], [], ""
        self.feed(html)
        assert not self.open

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.attrs += attrs
        self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.tags.append(tag)
        self.attrs += attrs

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if "style" not in self.open:
            self.text += data


def evil():
    """The morning written by hand, with markup in everything that files and people name."""
    told = by_hand.explained(EVIL)
    first = next(iter(told.recording.channels.values()))
    named = replace(first, path=EVIL, unit=EVIL, source=EVIL)
    quality = replace(told.recording.quality, warnings=(EVIL,))
    channels = {**told.recording.channels, EVIL: named}
    recording = replace(told.recording, id=EVIL, channels=channels, quality=quality)
    point = replace(told.story.turning_points[0], because=EVIL, kind=EVIL)
    span = replace(told.story.spans[0], because=EVIL)
    story = replace(
        told.story, turning_points=(point, *told.story.turning_points[1:]),
        spans=(span, *told.story.spans[1:]), lost=(Lost(EVIL, EVIL, EVIL),),
    )  # fmt: skip
    line = replace(told.ledger.electrical[0], note=EVIL)
    ledger = replace(told.ledger, electrical=(line, *told.ledger.electrical[1:]), notes=(EVIL,))
    return replace(told, recording=recording, story=story, ledger=ledger, notes=(Note(9.0, EVIL),))


def evil_forecast():
    """A forecast in which everything that is said holds markup."""
    t = np.array([500.0, 600.0])
    point = PointAhead(EVIL, 600.0, 700.0, None, 0.1, None, False, EVIL, t)
    return Forecast(EVIL, 500.0, 4000.0, EVIL, (point,), Fan(t, t, t, t), (EVIL,))


def views():
    one = Morning(evil())
    other = replace(evil(), recording=replace(evil().recording, id="other"))
    return {
        "recording": one.recording,
        "story": one.story,
        "ledger": one.ledger,
        "morning": one,
        "comparison": ComparisonView(compare(one.explained, other)),
        "forecast": ForecastView(evil_forecast()),
        "recordings": Recordings((Entry(EVIL, EVIL, 0.0, 60.0, 1, 0, 1, 1, 0, 0.0),)),
    }


VIEWS = views()


@pytest.mark.parametrize("name", sorted(VIEWS))
def test_names_stay_words(name):
    """Markup in the names of vehicles, signals and recordings, and in notes, is shown as text."""
    read = Reader(VIEWS[name]._repr_html_())
    assert not {"script", "img", "link", "iframe", "a"} & set(read.tags)
    assert not [key for key, _ in read.attrs if key.startswith("on")]
    assert 'alert("x")' in read.text.replace("\xa0", " ")


@pytest.mark.parametrize("name", sorted(VIEWS))
def test_a_fragment_is_alone_on_its_page(name):
    """It fetches nothing, refers to nothing outside, and styles nothing but itself."""
    html = VIEWS[name]._repr_html_()
    read = Reader(html)
    assert not [value for key, value in read.attrs if key in ("src", "href", "data", "action")]
    assert "@import" not in html and "http" not in html
    style = html.split("<style>")[1].split("</style>")[0]
    rules = [rule.split("{")[0] for rule in style.split("}") if "{" in rule]
    assert rules
    for rule in rules:
        assert all(part.strip().startswith(".thawline") for part in rule.split(",")), rule


def test_two_fragments_share_no_name():
    """Pictures of different mornings, on one page, refer to patterns of their own."""
    changed = by_hand.explained()
    line = replace(changed.ledger.electrical[0], kWh=5.5)
    ledger = replace(changed.ledger, electrical=(line, *changed.ledger.electrical[1:]))
    found = []
    for one in (by_hand.explained(), replace(changed, ledger=ledger)):
        attrs = Reader(Morning(one).ledger._repr_html_()).attrs
        found.append({v for k, v in attrs if k == "id" and v.startswith("electrical")})
    assert found[0] and found[1] and not found[0] & found[1]


def test_an_empty_list_says_so():
    """A library that keeps nothing shows a sentence, not an empty table."""
    read = Reader(Recordings(())._repr_html_())
    assert "no such recording" in read.text and "table" not in read.tags
