from dataclasses import replace

import numpy as np

from tests.suggest import morning
from tests.suggest.looked import anchors, named, readings
from thawline.suggest.kinds import Reading
from thawline.suggest.places import CABIN_AIR, CABIN_HEATER_OF, CONVERTER, OUTSIDE
from thawline.suggest.tell_cabin import tell_cabin


def taken(*without):
    """Keys of all but the cabin's signals."""
    _, keys = morning.scene(without=without)
    free = {"cabin", "cabin_heat", "outside", "charge_limit", "regeneration_limit"}
    return frozenset(
        key for key, path in keys.items() if path not in {morning.PATHS[n] for n in free}
    )


def told(*without, temperatures=None, powers=()):
    made = readings(*without)
    return tell_cabin(
        anchors(*without),
        made["temperature"] if temperatures is None else temperatures,
        [*made["power"], *powers],
        taken(*without),
    )


def test_cabin_heater_and_outside_are_told():
    """The heater warms the cabin; what rests apart from where the car began is outside."""
    best = {path: max(by, key=by.get) for path, by in named(told()).items()}
    assert best == {CABIN_AIR: "cabin", CABIN_HEATER_OF: "cabin_heat", OUTSIDE: "outside"}


def test_the_load_that_never_rests_is_the_converters():
    """0.3 kW all the time are what the balance leaves open."""
    steady = np.round(0.3 + 0.01 * np.sin(np.arange(morning.SECONDS) / 50.0), 3)
    load = Reading("K", "power", "W", steady, 0.001, True, 90)
    votes = [vote for vote in told(powers=[load]) if vote.path == CONVERTER]
    assert [vote.key for vote in votes] == ["K"]
    double = replace(load, values=2.0 * steady)
    assert not [vote for vote in told(powers=[double]) if vote.path == CONVERTER]


def still(start, end, key):
    values = np.round(np.linspace(start, end, morning.SECONDS), 1)
    return Reading(key, "temperature", "degC", values, 0.1, True, 80)


def test_an_unheated_cabin_starts_with_the_car_and_goes_towards_outside():
    """From -9 to -10.5 °C, with -11 °C outside (as lumps cool: exponentially towards the air)."""
    missing = ("cabin", "cabin_heat", "outside")
    votes = told(*missing, temperatures=[still(-9.0, -10.5, "in"), still(-11.0, -11.1, "out")])
    assert {(vote.path, vote.key) for vote in votes} == {(CABIN_AIR, "in"), (OUTSIDE, "out")}


def test_where_nothing_tells_them_apart_neither_is_told():
    """Two temperatures that rest where the car began."""
    missing = ("cabin", "cabin_heat", "outside")
    votes = told(*missing, temperatures=[still(-9.0, -9.1, "a"), still(-9.1, -9.0, "b")])
    assert list(votes) == []
