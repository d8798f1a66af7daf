"""What-ifs on the fitted model, against the simulator where the same change is made."""

from dataclasses import replace

import numpy as np
import pytest

from tests.simulator.made import gannet, plain
from thawline.errors import RequestError
from thawline.library.library import open_library
from thawline.recording.flows import make_flows
from thawline.simulating import what_if
from thawline.simulator.demo import vehicle
from thawline.simulator.run import simulate
from thawline.simulator.write import write
from thawline.story.tell import tell
from thawline.walk import add
from thawline.warmup.fit import fit
from thawline.whatif.again import run_again
from thawline.whatif.change import Change


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    """Half an hour of a simulated morning from its bus log, fitted; its library; its scenario."""
    folder = tmp_path_factory.mktemp("again")
    scenario = plain(duration_s=2700.0, ambient_degC=-6.0, soak_degC=-6.0)
    written = write(simulate(gannet(), scenario), vehicle("gannet")[1], folder)
    library = open_library(folder / "library")
    recording = add([written.log], [written.database], written.vehicle_file, library).recording
    flows = make_flows(recording)
    story = tell(recording, flows)
    return recording, flows, story, fit(recording, flows, story, None), library, scenario


def asked(kept, **given):
    recording, flows, story, model, _, _ = kept
    return run_again(recording, flows, story, model, None, Change(**given), 0.3)


def came(side, kind):
    return next(each for each in side.comes if each.kind == kind)


def test_two_kelvins_colder_comes_when_the_simulator_has_it(kept):
    """The simulator's thaw lies in a band of the model's, widened by a tenth of the time."""
    scenario = kept[-1]
    found = asked(kept, colder_K=2.0)
    colder = replace(scenario, ambient_degC=-8.0, soak_degC=-8.0, duration_s=5400.0)
    truth = next(p for p in simulate(gannet(), colder).truth.points
                 if p.kind == "coldest-cell-thaws")  # fmt: skip
    point = came(found.after, "coldest-cell-thaws")
    assert point.p10_s is not None
    assert point.p90_s is not None
    assert 0.9 * point.p10_s <= truth.t_s <= 1.1 * point.p90_s


def test_colder_is_later_and_dearer(kept):
    """And warmer the other way round."""
    middles = []
    for kelvin in (-2.0, 2.0, 4.0):
        found = asked(kept, colder_K=kelvin)
        middles.append(came(found.after, "coldest-cell-thaws").p50_s)
    assert middles == sorted(middles)
    assert middles[0] < came(found.before, "coldest-cell-thaws").p50_s < middles[1]


def test_fewer_units_heat_less_and_the_pack_helps_a_weak_supply(kept):
    """One unit of two gives half; this car heats with more than its supply gives."""
    weak = asked(kept, supply_kW=2.4)
    assert any("pack adds what" in words for words in weak.assumes)
    assert weak.after.heat_kW.max() == pytest.approx(weak.before.heat_kW.max(), rel=0.05)
    one = asked(kept, drive_units=1)
    assert one.after.heat_kW.max() == pytest.approx(one.before.heat_kW.max() / 2.0, rel=0.05)
    assert np.all(one.after.coldest_degC[1] <= one.before.coldest_degC[1] + 0.5)


def test_a_car_from_a_garage_begins_warm(kept):
    """At the garage's temperature, and what must thaw is thawed at once."""
    found = asked(kept, garage_degC=6.0)
    assert found.after.coldest_degC[1][0] == pytest.approx(6.0, abs=0.5)
    assert came(found.after, "coldest-cell-thaws").p50_s <= 60.0


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({}, "nothing is changed"),
        ({"colder_K": 80.0}, r"colder \(=80\)"),
        ({"supply_kW": -1.0}, r"supply \(=-1\)"),
        ({"garage_degC": 8.0, "colder_K": 2.0}, "a garage and colder"),
        ({"garage_degC": 90.0}, r"garage \(=90\)"),
        ({"drive_units": 0}, r"drive units \(=0\)"),
    ],
)
def test_a_change_that_cannot_be_is_refused(kept, given, said):
    """With its value."""
    with pytest.raises(RequestError, match=said):
        what_if(kept[4], kept[0].id, Change(**given))
