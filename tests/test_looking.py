"""The walk ahead: own mornings first, then others of the model, then what is usual."""

import json
from dataclasses import replace

import pytest

from tests.forecast.test_from_fleet import TOLD
from tests.warmup.proving_car import Build, Morning, record
from thawline.errors import RequestError
from thawline.library.add import add_recording
from thawline.library.library import open_library
from thawline.looking import forecast, learn_earlier
from thawline.teaching import FLEET, FLEET_LAYOUT, FOLDER
from thawline.trends.measure import model_of


@pytest.fixture(scope="module")
def library(tmp_path_factory):
    """Two mornings of a vehicle, a day apart."""
    made, _ = record(Build(), Morning(duration_s=2400.0))
    opened = open_library(tmp_path_factory.mktemp("ahead"))
    for day in range(2):
        one = replace(made, id=f"day-{day}", starts_at=1.7e9 + 86_400.0 * day)
        add_recording(opened, one, f"{day:064d}")
    return opened, made


def file_of(vehicle, folder):
    path = folder / "priors.json"
    told = {"layout": FLEET_LAYOUT, "vehicles": {}, "models": {model_of(vehicle): TOLD}}
    path.write_text(json.dumps(told), "utf-8")
    return path


def test_a_first_morning_says_that_others_of_its_model_showed_its_limits(library, tmp_path):
    """Until a run over the library knows the model it is common practice; then it says whose."""
    opened, made = library
    path = file_of(made.vehicle, tmp_path)

    def regeneration(**more):
        found = forecast(opened, "day-0", 400.0, **more)
        return next(p for p in found.turning_points if p.kind == "regeneration-returns")

    assert "others of its model" not in regeneration().because
    named = regeneration(priors=path)
    assert "−0.4" in named.because and "as others of its model showed" in named.because
    kept = opened.folder / FOLDER / FLEET
    kept.parent.mkdir(exist_ok=True)
    kept.write_bytes(path.read_bytes())
    try:
        again = regeneration()
        assert (again.because, again.p50_s) == (named.because, named.p50_s)
        earlier = learn_earlier(opened, replace(made, id="day-0", starts_at=1.7e9))
        assert earlier.names == () and earlier.prior.mornings == TOLD["warm_up"]["mornings"]
    finally:
        kept.unlink()


def test_own_mornings_outrank_others_of_the_model(library, tmp_path):
    """The limit that the day before showed is kept; its fit begins from the model's prior."""
    opened, made = library
    second = replace(made, id="day-1", starts_at=1.7e9 + 86_400.0)
    alone = learn_earlier(opened, second)
    taught = learn_earlier(opened, second, file_of(made.vehicle, tmp_path))
    assert taught.names == alone.names == ("day-0",)
    assert alone.limits.regeneration.origin == "learned"
    assert taught.limits.regeneration == alone.limits.regeneration
    assert taught.prior.mornings == 1 and taught.prior.names == alone.prior.names


def test_a_file_that_is_none_is_refused(library, tmp_path):
    """It is named, with a cure."""
    opened, _ = library
    with pytest.raises(RequestError, match=r"nothing\.json.*thawline fleet"):
        forecast(opened, "day-0", 400.0, priors=tmp_path / "nothing.json")
