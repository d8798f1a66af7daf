"""Heaters and drive units that give too little."""

import numpy as np

from tests.findings.made import LEFT, MOTOR, RIGHT, cabin, kinds_of, looked, noisy, on


def test_a_heater_that_halves_beside_another_is_told_with_its_name():
    """Left gives half of what it gave; right goes on."""
    found = looked({LEFT: noisy(lambda t: cabin(t) * (1.0 - 0.5 * on(t, 2000.0)), 5.0, 10.0, 1)})
    one = next(f for f in found.found if f.kind == "heater-dead")
    assert "Left" in one.because and "Right" not in one.because
    assert abs(one.from_s - 2000.0) < 90.0


def test_a_heater_that_never_comes_on_is_dead():
    """No past is needed where one gives nothing and the other works."""
    assert "heater-dead" in kinds_of(looked({LEFT: 0.0}))


def test_a_drive_unit_that_gives_a_third_is_told():
    """Drive units alike should heat alike."""
    unit = {MOTOR + "Rear.StandstillHeat": lambda t: 0.8 * on(t)}
    assert "heater-dead" in kinds_of(looked(unit))


def test_both_less_together_is_regulation():
    """Both heaters fall when the cabin is warm: that is what they are for."""
    less = {p: (lambda t: cabin(t) * (1.0 - 0.6 * on(t, 2000.0)))
            for p in (LEFT, LEFT.replace("Left", "Right"))}  # fmt: skip
    assert "heater-dead" not in kinds_of(looked(less))


def test_a_heater_that_is_spared_as_the_cabin_warms_is_left_alone():
    """The second eases within minutes and stays off, the first eases after it."""

    def spared(t):
        return cabin(t) * np.clip((2400.0 - t) / 600.0, 0.0, 1.0)

    def eases(t):
        return cabin(t) * np.clip(1.0 - (t - 2400.0) / 3000.0, 0.3, 1.0)

    found = looked({LEFT: noisy(spared, 5.0, 10.0, 1), RIGHT: noisy(eases, 5.0, 10.0, 2)})
    assert "heater-dead" not in kinds_of(found)


def test_a_coarse_reading_that_steps_down_is_no_dead_heater():
    """A reading in whole kilowatts falls from 2 to 1 as the cabin warms: less cannot be seen."""

    def eases(t):
        return cabin(t) * np.clip(1.0 - (t - 1800.0) / 4000.0, 0.3, 1.0)

    def coarse(t):
        return 1000.0 * np.round(eases(t) / 1000.0)

    found = looked({LEFT: coarse, RIGHT: noisy(eases, 5.0, 10.0, 2)})
    assert "heater-dead" not in kinds_of(found)
    # one that is dead is told all the same
    assert "heater-dead" in kinds_of(looked({LEFT: lambda t: 1000.0 * np.round(cabin(t) / 1000.0)
                                             * (1.0 - on(t, 2000.0))}))  # fmt: skip
