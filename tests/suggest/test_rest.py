from dataclasses import replace

import numpy as np
import pytest

from tests.suggest import morning
from tests.suggest.looked import anchors, readings
from thawline.suggest.anchors import Anchors
from thawline.suggest.balance import Balance, Term
from thawline.suggest.claims import claims_of
from thawline.suggest.kinds import Reading
from thawline.suggest.places import (
    CABIN_AIR,
    COLDEST,
    CONVERTER,
    DISPLAYED,
    MEAN,
    OUTPUT,
    OUTSIDE,
    PHYSICAL,
    POWER_OF_ALL,
    WARMEST,
)
from thawline.suggest.rest_powers import rest_powers
from thawline.suggest.rest_shares import rest_shares
from thawline.suggest.rest_temperatures import rest_temperatures, soak_of
from thawline.suggest.standing import joined, standing
from thawline.suggest.votes import Vote

T = np.arange(morning.SECONDS)
NOTHING = claims_of([])


def one(key: str, kind: str, values, step: float = 0.1, unit: str = "x") -> Reading:
    return Reading(key, kind, unit, np.asarray(values, dtype=float), step, True, 0)


def told(votes) -> dict[str, str]:
    return {vote.path: vote.key for vote in votes}


def test_claims_name_the_likeliest_and_leave_the_rest_free():
    """Votes that say little claim nothing."""
    claims = claims_of(
        [Vote("P", "a", 3.0, "x"), Vote("P", "b", 4.0, "x"), Vote("Q", "c", 1.0, "x")]
    )
    assert claims.by_path == {"P": "b"}
    assert [r.key for r in claims.free([one(k, "power", [0.0]) for k in "abc"])] == ["c"]


def test_output_drive_and_converter_without_a_balance():
    """92 % of the supply; what flows while the car moves; 0.3 kW at all times."""
    drives = T > 2500
    powers = [
        one("out", "power", anchors().supply.power_kW * 0.92, 0.01),
        one("shaft", "power", np.where(drives, 30.0, 0.0)),
        one("small", "power", 0.3 + 0.05 * np.sin(T / 50.0), 0.01),
        one("half", "power", anchors().supply.power_kW * 0.5, 0.01),
    ]
    made = {"power": powers, "velocity": [one("v", "velocity", np.where(drives, 50.0, 0.0))]}
    assert told(rest_powers(anchors(), made, NOTHING)) == {
        OUTPUT: "out",
        POWER_OF_ALL: "shaft",
        CONVERTER: "small",
    }


def test_the_finer_and_higher_of_two_charges_is_the_physical_one():
    """The cold hides some of it, and the display is coarse; where these differ nothing is said."""
    real = np.round((50.0 + T / 3000.0) / 0.1) * 0.1
    shown = np.round((48.0 + T / 1500.0) / 0.5) * 0.5
    pair = [one("s", "share", shown, 0.5), one("p", "share", real, 0.1)]
    assert told(rest_shares(pair, NOTHING)) == {PHYSICAL: "p", DISPLAYED: "s"}
    swapped = [one("s", "share", shown + 4.0, 0.5), one("p", "share", real, 0.1)]
    assert told(rest_shares(swapped, NOTHING)) == {}


def test_three_slow_temperatures_of_one_course_are_cells():
    """Two of them are not told apart, so nothing is said."""
    cells = [readings()["temperature"][i] for i in range(3)]
    assert told(v for v in rest_temperatures(cells, NOTHING)) == {
        COLDEST: cells[0].key,
        MEAN: cells[1].key,
        WARMEST: cells[2].key,
    }
    assert told(rest_temperatures(cells[:2], NOTHING)) == {}


@pytest.mark.parametrize("away", [2.5, 0.0])
def test_air_outside_is_away_from_the_soak_and_an_unheated_cabin_is_there(away):
    """Where both begin alike, neither is named."""
    cars = [one(f"c{i}", "temperature", -9.0 + T / (200.0 + i)) for i in range(4)]
    cabin = one("cabin", "temperature", -9.0 - 0.3 * away * T / 3000.0)
    outside = one("outside", "temperature", np.full(len(T), -9.0 - away))
    assert soak_of([*cars, cabin, outside]) == pytest.approx(-9.0, abs=0.2)
    claims = claims_of(
        [Vote(COLDEST, "c0", 5.0, "x"), *(Vote("X", f"c{i}", 5.0, "x") for i in range(4))]
    )
    found = told(rest_temperatures([*cars, cabin, outside], claims))
    assert found == ({OUTSIDE: "outside", CABIN_AIR: "cabin"} if away else {})


def test_the_balance_is_of_the_standing_car():
    """While it drives its power counts for nothing; drives of the whole log are kept."""
    speed = one("v", "velocity", np.where(T > 2000, 50.0, 0.0))
    pair = anchors().pair
    left = standing(pair, {"velocity": [speed]})
    assert np.isnan(left[2100:]).all()
    assert np.isfinite(left[:1900]).mean() > 0.9
    heat = Term(one("h", "power", np.full(len(T), 3.0)), -1, 1.0, 0.5)
    drive = Term(one("d", "power", np.full(len(T), 60.0)), -1, 1.0, 0.5)
    both = joined(Balance((drive,), 0.97, 1.0), Balance((heat,), 0.99, 0.1))
    assert [term.reading.key for term in both.terms] == ["h", "d"]
    weak = Balance((heat,), 0.5, 1.0)
    assert joined(Balance((drive,), 0.97, 1.0), weak).terms == (drive,)


def test_without_a_supply_nothing_is_the_chargers():
    """No output from nothing."""
    bare: Anchors = replace(anchors(), supplies=())
    made = {"power": readings()["power"], "velocity": []}
    assert OUTPUT not in told(rest_powers(bare, made, NOTHING))
