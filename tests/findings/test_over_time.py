"""What shows only against earlier mornings: warming, contact, resistance, spread."""

from dataclasses import replace

import numpy as np

from tests.findings.made import (
    BATTERY,
    CURRENT,
    INLET,
    VOLTAGE,
    current,
    inlet,
    kinds_of,
    looked,
    mean,
    noisy,
)  # fmt: skip
from thawline.findings.figures import from_plain, plain

#: A current that moves, so that voltage tells resistance.
MOVES = noisy(lambda t: current(t) + 6.0 * np.sin(t / 7.0), 0.05, 0.1, 3)


def under(milliohm: float):
    """Voltage of a pack with that resistance."""

    def made(t):
        return 350.0 + milliohm / 1e3 * (current(t) + 6.0 * np.sin(t / 7.0))

    return noisy(made, 0.05, 0.1, 4)


def test_resistance_that_grew_by_half_is_told():
    """The same morning, 200 and 300 mΩ; 210 is nothing."""
    before = [looked({CURRENT: MOVES, VOLTAGE: under(200.0)}).figures] * 2
    grown = looked({CURRENT: MOVES, VOLTAGE: under(300.0)}, before)
    assert "resistance-growth" in kinds_of(grown)
    same = looked({CURRENT: MOVES, VOLTAGE: under(210.0)}, before)
    assert "resistance-growth" not in kinds_of(same)


def test_worse_contact_shows_as_slower_warming():
    """The coolant must be twice as warm above the pack for the same heat."""
    before = [looked().figures] * 2
    fouled = {
        INLET: noisy(lambda t: inlet(t) + 1.6 * (inlet(t) - mean(t)), 0.1, 0.1, 1),
        BATTERY + "Coolant.OutletTemperature": noisy(
            lambda t: mean(t) + 1.6 * (inlet(t) - mean(t)) + 2.0, 0.1, 0.1, 2
        ),
        BATTERY + "Coolant.Flow": None,
    }
    assert "slower-warming" in kinds_of(looked(fouled, before))


def test_suspected_mornings_are_no_standard():
    """A figure that a finding touches is not what others are held against."""
    sick = replace(looked().figures, suspected=("weak-coolant-flow",))
    flow = {BATTERY + "Coolant.Flow": noisy(lambda t: 4.0 * (t >= 600.0), 0.05, 0.1, 1)}
    assert "weak-coolant-flow" not in kinds_of(looked(flow, [sick, sick]))


def test_figures_survive_being_written():
    """What is kept in a library reads back equal."""
    figures = looked().figures
    assert from_plain(plain(figures)) == figures
    assert {"log_flow", "charger_loss_share", "low_voltage_V"} <= set(figures.values)
