"""`thawline simulate`, as a person types it."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.running import document, thawline
from tests.strange_cars import strange_car
from thawline.errors import RequestError
from thawline.signals.catalogue import find_signal
from thawline.simulating import simulate_build
from thawline.simulator.charger import Supply
from thawline.simulator.usual_bus import usual_bus
from thawline.whatif.change import Change


def test_a_simulated_log_is_run_again_colder(tmp_path):
    """A car's log is written, kept, and run again on its model; the page stands by itself."""
    files = document("simulate", "--build", "gannet", "--out", tmp_path / "logs")
    library = tmp_path / "library"
    options = ("--database", files["database"], "--vehicle", files["vehicle_file"])
    added = document("add", files["log"], *options, library=library)
    name = added["recordings"][0]["id"]
    page = tmp_path / "page.html"
    told = document("simulate", name, "--colder", "4", "--html", page, library=library)
    before, after = (
        next(p for p in told[side]["turning_points"] if p["kind"] == "coldest-cell-thaws")
        for side in ("before", "after")
    )
    assert before["p50_s"] < after["p50_s"]
    assert (
        told["before"]["energy_kWh"]["pack-heating"] < told["after"]["energy_kWh"]["pack-heating"]
    )
    text = page.read_text(encoding="utf-8").replace("\N{NO-BREAK SPACE}", " ")
    assert "4 K colder" in text.replace("\N{NARROW NO-BREAK SPACE}", " ")


HERON = """
name = "Heron"
port = "Left"
[pack]
energy_kWh = 40.0
cells_in_series = 96
chemistry = "NMC"
heat_capacity_kJ_per_K = 260.0
resistance_mOhm = 90.0
modules = 8
[drive_units]
positions = ["Front"]
[cabin]
heaters_W = { Main = 4500.0 }
"""


def test_a_cars_own_file_becomes_a_kept_morning_and_two_first_trips(tmp_path):
    """Its bus is laid out, its faults find their places, and leaving cold costs more."""
    car, library, page = tmp_path / "car.toml", tmp_path / "library", tmp_path / "page.html"
    car.write_text(HERON, encoding="utf-8")
    made = document(
        *("simulate", "--build", car, "--drive-units", "2", "--fault", "sensor-offset=2"),
        *("--seed", "4", "--add", "--out", tmp_path / "logs"),
        library=library,
    )
    (fault,) = made["faults"]
    vehicle = Path(made["vehicle_file"]).read_text(encoding="utf-8")
    assert f'[signals."{fault["where"]}"]' in vehicle
    assert vehicle.count(".StandstillHeat") == 2
    (kept,) = document("recordings", library=library)["recordings"]
    assert kept["id"] == made["recording"]
    words = ("simulate", made["recording"], "--price", "0.5")
    told = document(*words, "--leave-at", "3000", "--html", page, library=library)
    assert told["cold"]["pack_degC"] < told["warmed"]["pack_degC"]
    assert told["costs"]["kWh"]["mean"] > 0.0
    assert told["costs"]["money"]["mean"] > 0.0
    assert told["road"] == "skerrow-town"
    assert "first trip" in page.read_text(encoding="utf-8")
    same = document(*words, "--leave-at", "0", "--road", "coast-road", library=library)
    assert same["costs"]["kWh"]["mean"] == pytest.approx(0.0, abs=1e-9)
    late = thawline(*words, "--leave-at", "99999", library=library)
    assert late.returncode == 2
    assert "length of heron" in late.stderr


@pytest.mark.parametrize(
    ("was", "now", "said"),
    [
        ("energy_kWh = 40.0", "energy_kWh = -40.0", "energy_kWh"),
        ("modules = 8", "modles = 8", "modules"),
        ('"NMC"', '"NCM"', "NMC"),
        ("modules = 8", "modules = 8\nplate_W_per_K = 5e6", "all bounds"),
        ('["Front"]', "[]", "positions"),
        ('["Front"]', '["front left"]', "letters"),
        ('"Heron"', '"../Heron"', "cannot name a file"),
        ("heaters_W = { Main = 4500.0 }", "heaters_W = { Main = nan }", "heaters_W"),
    ],
)
def test_a_cars_file_that_cannot_be_is_refused(was, now, said, tmp_path):
    """With the place and the cure, and nothing written."""
    car = tmp_path / "car.toml"
    car.write_text(HERON.replace(was, now), encoding="utf-8")
    with pytest.raises(RequestError, match=said):
        simulate_build(str(car), Change(), tmp_path / "logs")
    assert not (tmp_path / "logs").exists()


def test_a_cars_own_file_is_never_written_over(tmp_path):
    """The vehicle file would have the same name in the same folder."""
    car = tmp_path / "heron.toml"
    car.write_text(HERON, encoding="utf-8")
    with pytest.raises(RequestError, match="written over"):
        simulate_build(str(car), Change(), tmp_path)
    assert car.read_text(encoding="utf-8") == HERON


@pytest.mark.parametrize("seed", range(6))
def test_any_cars_bus_is_laid_out_so_that_nothing_overlaps(seed):
    """Every signal is in the catalogue once, and has bits of its own; seeds differ."""
    build, _ = strange_car(seed)
    layout = usual_bus(build, Supply(230.0, 16.0, phases=3), seed)
    paths = [signal.path for message in layout.messages for signal in message.signals]
    assert len(paths) == len(set(paths))
    assert all(find_signal(path) for path in paths)
    identifiers = [message.identifier for message in layout.messages]
    assert len(identifiers) == len(set(identifiers))
    for message in layout.messages:
        assert 1 <= message.size <= 8
        taken = sum(signal.length for signal in message.signals)
        assert taken <= 8 * message.size
    assert layout != usual_bus(build, Supply(230.0, 16.0, phases=3), seed + 1)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "give a recording"),
        (("--build", "ganet"), "gannet"),
        (("--build", "gannet", "--fault", "weak-pmp"), "weak-pump"),
        (("--build", "gannet", "--drive-units", "0"), "drive units"),
        (("--build", "gannet", "--fault", "weak-pump=2"), "share"),
        (("--build", "gannet", "--fault", "dead-heater@Lft=1"), "Left"),
        (("--build", "no-such-car.toml"), "no-such-car.toml"),
        (("--build", "gannet", "--leave-at", "60"), "belong to a recording"),
        (("--build", "gannet", "--wind", "0"), "wind"),
        (("some-recording", "--add"), "--build"),
        (("some-recording", "--road", "coast-road"), "--leave-at"),
        (("some-recording", "--leave-at", "60", "--colder", "3"), "changed"),
        (("some-recording", "--leave-at", "60", "--road", "coast-rod"), "coast-road"),
        (("some-recording", "--wind", "2"), "--build"),
    ],
)
def test_what_cannot_be_is_refused(words, said, tmp_path):
    """With exit code 2 and the cure."""
    done = thawline("simulate", *words, library=tmp_path)
    assert done.returncode == 2
    assert said in done.stderr
