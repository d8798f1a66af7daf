from dataclasses import replace

import numpy as np

from tests.suggest import morning
from tests.suggest.looked import anchors
from thawline.suggest.balance import Balance, Term
from thawline.suggest.kinds import Reading
from thawline.suggest.places import POWER_OF, POWER_OF_ALL
from thawline.suggest.tell_motion import tell_motion

T = np.arange(morning.SECONDS)
MOVES = T > 2000
DRIVE = np.where(MOVES, 20.0 * np.sin(T / 40.0), 0.0)
SPEED = Reading("v", "velocity", "km/h", np.where(MOVES, 40.0, 0.0), 0.1, True, 70)


def told(*powers):
    terms = [
        Term(Reading(f"p{i}", "power", "kW", p, 0.1, True, i), -1, 1.0, 0.4)
        for i, p in enumerate(powers)
    ]
    made = replace(anchors(), balance=Balance((*anchors().balance.terms, *terms), 0.99, 0.1))
    return list(tell_motion(made, {"velocity": [SPEED]}))


def test_a_load_that_gives_back_is_a_drive():
    """Heaters and the charger are none."""
    votes = told(DRIVE)
    assert {vote.key for vote in votes} == {"p0"}
    assert votes[0].path == POWER_OF_ALL  # one power alone stands for all drive units


def test_two_drives_stand_each_for_itself():
    """Each has a path of its own."""
    assert [vote.path for vote in told(DRIVE, DRIVE * 0.5)] == [POWER_OF, POWER_OF]


def test_one_drive_power_of_a_car_with_unknown_units_is_that_of_all():
    """Where no winding or several were seen."""
    made = replace(
        anchors("winding"),
        balance=Balance(
            (Term(Reading("p", "power", "kW", DRIVE, 0.1, True, 1), -1, 1.0, 0.4),), 0.99, 0.1
        ),
    )
    (vote,) = tell_motion(made, {"velocity": [SPEED]})
    assert vote.path == POWER_OF_ALL
