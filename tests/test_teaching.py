"""What a library's other recordings teach is learned once, and never from the one explained."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from tests.charge.proving import mornings
from thawline.library.add import add_recording
from thawline.library.library import open_library
from thawline.teaching import FOLDER, known_limits, names_before
from thawline.walk import explain_kept


@pytest.fixture(scope="module")
def library(tmp_path_factory):
    opened = open_library(tmp_path_factory.mktemp("library"))
    for number, (_, recording) in enumerate(mornings()[:3]):
        add_recording(opened, replace(recording, id=f"morning-{number}"), f"key-{number}")
    return opened


def test_the_recording_itself_is_left_out(library):
    """A morning is told from the others."""
    name = mornings()[0][1].vehicle.name
    assert set(names_before(library, name, but=("morning-0",))) == {"morning-1", "morning-2"}
    explained = explain_kept(library, "morning-0")
    assert "morning-0" not in explained.known.recordings
    assert explained.known.charging.mornings == 2


def test_what_is_kept_is_read_back(library, monkeypatch):
    """The second time nothing is loaded, and the curves are the same."""
    name = mornings()[0][1].vehicle.name
    first = known_limits(library, name)

    def never(*_):
        raise AssertionError("it was learned twice")

    monkeypatch.setattr("thawline.teaching.load", never)
    again = known_limits(library, name)
    assert np.array_equal(first.charging.kW, again.charging.kW)
    assert first.regeneration.from_degC == again.regeneration.from_degC


def test_a_damaged_file_is_learned_anew(library):
    """What is not as it should be counts as not kept."""
    name = mornings()[0][1].vehicle.name
    first = known_limits(library, name)
    for path in (library.folder / FOLDER).glob("*.json"):
        path.write_text(json.dumps({"recordings": 3}), "utf-8")
    again = known_limits(library, name)
    assert np.array_equal(first.charging.kW, again.charging.kW)


def test_no_other_recording_teaches_nothing(library):
    """Of a vehicle with no recording nothing is known."""
    assert known_limits(library, "Petrel") is None
