import re
from dataclasses import replace

import numpy as np
import pytest

from tests.strange_cars import record
from tests.suggest import morning
from tests.suggest.nameless import score, take_names_out
from thawline.errors import DatabaseError, SourceError
from thawline.signals.database import read_database
from thawline.simulator.demo import mornings, vehicle
from thawline.simulator.run import simulate
from thawline.simulator.write import Written, write
from thawline.suggest.candidate import Candidate, Habits
from thawline.suggest.propose import propose, propose_from
from thawline.suggest.read_logs import read_logs

ENERGY = {"gannet": 72.0, "petrel": 58.0}


@pytest.fixture(scope="module")
def demo(tmp_path_factory) -> dict[str, Written]:
    """One morning of each vehicle of the demo."""
    folder = tmp_path_factory.mktemp("demo")
    written = {}
    for name, scenario in mornings():
        if scenario.name in ("gannet-quay", "petrel-ferry"):
            build, layout = vehicle(name)
            written[name] = write(simulate(build, scenario), layout, folder, 60.0)
    return written


def still(written: Written) -> set[str]:
    """Signals that never move in a log."""
    scene = read_logs([written.log], read_database([written.database]))
    return {one.key for one in scene.candidates if one.spread == 0.0}


@pytest.mark.parametrize("name", ["gannet", "petrel"])
def test_a_demo_vehicle_with_its_names(demo, name):
    """At least 90 % of what is proposed is right, and 80 % of all that is mapped is proposed."""
    written = demo[name]
    found = propose([written.log], read_database([written.database]))
    got = score(found, written.vehicle_file, {}, set())
    assert got.precision >= 0.9, got.wrong
    assert got.recall >= 0.8


@pytest.mark.parametrize("name", ["gannet", "petrel"])
def test_a_database_whose_names_say_nothing(demo, name, tmp_path):
    """Physics alone: 90 % right, 80 % of what moves proposed, the energy within 5 %."""
    written = demo[name]
    text, keys = take_names_out(written.database.read_text(), 5, units=True)
    database = tmp_path / "nameless.dbc"
    database.write_text(text)
    found = propose([written.log], read_database([database]))
    new = {old: key for key, old in keys.items()}
    got = score(found, written.vehicle_file, keys, {new[key] for key in still(written)})
    assert got.precision >= 0.9, got.wrong
    assert got.recall >= 0.8
    assert found.usable_energy_kWh == pytest.approx(ENERGY[name], rel=0.05)


@pytest.mark.parametrize("name", ["gannet", "petrel"])
def test_without_names_and_units_nothing_is_guessed(demo, name, tmp_path):
    """The hard case: 90 % of what is proposed is right, with unit and sign; half is found."""
    written = demo[name]
    text, keys = take_names_out(written.database.read_text(), 9, units=False)
    database = tmp_path / "bare.dbc"
    database.write_text(text)
    found = propose([written.log], read_database([database]))
    new = {old: key for key, old in keys.items()}
    got = score(found, written.vehicle_file, keys, {new[key] for key in still(written)})
    assert got.recall >= 0.5
    assert got.precision >= 0.9, got.wrong


@pytest.mark.parametrize("seed", [28, 34])
def test_a_car_that_nobody_has_seen(seed, tmp_path):
    """A car drawn at random, without names: what is proposed is right."""
    written = record(seed, tmp_path)
    text, keys = take_names_out(written.database.read_text("cp1252"), seed, units=True)
    database = tmp_path / "nameless.dbc"
    database.write_text(text, "cp1252")
    found = propose([written.log], read_database([database]))
    got = score(found, written.vehicle_file, keys, set())
    assert got.precision >= 0.9, got.wrong
    assert got.right >= 15


@pytest.mark.slow
@pytest.mark.parametrize(("units", "least"), [(True, 0.8), (False, 0.7)])
def test_many_cars_that_nobody_has_seen(tmp_path, units, least):
    """Over thirty cars drawn at random, without names, nine tenths of all proposals are right.

    Of what moves, eight tenths are proposed, and seven where no unit is stated either.
    """
    proposed = right = needed = 0
    for seed in range(100, 130):
        written = record(seed, tmp_path / str(seed))
        text, keys = take_names_out(written.database.read_text("cp1252"), seed, units=units)
        database = tmp_path / f"{seed}.dbc"
        database.write_text(text, "cp1252")
        found = propose([written.log], read_database([database]))
        new = {old: key for key, old in keys.items()}
        got = score(found, written.vehicle_file, keys, {new[key] for key in still(written)})
        proposed, right, needed = proposed + got.proposed, right + got.right, needed + got.needed
    assert right >= 0.9 * proposed
    assert right >= least * needed


def test_a_morning_of_plain_lumps_is_told_whole():
    """Every curve of a car that is no product of the simulator finds its path; 60 kWh."""
    scene, keys = morning.scene()
    found = propose_from(scene)
    assert {one.from_: one.path for one in found.proposals} == keys
    assert found.usable_energy_kWh == pytest.approx(morning.ENERGY_KWH, rel=0.02)
    assert found.drive_units == 1


def test_the_sign_of_the_current_is_told():
    """This bus counts discharge positive; the voltage and the charge both say so."""
    scene, _ = morning.scene()
    signs = {one.path: one.sign for one in propose_from(scene).proposals}
    assert signs[morning.PATHS["current"]] == -1
    assert [path for path, sign in signs.items() if sign < 0] == [morning.PATHS["current"]]


@pytest.mark.parametrize(
    "missing", ["current", "voltage", "winding", "inlet", "supply_amps", "heat"]
)
def test_a_missing_signal_is_not_replaced_by_a_wrong_one(missing):
    """Without one of the signals that others are told by, what is proposed is right still."""
    scene, keys = morning.scene(without=(missing,))
    found = propose_from(scene)
    wrong = [one for one in found.proposals if keys[one.from_] != one.path]
    assert len(wrong) <= 0.1 * len(found.proposals), [(w.path, keys[w.from_]) for w in wrong]


def test_what_is_left_out_says_why():
    """A counter, noise and a constant are left out, each with its reason."""
    scene, _ = morning.scene()
    n = len(scene)
    random = np.random.default_rng(1)
    counter = Candidate("M.Turn", "", np.arange(n) % 16.0, habits=Habits(n, 1.0, 0.8, 1.0))
    noise = Candidate("M.Sum", "", random.uniform(0, 255, n), habits=Habits(n, 0.99, 1.0, 0.0))
    level = Candidate("M.Fixed", "bar", np.full(n, 3.0), codes=(3.0,), habits=Habits(n))
    more = replace(scene, candidates=(*scene.candidates, counter, noise, level))
    why = {one.from_: one.why for one in propose_from(more).left_out}
    assert "counter" in why["M.Turn"]
    assert "unrelated" in why["M.Sum"]
    assert "never changes (3 bar)" in why["M.Fixed"]


def test_a_log_and_a_database_that_do_not_belong_together(demo, tmp_path):
    """One clear error, as everywhere."""
    numbers = iter(range(1900, 2000))
    kept = [
        re.sub(r"^BO_ \d+ ", lambda _: f"BO_ {next(numbers)} ", line)
        for line in demo["petrel"].database.read_text().splitlines()
        if not line.startswith(("VAL_", "SIG_V"))
    ]
    wrong = tmp_path / "wrong.dbc"
    wrong.write_text("\n".join(kept) + "\n")
    with pytest.raises(DatabaseError, match=r"none of its \d+ frames has an identifier"):
        propose([demo["gannet"].log], read_database([wrong]))
    with pytest.raises(SourceError, match="does not exist"):
        propose([tmp_path / "none.log"], read_database([wrong]))
