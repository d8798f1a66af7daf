"""The report for a terminal."""

from pathlib import Path

import pytest

from tests.report import morning
from thawline.report.explained import Note
from thawline.report.text import set_text, text

GOLDEN = Path(__file__).parent / "golden"


@pytest.mark.parametrize("name", ["morning", "bare"])
def test_the_report_is_as_agreed(name):
    """Golden text: a change of wording or layout must be meant."""
    found = set_text(getattr(morning, {"morning": "explained"}.get(name, name))(), morning.prose())
    assert found == (GOLDEN / f"{name}.txt").read_text("utf-8")


def test_lines_fit_a_terminal_whatever_they_say():
    """At most a hundred columns, also with long words, and no control characters."""
    long = "x" * 300 + " \x1b[31mred\x1b[0m \t tab"
    explained = morning.explained("G" * 150, notes=(Note(5.0, long), Note(None, long)))
    lines = set_text(explained, morning.prose()).splitlines()
    assert max(map(len, lines)) <= 100
    assert not any("\x1b" in line or "\t" in line for line in lines)


def test_the_real_sentences_are_set():
    """The other rooms' own sentences fit, for a rich and a bare recording."""
    for explained in (morning.explained(), morning.bare()):
        found = text(explained)
        assert explained.charge.sentence.split()[0] in found
        assert "CAUTIONS" in found
        assert max(map(len, found.splitlines())) <= 100
