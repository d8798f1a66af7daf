"""What a recording says of itself, as plain data."""

import json

import numpy as np
import pytest
from hypothesis import given, settings

from tests.library.made import a_morning, recordings, vehicles
from thawline.library.document import document, gaps_from, plain, quality_from, vehicle_from


def through_json(told):
    return json.loads(json.dumps(told, default=plain))


@settings(max_examples=60, deadline=None)
@given(vehicles())
def test_any_vehicle_comes_back(vehicle):
    """Through JSON text, with every optional part."""
    recording = a_morning()
    told = document(type(recording)("r", vehicle, 0.0, 0.0, {}))
    assert vehicle_from(through_json(told)["vehicle"]) == vehicle


@settings(max_examples=30, deadline=None)
@given(recordings())
def test_any_quality_and_gaps_come_back(recording):
    """Through JSON text."""
    told = through_json(document(recording))
    assert quality_from(told["quality"]) == recording.quality
    assert gaps_from(told["gaps"]) == recording.gaps


def test_no_sample_is_in_it():
    """Samples are kept apart."""
    for channel in document(a_morning())["channels"]:
        assert "t" not in channel
        assert "values" not in channel


def test_a_field_that_a_later_version_adds_takes_its_default():
    """An old document lacks it; the contract's default stands in."""
    told = through_json(document(a_morning()))
    del told["vehicle"]["pack"]["heat_loss_W_per_K"]
    assert vehicle_from(told["vehicle"]).pack.heat_loss_W_per_K is None


def test_what_json_does_not_know_is_refused_in_words():
    """NumPy's numbers become Python's; anything else is a mistake of the program."""
    assert plain(np.int64(3)) == 3
    with pytest.raises(TypeError, match="a set cannot be kept"):
        plain({1})
