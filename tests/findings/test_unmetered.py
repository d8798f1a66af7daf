"""Heat that ceases to arrive, without a flow meter."""

from tests.findings.made import (
    FLOW,
    INLET,
    MEAN,
    OUTLET,
    inlet,
    kinds_of,
    looked,
    mean,
    noisy,
    outlet,
)

#: The valve opens then [s]; what is left of heat and warming from then on [1].
OPENS_S, LEFT = 2200.0, 0.5


def late(values):
    """What a quantity would be if only half of its rise came about after the valve opened."""

    def made(t):
        at = values(t * 0.0 + OPENS_S)
        return values(t) - (1.0 - LEFT) * (values(t) - at) * (t > OPENS_S)

    return made


def apart(t):
    """Inlet above outlet."""
    return (inlet(t) - outlet(t)) * (1.0 - (1.0 - LEFT) * (t > OPENS_S))


def opened(falls: bool = True):
    """The pack warms by half as much; the coolant cools by half as much in it, or as before."""
    pack = late(mean)

    def behind(t):
        return pack(t) + outlet(t) - mean(t)

    def before(t):
        return behind(t) + (apart(t) if falls else inlet(t) - outlet(t))

    return {
        FLOW: None,
        MEAN: noisy(pack, 0.05, 0.1, 1),
        OUTLET: noisy(behind, 0.1, 0.1, 2),
        INLET: noisy(before, 0.1, 0.1, 3),
        "Powertrain.TractionBattery.Temperature.Min": None,
    }


def test_heat_that_ceases_to_arrive_is_lost_outside():
    """Half the warming for the same heat, and half the difference along the pack."""
    found = looked(opened())
    assert kinds_of(found) == ["heat-lost-outside"]
    one = next(f for f in found.found if f.kind == "heat-lost-outside")
    assert abs(one.from_s - OPENS_S) < 200.0


def test_less_warming_alone_is_not_called_a_loss_outside():
    """If the coolant cools as much as before, the heat does arrive."""
    assert "heat-lost-outside" not in kinds_of(looked(opened(falls=False)))


def test_a_sound_morning_without_a_flow_meter_is_left_alone():
    """Nothing changes within it."""
    assert kinds_of(looked({FLOW: None})) == []
