"""The glass, and the dew point that it must keep above."""

import numpy as np
import psychrolib
import pytest

from tests.plan.made import asked, sure_car
from thawline.plan.bench import lay_out
from thawline.plan.glass import dew_points_degC, step_glass


@pytest.mark.parametrize("degC", [5.0, 18.0, 20.0, 22.0])
@pytest.mark.parametrize("humidity", [20.0, 35.0, 50.0, 80.0])
def test_dew_points_are_those_of_a_reference_library(degC, humidity):
    """Within 0.1 K of PsychroLib (ASHRAE Handbook of Fundamentals 2017, chapter 1).

    Where the dew point lies above freezing; below it PsychroLib gives the frost point.
    """
    psychrolib.SetUnitSystem(psychrolib.SI)
    expected = psychrolib.GetTDewPointFromRelHum(degC, humidity / 100.0)
    if expected > 0.0:
        assert dew_points_degC(degC, np.array([humidity]))[0] == pytest.approx(expected, abs=0.1)


def test_glass_settles_between_inside_and_outside():
    """In still air a single pane settles at the ratio of surface resistances of ISO 6946.

    0.13 m2K/W inside and 0.04 outside: 0.04 / 0.17 of the way from outside to inside.
    """
    share, glass = 0.04 / 0.17, np.array([-10.0])
    for _ in range(200):
        glass = step_glass(glass, np.array(share), np.array(0.0), np.array(300.0),
                           np.array([20.0]), np.array([-10.0]), np.array([0.0]), 60.0)  # fmt: skip
    assert glass[0] == pytest.approx(-10.0 + share * 30.0, abs=0.01)


def test_longer_warming_never_leaves_the_cabin_colder():
    """Of each member a further step of warming leaves the air at least as warm.

    Not the glass: it is warmest while full power is blown onto it.
    """
    bench = lay_out(sure_car(), asked(cabin=20.0, glass=True), members=16)
    run = bench.cabins[0]
    assert np.all(np.diff(run.air, axis=0) > -0.05)
    assert np.all(run.glass[-1] > run.glass[0])


def test_heating_never_passes_the_set_point():
    """The controller takes heat back: no member's air ends above what was asked for."""
    bench = lay_out(sure_car(), asked(cabin=20.0), members=32)
    run = bench.cabins[0]
    assert float(run.air.max()) <= run.set_point_degC + 0.01
