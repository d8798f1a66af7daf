"""The page, without a browser."""

import re
from html.parser import HTMLParser

import pytest

from tests.report import morning
from thawline.recording.recording import Channel
from thawline.report.explained import Finding, Note
from thawline.report.page import page, set_page
from thawline.story.story import Evidence, Lost

EVIL = '<script>alert("x")</script><img src=x onerror=alert(1)>'
VOID = {"meta", "rect", "path", "line", "br", "img", "input", "link"}


class Reader(HTMLParser):
    """Keeps what the tests ask for, and checks that tags are closed."""

    def __init__(self):
        super().__init__()
        self.open, self.seen, self.ids, self.text = [], [], [], []

    def handle_starttag(self, tag, attrs):
        self.seen.append((tag, dict(attrs)))
        self.ids += [value for key, value in attrs if key == "id"]
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.seen.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        if tag not in VOID:
            assert self.open.pop() == tag

    def handle_data(self, data):
        if "script" not in self.open and "style" not in self.open:
            self.text.append(data)


def read(html):
    reader = Reader()
    reader.feed(html)
    reader.close()
    assert reader.open == []
    return reader


@pytest.fixture(scope="module")
def html():
    return set_page(morning.explained(), morning.prose())


def test_the_page_is_whole(html):
    """Language, title, one heading of first rank, all tags closed, all names unique."""
    reader = read(html)
    tags = [tag for tag, _ in reader.seen]
    assert html.startswith("<!DOCTYPE html>")
    assert ("html", {"lang": "en"}) in reader.seen
    assert tags.count("h1") == tags.count("title") - 4 == 1  # each of four pictures has a title
    assert len(set(reader.ids)) == len(reader.ids)


def test_nothing_is_fetched(html):
    """No element and no style names anything outside the page, and the browser is told so."""
    reader = read(html)
    for tag, attributes in reader.seen:
        for key in ("src", "href", "action", "data", "srcset", "poster", "xlink:href"):
            target = attributes.get(key)
            assert target is None or target.startswith("#"), (tag, target)
    styles = re.findall(r"<style>(.*?)</style>", html, re.S)
    assert styles
    assert not any("url(" in style or "@import" in style for style in styles)
    policy = next(a["content"] for t, a in reader.seen if "http-equiv" in a)
    assert "default-src 'none'" in policy
    assert "http" not in policy


def test_links_within_the_page_lead_somewhere(html):
    """Each entry of the contents has its section."""
    reader = read(html)
    targets = {a["href"][1:] for t, a in reader.seen if t == "a"}
    assert targets
    assert targets <= set(reader.ids)


def test_pictures_and_charts_have_words(html):
    """Whatever is an image says what it shows."""
    images = [a for _, a in read(html).seen if a.get("role") == "img"]
    assert len(images) == 8 + 4
    assert all(a.get("aria-label") or a.get("aria-labelledby") for a in images)


def test_all_parts_are_told(html):
    """Headline, chronicle, ledgers with uncertainties, why-not, lost, quality, notes, cautions."""
    said = " ".join(" ".join(read(html).text).replace("\u00a0", " ").split())
    for part in (
        "Gannet, 14 January 2031",
        "Plugged in at 06:41:17 with the coldest cell at −12.5 °C",
        "Coldest cell passes 0 °C",
        "held against 0.0 °C",
        "4.43 ± 0.04",
        "0.951 ± 0.009",
        "not known",
        "Both drive units give all.",
        "The display gained 5.0 points",
        "No channel for the flow",
        "184,220",
        "Car slept out.",
        "A load is not recorded.",
        "Orange cables",
        "90 s without data",
    ):
        assert part in said, part


def test_the_page_is_not_too_heavy(html):
    """An hour stays below 4 MB."""
    assert len(html.encode("utf-8")) < 4_000_000


def test_whatever_people_write_is_only_text():
    """Names, notes, reasons and signals with markup in them stay text."""
    explained = morning.explained(
        EVIL,
        notes=(Note(10.0, EVIL), Note(None, EVIL)),
        findings=(Finding(EVIL, 1.0, 0.5, EVIL, (Evidence(EVIL, 1.0, EVIL, 0.0, 1.0),)),),
    )
    story = explained.story
    points = tuple(
        type(point)(point.kind, point.t_s, 1.0, EVIL, (Evidence(EVIL, 1.0, EVIL, 0.0, 1.0),))
        for point in story.turning_points
    )
    spans = tuple(type(s)(s.lane, s.from_s, s.to_s, 1.0, EVIL) for s in story.spans)
    evil_story = type(story)(EVIL, points, spans, (Lost(EVIL, EVIL, EVIL),))
    path = f"Powertrain.ElectricMotor.{EVIL.replace('.', '')}.Temperature"
    sample = next(iter(explained.recording.channels.values()))
    explained.recording.channels[path] = Channel(path, "degC", sample.t, sample.values)
    explained = type(explained)(
        explained.recording, explained.flows, evil_story, explained.ledger, explained.charge,
        explained.findings, explained.notes,
    )  # fmt: skip
    html = set_page(explained, morning.prose())
    reader = read(html)
    assert not any(tag == "img" for tag, _ in reader.seen)
    assert not any("onerror" in attributes for _, attributes in reader.seen)
    assert EVIL not in html
    assert len([tag for tag, _ in reader.seen if tag == "script"]) == 3


def test_the_real_sentences_are_set():
    """The other rooms' own sentences make a page, for a rich and a bare recording."""
    for explained in (morning.explained(), morning.bare()):
        reader = read(page(explained))
        assert any("Cautions" in words for words in reader.text)
