"""Colours that can be told from their ground."""

import pytest

from thawline.report.palette import palette

PAPER, DARK = "#fffdf8", "#16181b"


def luminance(colour):
    """Relative luminance of an sRGB colour (W3C, Web Content Accessibility Guidelines 2.2)."""
    parts = [int(colour[at : at + 2], 16) / 255.0 for at in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("name", sorted(palette()))
def test_lines_stand_out_from_both_grounds(name):
    """At least 3 : 1, as W3C WCAG 2.2, criterion 1.4.11, asks of graphics."""
    colour = palette()[name]
    assert contrast(colour.on_paper, PAPER) >= 3.0
    assert contrast(colour.on_dark, DARK) >= 3.0


def test_text_colours_stand_out():
    """At least 4.5 : 1, as criterion 1.4.3 asks of text: ink, and the grey of axes."""
    for name in ("ink", "grey"):
        assert contrast(palette()[name].on_paper, PAPER) >= 4.5
        assert contrast(palette()[name].on_dark, DARK) >= 4.5


def test_the_grounds_are_those_of_the_style_sheet():
    """The grounds of this test are the page's."""
    from importlib.resources import files

    style = files("thawline.report").joinpath("templates/page.css").read_text("utf-8")
    assert f"--paper: {PAPER}" in style
    assert f"--paper: {DARK}" in style
