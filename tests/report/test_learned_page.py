"""The page, text and JSON of what was learned."""

from __future__ import annotations

import json
import re

import numpy as np
import pytest

from tests.charge.proving import mornings
from thawline.charge.learn import learn_from, look_at
from thawline.plating.own import kept_distance
from thawline.plating.plating import CAUTION, PlatingMap
from thawline.report.learned_document import learned_document
from thawline.report.learned_page import learned_page
from thawline.report.learned_text import learned_text

DEGC, PCT = np.arange(-20.0, 31.0, 5.0), np.arange(10.0, 91.0, 20.0)
RATES = (0.4 + 0.015 * (DEGC + 20.0))[:, None] * (1.2 - PCT / 100.0)[None, :]
#: A made map: what is drawn does not depend on the cell model being installed.
MAP = PlatingMap("made", "no paper", "no model", "0", 600.0, DEGC, PCT, RATES)


@pytest.fixture(scope="module")
def told():
    seen = look_at(recording for _, recording in mornings())
    found = learn_from(seen)
    kept = [kept_distance(MAP, one, found.capacity.Ah) for one in seen.observed]
    return found, MAP, tuple(one for one in kept if one is not None)


def test_one_page_that_fetches_nothing(told):
    """Every chart has its place, rules have their sources, the caution is there."""
    page = learned_page(*told).replace("\u00a0", " ")
    assert not re.findall(r"(?:src|href)=\"(?!#)[^\"]+\"", page.split("<script>")[0])
    for title in ("Charging that the pack allows", "Resistance of the pack", "Voltage at rest",
                  "What the cold hides from the display", "Margin to lithium plating"):  # fmt: skip
        assert title in page
    assert CAUTION.split(";")[0] in page.replace("&#39;", "'")
    assert "JEITA/BAJ 2007 (title from memory)" in page


def test_without_the_extra_the_page_says_why(told):
    """No map: the reason stands in its place, and everything else is there."""
    page = learned_page(told[0], no_margin="the cell model is not installed")
    assert "the cell model is not installed" in page and "Resistance of the pack" in page


def test_text_fits_a_terminal(told):
    """No line is wider than a hundred columns."""
    text = learned_text(*told)
    assert max(len(line) for line in text.splitlines()) <= 100
    assert "no licence to charge harder" in " ".join(text.split())
    assert "CHARGING ALLOWED" in text and "90 % interval, kW" in text


def test_the_document_is_json_without_nan(told):
    """The keys that docs/json.md promises, in JSON's own types."""
    document = json.loads(json.dumps(learned_document(*told), allow_nan=False))
    assert set(document) >= {"vehicle", "recordings", "limits", "resistance", "capacity", "hidden",
                             "open_circuit", "plating", "lost", "sentences"}  # fmt: skip
    charging = document["limits"]["charging"]
    assert charging["origin"] == "limit-signal" and charging["threshold"]["degC"] is not None
    assert set(charging["curve"][0]) == {"degC", "kW", "low_kW", "high_kW"}
    assert document["plating"]["map"]["parameter_set"] == "made"
    assert len(document["plating"]["map"]["rate_per_h"]) == len(DEGC)
    assert document["resistance"]["mornings"][0]["starts_at"].startswith("2031-01-10T06:00:00")
