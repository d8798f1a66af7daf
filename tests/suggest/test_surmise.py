from dataclasses import replace

import numpy as np
import pytest

from tests.suggest import morning
from tests.suggest.looked import anchors
from thawline.suggest.candidate import Scene
from thawline.suggest.guess import is_large, needs_unit, with_units
from thawline.suggest.guessing import guess_units
from thawline.suggest.propose import propose_from
from thawline.suggest.surmise import surmise
from thawline.suggest.surmise_flows import surmise_rest
from thawline.suggest.surmise_pack import surmise_pack, with_other_pack
from thawline.suggest.surmise_supply import surmise_offer, surmise_supply

SEGMENT = np.zeros(morning.SECONDS, dtype=np.int64)
NAMES = list(morning.PATHS)
COLD = ("coldest", "mean", "warmest", "inlet", "outlet", "winding")


def bare(*names: str, **scaled: float) -> Scene:
    """Signals without a unit; some in thousandths."""
    made = []
    for i, name in enumerate(names):
        one = morning.candidate(name, i, unit="")
        by = scaled.get(name, 1.0)
        made.append(replace(one, key=name, values=one.values * by, step=one.step * by))
    return Scene(tuple(made), SEGMENT)


def test_what_begins_where_the_car_was_soaked_is_a_temperature():
    """Six begin at -9 °C; the pack's voltage and the charger's output do not."""
    found = surmise(bare(*COLD, "voltage", "current", "output"))
    assert {key for key, guess in found.items() if guess.unit == "degC"} == set(COLD)


def test_degrees_of_both_kinds_meet_at_one_soak():
    """15.8 °F are -9 °C; one car may use both."""
    scene = bare(*COLD)
    mixed = [
        replace(one, values=one.values * 1.8 + 32.0, step=one.step * 1.8) if i % 2 else one
        for i, one in enumerate(scene.candidates)
    ]
    found = surmise(replace(scene, candidates=tuple(mixed)))
    assert [found[name].unit for name in COLD] == ["degC", "degF"] * 3


def test_bits_that_do_not_reach_below_zero_hold_no_temperature():
    """A thermometer of a car reads twenty below."""
    scene = bare(*COLD)
    short = tuple(replace(one, least=0.0, most=255.0) for one in scene.candidates)
    assert not {g.unit for g in surmise(replace(scene, candidates=short)).values()} & {"degC"}


def test_a_charge_is_slow_and_reaches_to_hundred():
    """With bits that end at 16 or at 1600 it is none."""
    for most, is_charge in ((102.3, True), (15.9, False), (1600.0, False)):
        scene = bare("physical")
        one = replace(scene.candidates[0], least=0.0, most=most)
        assert ("physical" in surmise(replace(scene, candidates=(one,)))) is is_charge


@pytest.mark.parametrize(("by", "unit"), [(1.0, "A"), (1000.0, "mA")])
def test_voltage_and_current_answer_to_one_another(by, unit):
    """In amperes and in milliamperes; 0.12 ohm and more in the cold."""
    scene = bare("voltage", "current", "output", current=by)
    found = surmise_pack(scene, scene.candidates)
    assert {key: guess.unit for key, guess in found.items()} == {"voltage": "V", "current": unit}
    other = with_other_pack(found)[1]
    assert other["current"].unit == {"A": "kW", "mA": "W"}[unit]


def test_a_supplys_current_and_the_chargers_output_are_told_by_their_product():
    """230 V times up to 30 A is 6.9 kW, of which 92 % are given."""
    scene = bare("supply_volts", "supply_amps", "output", "heat", "flow")
    scene = with_units(scene, surmise(scene))
    found = surmise_supply(scene)
    assert {key: one.unit for key, one in found.items()} == {"supply_amps": "A", "output": "kW"}


def test_an_offer_keeps_to_levels_just_above_what_is_drawn():
    """32 A are an offer for 30 A, 51 % are a duty cycle for them (IEC 61851-1: 0.6 A each).

    50 may be either, and 200 are neither.
    """
    on = np.arange(morning.SECONDS) >= morning.PLUGGED_AT
    plain = replace(morning.candidate("cable", 0, unit=""), codes=(0.0, 32.0))
    for level, unit in ((32.0, "A"), (51.0, "%"), (50.0, None), (200.0, None)):
        one = replace(plain, values=np.where(on, level, 0.0))
        guess = surmise_offer([one], anchors()).get(one.key)
        assert (guess and guess.unit) == unit


def test_the_rest_is_told_in_the_light_of_the_pack():
    """Loads by the balance in W and kW, limits by the coldest cell, the flow by what it carries."""
    scene, keys = morning.scene(blank=True)
    made, guesses = guess_units(scene)
    names = {path: name for name, path in morning.PATHS.items()}
    units = {names[keys[key]]: guess.unit for key, guess in guesses.items()}
    stated = {name: morning.UNITS[name][0] for name in units}
    assert units == stated
    assert {"heat", "cabin_heat", "output", "charge_limit", "regeneration_limit"} <= set(units)
    assert surmise_rest(made, anchors()) == {}


def test_stated_units_are_left_alone():
    """Nothing is guessed where a unit stands; states need none."""
    scene, _ = morning.scene()
    made, guesses = guess_units(scene)
    assert guesses == {}
    assert made == scene
    assert not needs_unit(morning.candidate("cable", 1))


def test_a_guess_is_said_beside_the_proposal():
    """Whoever reads the file sees that the unit was not stated."""
    scene, keys = morning.scene(blank=True)
    found = propose_from(scene)
    assert {keys[one.from_] == one.path for one in found.proposals} == {True}
    (volts,) = [one for one in found.proposals if one.path == morning.PATHS["voltage"]]
    assert any("no unit is stated; taken as V" in text for text in volts.evidence)


def test_large_numbers_with_whole_steps_are_thousandths():
    """3400 in steps of 10 are W; 390 V in steps of 0.1 are no mV."""
    scene = bare("cabin_heat", "voltage")
    assert [is_large(one) for one in scene.candidates] == [True, False]
