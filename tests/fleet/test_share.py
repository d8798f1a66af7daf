"""What a vehicle takes from others of its model never counts its own mornings."""

import json
from dataclasses import replace

import numpy as np
import pytest

from tests.ledger.made import recording
from thawline.errors import RequestError
from thawline.fleet.borrow_limits import borrow_limits
from thawline.fleet.fleet import Fleet, Shared
from thawline.fleet.pool import pool
from thawline.fleet.share import keep_shared, priors_document, shared_of
from thawline.library.library import open_library
from thawline.teaching import taught_by_others


def limit(from_degC, slope, mornings=5, until_K=6.0, origin="limit signal"):
    above = np.arange(0.25, until_K, 0.5)
    return {
        "origin": origin, "against": "coldest cell", "from_degC": from_degC,
        "from_sigma_K": 0.1, "mornings": mornings, "degC": (from_degC + above).tolist(),
        "kW": (0.5 + slope * above).tolist(), "sigma_kW": [0.1] * len(above),
    }  # fmt: skip


def fleet_of(limits, models):
    _, allowed = borrow_limits(limits, models)
    return shared_of(models, Shared({}, {}), allowed)


def test_others_mean_is_the_pool_without_the_vehicle():
    """Given the spread, leaving one out is the same sum without it (Gelman and Hill 12.1)."""
    values, sigmas = np.array([1.0, 1.4, 0.8, 3.0]), np.array([0.1, 0.2, 0.1, 0.3])
    found = pool(
        [np.array([[s**-2.0]]) for s in sigmas],
        [np.array([v / s**2]) for v, s in zip(values, sigmas, strict=True)],
        np.zeros(1), np.array([np.inf]), np.array([0.3]),
    )  # fmt: skip
    weights = 1.0 / (sigmas**2 + found.spread[0] ** 2)
    for i in range(4):
        others = np.arange(4) != i
        mean = np.average(values[others], weights=weights[others])
        assert found.others_mean[i, 0] == pytest.approx(mean, rel=1e-6)
        variance = 1.0 / np.sum(weights[others])
        assert found.others_covariance[i, 0, 0] == pytest.approx(variance, rel=1e-6)


def test_a_vehicle_takes_the_others_threshold_and_curve():
    """Three agree and one is odd: the odd one is told what the three show, not itself."""
    limits = {f"Petrel {i}": {"charging": limit(0.5, 4.0), "regeneration": None} for i in range(3)}
    limits["Petrel 3"] = {"charging": limit(4.0, 1.0), "regeneration": None}
    told = fleet_of(limits, dict.fromkeys(limits, "ferry"))["vehicles"]
    odd, sound = (told[name]["limits"]["charging"] for name in ("petrel 3", "petrel 0"))
    assert odd["from_degC"] == pytest.approx(0.5) and odd["vehicles"] == 3
    assert np.interp(3.0, odd["above_K"], odd["kW"]) == pytest.approx(0.5 + 4.0 * 3.0, rel=0.02)
    assert sound["from_degC"] > 0.6 and sound["sigma"] > odd["sigma"]
    assert "regeneration" not in told["petrel 3"]["limits"]


def test_the_only_vehicle_of_a_model_has_no_others():
    """It takes nothing from itself; a new one of its model takes what it showed."""
    limits = {"Petrel 0": {"charging": limit(0.5, 4.0), "regeneration": None}}
    told = fleet_of(limits, {"Petrel 0": "ferry"})
    assert told["vehicles"]["petrel 0"]["limits"] == {}
    assert told["models"]["ferry"]["limits"]["charging"]["from_degC"] == pytest.approx(0.5)


def test_curves_of_what_was_achieved_teach_no_limit():
    """They are lower bounds; the threshold may still be known."""
    limits = {f"Petrel {i}": {"charging": limit(0.5, 4.0, origin="achieved"),
                              "regeneration": None} for i in range(3)}  # fmt: skip
    told = fleet_of(limits, dict.fromkeys(limits, "ferry"))["models"]["ferry"]
    assert told["limits"]["charging"]["above_K"] == []


@pytest.fixture
def found():
    limits = {f"Petrel {i}": {"charging": limit(0.5, 4.0), "regeneration": None} for i in range(3)}
    models = dict.fromkeys(limits, "ferry")
    return Fleet("here", "code", (), {}, (), (), shared=fleet_of(limits, models))


def test_a_library_keeps_what_its_last_run_taught(tmp_path, found):
    """A vehicle of the fleet is known by name and model, a new one by its model, else nothing."""
    library = open_library(tmp_path)
    vehicle = replace(recording({}).vehicle, name="PETREL 1", model="ferry")
    assert taught_by_others(library, vehicle) is None
    keep_shared(library, found)
    told = taught_by_others(library, vehicle)
    assert told["limits"]["charging"]["vehicles"] == 2
    new = taught_by_others(library, replace(vehicle, name="Petrel 9"))
    assert new["limits"]["charging"]["vehicles"] == 3
    assert taught_by_others(library, replace(vehicle, model="tug")) is None


def test_a_file_that_is_named_must_be_one(tmp_path, found):
    """What lies in the library and is damaged counts as none; a named file is refused."""
    library = open_library(tmp_path)
    vehicle = replace(recording({}).vehicle, name="Petrel 1", model="ferry")
    keep_shared(library, found)
    (library.folder / "learned" / "fleet.json").write_text('{"layout": 99}', "utf-8")
    assert taught_by_others(library, vehicle) is None
    file = tmp_path / "priors.json"
    with pytest.raises(RequestError, match=r"priors\.json.*thawline fleet"):
        taught_by_others(library, vehicle, file)
    file.write_text("[]", "utf-8")
    with pytest.raises(RequestError, match=r"priors\.json.*thawline fleet"):
        taught_by_others(library, vehicle, file)
    file.write_text(json.dumps(priors_document(found)), "utf-8")
    assert taught_by_others(library, vehicle, file)["limits"]
