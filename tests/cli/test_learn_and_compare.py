"""The doors learn and compare, on a library of two simulated mornings."""

from __future__ import annotations

import json

import pytest

from tests.charge.proving import mornings
from thawline.cli import compare, learn
from thawline.errors import RequestError
from thawline.library.add import add_recording
from thawline.library.library import open_library


@pytest.fixture(scope="module")
def library(tmp_path_factory):
    folder = tmp_path_factory.mktemp("library")
    opened = open_library(folder)
    for number in (0, 1):
        recording = mornings()[number][1]
        add_recording(opened, recording, f"key-{number}")
    return folder


def test_learn_prints_one_document(library, capsys, tmp_path):
    """JSON on standard output, the page where it was asked for."""
    learn.learn("gannet", library, tmp_path / "page.html", margin=False, as_json=True)
    said = capsys.readouterr()
    document = json.loads(said.out)
    assert document["recordings"] == ["proving-0", "proving-1"]
    assert document["plating"]["map"] is None and "--no-margin" in document["plating"]["because"]
    assert (tmp_path / "page.html").read_text("utf-8").startswith("<!DOCTYPE html>")
    assert "page:" in said.err


def test_learn_without_the_extra_says_so(library, capsys, monkeypatch):
    """Where the cell model is missing everything else is told, and the cure."""
    from thawline.plating import cache

    def missing():
        raise RequestError("not installed", cure="install the extra: pip install 'thawline[cell]'")

    monkeypatch.setattr(cache, "version", missing)
    learn.learn("Gannet", library)
    assert "pip install 'thawline[cell]'" in " ".join(capsys.readouterr().out.split())


def test_learn_an_unknown_vehicle(library):
    """The nearest vehicle is named."""
    with pytest.raises(RequestError, match="Did you mean 'Gannet'"):
        learn.learn("Gannett", library)


def test_compare_prints_one_document(library, capsys, tmp_path):
    """JSON on standard output, with the cost by the tariff; the page beside."""
    compare.compare("proving-0", "proving-1", library, 0.25, tmp_path / "two.html", as_json=True)
    document = json.loads(capsys.readouterr().out)
    assert document["a"]["recording"] == "proving-0" and document["per_kWh"] == 0.25
    assert any(row["key"] == "cost" for row in document["figures"])
    assert (tmp_path / "two.html").stat().st_size > 100_000


@pytest.mark.parametrize(
    ("words", "complaint"),
    [
        (("proving-0", "proving-0"), "same recording"),
        (("proving-0", "proving-9"), "no recording"),
        (("proving-0", "proving-1", -1.0), "price of 0 or more"),
    ],
)
def test_bad_requests_are_said_in_one_line(library, words, complaint):
    """One clear error each."""
    with pytest.raises(RequestError, match=complaint):
        compare.compare(words[0], words[1], library, *words[2:])


def test_a_page_that_cannot_be_written(library, tmp_path):
    """A missing folder is an error with a cure."""
    with pytest.raises(RequestError, match="another place for --html"):
        compare.compare("proving-0", "proving-1", library, None, tmp_path / "no" / "two.html")
