"""The page, text and JSON of a comparison."""

from __future__ import annotations

import json
import re

import pytest

from tests.compare.pair import pair
from thawline.compare.compare import compare
from thawline.report.compare_document import compare_document
from thawline.report.compare_page import compare_page
from thawline.report.compare_text import compare_text


@pytest.fixture(scope="module")
def found():
    return compare(*pair(), 0.5)


def test_one_page_that_fetches_nothing(found):
    """All is in the page: no address of elsewhere, every chart has its place."""
    page = compare_page(found)
    assert page.startswith("<!DOCTYPE html>") and "default-src 'none'" in page
    assert not re.findall(r"(?:src|href)=\"(?!#)[^\"]+\"", page.split("<script>")[0])
    assert len(re.findall(r"data-root-id=", page)) >= len(found.overlays)
    assert found.sentences[0].split(" in B")[0] in page.replace("\u00a0", " ")


def test_text_fits_a_terminal(found):
    """No line is wider than a hundred columns; both recordings and the price are named."""
    text = compare_text(found)
    assert max(len(line) for line in text.splitlines()) <= 100
    assert found.a.recording_id in text and found.b.recording_id in text
    assert "0.5 per kWh" in text and "Coldest cell passes 0 °C" in text


def test_the_document_is_json_without_nan(found):
    """The keys that docs/json.md promises, in JSON's own types."""
    document = json.loads(json.dumps(compare_document(found), allow_nan=False))
    assert set(document) >= {"a", "b", "turning_points", "figures", "reasons", "sentences"}
    assert document["reasons"]["of"] == "coldest-cell-thaws"
    assert document["a"]["counted_from"] == "plugged-in"
    row = next(row for row in document["figures"] if row["key"] == "energy-supply")
    assert row["unit"] == "kWh" and row["difference"] == pytest.approx(
        row["b"] - row["a"], abs=1e-4
    )
