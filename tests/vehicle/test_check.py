"""What a vehicle file makes possible."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.vehicle.files import BATTERY, CHARGING, HEAD, WHOLE, database, mapping
from thawline.errors import VehicleFileError
from thawline.signals.catalogue import catalogue
from thawline.sources.table import Column, Table
from thawline.vehicle.check import check
from thawline.vehicle.read import read_vehicle_text

PHASE = [CHARGING + "ChargeCurrent.Phase1", CHARGING + "ChargeVoltage.Phase1"]
PACK = [BATTERY + "CurrentCurrent", BATTERY + "CurrentVoltage"]
REAR = "Powertrain.ElectricMotor.Rear."
EVERYTHING = [p.replace("<Position>", "Rear").replace("<Name>", "Ptc") for p in catalogue()]
RANK = {"cannot": 0, "can_roughly": 1, "can": 2}


def told(*paths, more=""):
    """The capabilities of a vehicle file that maps these paths, by group and name."""
    result = check(read_vehicle_text(mapping(*paths, more=more), "car.toml"), None, None)
    return {(each.group, each.name): each for each in result.capabilities}


def test_nothing_mapped_tells_nothing_but_priors():
    """Gaps are always told; the base load has a prior; all else says what to add."""
    found = told()
    assert {names for names, each in found.items() if each.verdict == "can"} == {
        ("lane", "no-data")
    }
    assert [names for names, each in found.items() if each.verdict == "can_roughly"] == [
        ("electrical", "other-loads")
    ]
    for each in found.values():
        if each.verdict == "cannot":
            assert each.because.startswith("not in the vehicle file: ")
            assert each.cure.endswith(", for instance")
            assert each.how == ""


def test_everything_mapped_leaves_only_priors():
    """What stays rough names its prior, and nothing more can be added."""
    found = told(*EVERYTHING, more="cells_in_series = 108\n")
    rough = {names: each for names, each in found.items() if each.verdict == "can_roughly"}
    assert set(rough) == {
        ("heat", "cell-resistance"),
        ("heat", "stored-in-pack"),
        ("heat", "coolant-into-pack"),
        ("heat", "pack-to-ambient"),
        ("heat", "stored-elsewhere"),
        ("heat", "unaccounted"),
    }
    assert "cannot" not in {each.verdict for each in found.values()}
    assert rough["heat", "coolant-into-pack"].cure == "give [coolant] glycol_mass_fraction"
    assert rough["heat", "stored-in-pack"].because == (
        "a usual heat capacity for a pack of its energy stands in"
    )


@pytest.mark.parametrize(
    ("paths", "more", "verdict", "because"),
    [
        (PHASE, "", "can", ""),
        (PHASE[:1], "", "cannot", "supply voltage of phase 1"),
        ([CHARGING + "SupplyEnergy"], "", "can", ""),
        ([CHARGING + "OutputPower"], "", "can_roughly", "a usual efficiency"),
        ([CHARGING + "OutputPower"], "[charger]\nefficiency = 0.9\n", "can_roughly", "a prior"),
        ([CHARGING + "OutputPower", CHARGING + "PowerLoss"], "", "can", ""),
        ([CHARGING + "ChargeCurrent.DC", PACK[1]], "", "can", ""),
        ([CHARGING + "ChargeCurrent.Phase3", CHARGING + "ChargeVoltage.Phase3"], "", "can", ""),
    ],
)
def test_alternatives_for_the_supply(paths, more, verdict, because):
    """Currents and voltages, a count, the charger's output with its loss or an efficiency."""
    found = told(*paths, more=more)["electrical", "supply"]
    assert found.verdict == verdict
    assert because in found.because


@pytest.mark.parametrize(
    ("paths", "more", "verdict"),
    [
        (PACK, "", "can"),
        ([BATTERY + "CurrentPower"], "", "can"),
        ([PACK[0], BATTERY + "CellVoltage.Max"], "", "cannot"),
        ([PACK[0], BATTERY + "CellVoltage.Max"], "cells_in_series = 108\n", "can_roughly"),
    ],
)
def test_alternatives_for_the_pack(paths, more, verdict):
    """Current × voltage, power, or current × cell voltage × cells."""
    assert told(*paths, more=more)["electrical", "pack-in"].verdict == verdict


def test_the_mean_stands_in_for_the_coldest_cell():
    """Roughly, and says so; the cure is the coldest cell."""
    found = told(BATTERY + "Temperature.Average")["turning-point", "coldest-cell-thaws"]
    assert found.verdict == "can_roughly"
    assert found.because == "the pack's mean stands for the coldest cell and thaws earlier"
    assert found.cure == f"map {BATTERY}Temperature.Min"


def test_a_key_of_the_vehicle_file_can_be_the_cure():
    """Everything of the coolant is mapped; what share of it is glycol only the file can say."""
    name = ("heat", "coolant-into-pack")
    coolant = [BATTERY + "Coolant." + x for x in ("Flow", "InletTemperature", "OutletTemperature")]
    assert told(*coolant)[name].cure == "give [coolant] glycol_mass_fraction"
    given = told(*coolant, more="[coolant]\nglycol_mass_fraction = 0.5\n")[name]
    assert given.verdict == "can"


@settings(max_examples=60, deadline=None)
@given(st.lists(st.sampled_from(EVERYTHING), unique=True), st.sampled_from(EVERYTHING))
def test_one_more_signal_never_tells_less(paths, one_more):
    """Whatever is mapped already."""
    before, after = told(*paths), told(*dict.fromkeys([*paths, one_more]))
    for names, each in before.items():
        assert RANK[after[names].verdict] >= RANK[each.verdict], names


@settings(max_examples=40, deadline=None)
@given(st.lists(st.sampled_from(EVERYTHING), unique=True, max_size=12))
def test_the_cure_cures(paths):
    """What is advised for something that cannot be told makes it possible, and more of what can."""
    for names, each in told(*paths).items():
        if not each.cure:
            assert each.verdict != "cannot"
            continue
        advised = each.cure.removesuffix(", for instance").replace("<Position>", "Rear")
        signals, _, given = advised.replace("<Name>", "Ptc").partition("give ")
        new = [part for part in signals.removeprefix("map ").split(" and ") if part]
        keys = {
            "[pack] cells_in_series": "cells_in_series = 108\n",
            "[charger] rated_kW": "[charger]\nrated_kW = 11\n",
            "[coolant] glycol_mass_fraction": "[coolant]\nglycol_mass_fraction = 0.5\n",
            "[cabin] comfortable_from_degC": "[cabin]\ncomfortable_from_degC = 18\n",
        }
        more = "".join(keys[key] for key in given.split(" and ") if key)
        after = told(*dict.fromkeys([*paths, *new]), more=more)[names]
        assert RANK[after.verdict] > RANK[each.verdict], (names, each.cure)


def test_a_signal_that_the_log_lacks_does_not_count():
    """Mapped, but never seen: as good as missing, and told."""
    vehicle = read_vehicle_text(mapping("Speed"), "car.toml")
    log = Table({"column 1": Column(np.arange(2.0), np.ones(2))}, is_epoch=False, rows=2)
    result = check(vehicle, None, [log])
    verdicts = {(each.group, each.name): each.verdict for each in result.capabilities}
    assert verdicts["lane", "driving"] == "cannot"
    assert [finding.kind for finding in result.findings] == ["not-in-log"]


def test_findings_of_all_kinds_come_together():
    """Of the file itself, of the database, and of what is implausible."""
    text = (
        f"{HEAD}heat_capacity_kJ_per_K = 5000\nfoo = 1\n"
        f'[signals."{PACK[0]}"]\nfrom = "PackPower.Current"\nunit = "mA"\n'
    )
    result = check(read_vehicle_text(text, "car.toml"), database(), None)
    assert [finding.kind for finding in result.findings] == ["file", "unit-differs", "implausible"]
    assert [finding.line for finding in result.findings] == [6, 7, 5]


def test_a_vehicle_file_that_does_not_fit_the_database_is_an_error():
    """Nothing can be told of it."""
    with pytest.raises(VehicleFileError, match=r"Motion\.Speed"):
        check(read_vehicle_text(WHOLE, "car.toml"), database(), None)
