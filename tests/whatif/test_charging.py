"""Supply, charging and energy of a what-if, on a car whose pack does not help its heating."""

from dataclasses import replace

import numpy as np
import pytest

from tests.simulator.made import gannet, plain
from thawline.forecast.allowed import TemperatureLimit
from thawline.forecast.under import steady
from thawline.library.library import open_library
from thawline.recording.flows import make_flows
from thawline.simulator.demo import vehicle
from thawline.simulator.run import simulate
from thawline.simulator.write import write
from thawline.story.tell import tell
from thawline.walk import add
from thawline.warmup.fit import fit
from thawline.whatif.again import run_again
from thawline.whatif.change import Change
from thawline.whatif.charging import Feeding, charge
from thawline.whatif.energy import cost_of, energies

WENT = ("pack-heating", "cabin-heating", "other-loads", "charger-loss", "into-pack")


def unhelped():
    """A Gannet whose pack adds nothing to what the supply gives."""
    build = gannet()
    return replace(build, conditioning=replace(build.conditioning, pack_help_kW=0.0))


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    """An hour of its morning from its bus log, fitted, with its scenario."""
    folder = tmp_path_factory.mktemp("charging")
    scenario = plain(duration_s=3600.0, ambient_degC=-6.0, soak_degC=-6.0)
    written = write(simulate(unhelped(), scenario), vehicle("gannet")[1], folder)
    library = open_library(folder / "library")
    recording = add([written.log], [written.database], written.vehicle_file, library).recording
    flows = make_flows(recording)
    story = tell(recording, flows)
    return recording, flows, story, fit(recording, flows, story, None), scenario


def asked(kept, **given):
    recording, flows, story, model, _ = kept
    return run_again(recording, flows, story, model, None, Change(**given), 0.3)


def came(side, kind):
    return next(each.p50_s for each in side.comes if each.kind == kind)


def simulated(scenario, kind):
    points = simulate(unhelped(), scenario).truth.points
    return next(point.t_s for point in points if point.kind == kind)


@pytest.mark.parametrize("kind", ["coldest-cell-thaws", "charging-begins"])
def test_a_weaker_supply_comes_when_the_simulator_has_it(kept, kind):
    """Heat is bounded by the supply; thaw and charging come within a tenth of the time."""
    scenario = kept[-1]
    found = asked(kept, supply_kW=2.4)
    weak = replace(scenario.supply, amps=2400.0 / scenario.supply.volts)
    truth = simulated(replace(scenario, supply=weak, duration_s=5400.0), kind)
    assert came(found.after, kind) == pytest.approx(truth, rel=0.1)
    assert came(found.before, kind) < 0.8 * truth


def test_colder_charges_when_the_simulator_does(kept):
    """Two kelvins colder: charging begins within a tenth of the time."""
    scenario = kept[-1]
    found = asked(kept, colder_K=2.0)
    colder = replace(scenario, ambient_degC=-8.0, soak_degC=-8.0, duration_s=5400.0)
    truth = simulated(colder, "charging-begins")
    assert came(found.after, "charging-begins") == pytest.approx(truth, rel=0.1)


def test_more_units_give_no_more_than_the_supply(kept):
    """Four units instead of two heat as two did, with all that the supply gives."""
    found = asked(kept, drive_units=4)
    assert any("pack adds nothing" in words for words in found.assumes)
    assert found.after.heat_kW.max() == pytest.approx(found.before.heat_kW.max(), rel=0.03)
    wide = asked(kept, drive_units=4, supply_kW=11.0)
    assert wide.after.heat_kW.max() > 1.5 * found.after.heat_kW.max()


def test_as_it_was_agrees_with_the_recording(kept):
    """The model's charging, computed for nothing changed, begins when the recorded one did."""
    told = {point.kind: point.t_s for point in kept[2].turning_points}
    found = asked(kept, no_cabin=True)
    assert came(found.before, "charging-begins") == pytest.approx(told["charging-begins"], rel=0.1)
    assert came(found.before, "charger-at-full-power") == pytest.approx(
        told["charger-at-full-power"], abs=60.0
    )
    pack = kept[1].flows["pack"].kW
    put = float(np.nansum(np.maximum(pack, 0.0))) / 3600.0
    assert found.before.energy_kWh["into-pack"] == pytest.approx(put, rel=0.1)
    drawn = float(np.nansum(kept[1].flows["supply"].kW)) / 3600.0
    assert found.before.energy_kWh["from-supply"] == pytest.approx(drawn, rel=0.05)


@pytest.mark.parametrize("given", [{"colder_K": 4.0}, {"supply_kW": 2.4}, {"supply_kW": 0.0}])
def test_what_came_went_somewhere(kept, given):
    """Supply and pack give what everything takes (conservation of energy)."""
    found = asked(kept, **given)
    for side in (found.before, found.after):
        came_kWh = side.energy_kWh["from-supply"] + side.energy_kWh["from-pack"]
        assert came_kWh == pytest.approx(sum(side.energy_kWh[line] for line in WENT), abs=0.01)


def test_colder_costs_more(kept):
    """More heat for the same goal, and what is left in the pack is no cost."""
    found = asked(kept, colder_K=4.0)
    assert found.after.cost > 1.05 * found.before.cost


def feeding(**given):
    row = np.ones(60)
    same = Feeding(row > 0.0, row > 0.0, 0.5 * row, 5.0, 4.0, 0.9, np.inf, False, 0.0, 0.0 * row)
    return replace(same, **given)


SURE = TemperatureLimit(0.0, 0.0, (0.0, 10.0), (0.0, 10.0), 0.0, "learned")


@pytest.mark.parametrize(
    ("coldest", "given", "kW"),
    [
        (-1.0, {}, 0.0),
        (1.0, {}, 1.0),
        (8.0, {}, 0.9 * 4.0 - 0.5 - 1.0),
        (8.0, {"ceiling_kW": 2.0}, 0.9 * 2.0 - 0.5 - 1.0),
        (8.0, {"ceiling_kW": 1.0}, 0.0),
        (8.0, {"wanted": np.zeros(60, dtype=bool)}, 0.0),
    ],
)
def test_charging_is_the_least_of_limit_supply_and_charger(coldest, given, kW):
    """One kilowatt of heat and half a one of loads come first, by hand."""
    done = steady(60.0, 60, outside_degC=0.0, drive_kW=1.0)
    put = charge(feeding(**given), SURE, np.full((61, 2), coldest), done, np.random.default_rng(0))
    assert put == pytest.approx(np.full((60, 2), kW))


def test_charging_ends_when_the_pack_is_full():
    """An hour with room for one kilowatt hour."""
    done = steady(60.0, 60, outside_degC=0.0)
    put = charge(feeding(room_kWh=1.0), SURE, np.full((61, 1), 8.0), done, np.random.default_rng(0))
    assert put.sum() / 60.0 == pytest.approx(1.0)
    assert put[-1] == 0.0


def test_cost_leaves_out_what_is_left_in_the_pack():
    """One kilowatt of heat for an hour costs 1.5 kWh through 90 %, however much is charged."""
    done = steady(60.0, 60, outside_degC=0.0, drive_kW=1.0)
    costs = []
    for put in (0.0, 1.5):
        found = energies(feeding(), done, np.full((60, 1), put), 60)
        costs.append(cost_of(found, 0.9, 0.3))
    assert costs == pytest.approx([0.3 * 1.5 / 0.9] * 2)
