"""Supply and charger."""

from dataclasses import replace

import pytest

from thawline.simulator.charger import (
    Charger,
    ChargerState,
    Supply,
    ceiling_A,
    duty_cycle_pct,
    given_W,
    step,
)

CHARGER, SUPPLY = Charger(), Supply(208.0, 24.0)


@pytest.mark.parametrize(
    ("amps", "duty"),
    [
        (6.0, 10.0),
        (9.6, 16.0),
        (12.0, 20.0),
        (16.0, 26.67),
        (24.0, 40.0),
        (30.0, 50.0),
        (32.0, 53.33),
        (48.0, 80.0),
        (51.0, 85.0),
        (55.0, 86.0),
        (60.0, 88.0),
        (80.0, 96.0),
    ],
)
def test_duty_cycles_are_those_of_the_standard(amps, duty):
    """SAE J1772, IEC 61851-1 Annex A."""
    assert duty_cycle_pct(amps) == pytest.approx(duty, abs=0.005)


def test_without_an_offer_and_with_a_digital_one():
    """100 % is no offer; about 5 % means that the offer is made by digital communication."""
    assert duty_cycle_pct(0.0) == 100.0
    assert duty_cycle_pct(80.0, is_direct=True) == 5.0


def test_208_V_and_24_A_are_five_kilowatts():
    """Common practice, no source: the arithmetic of the supply that the demo has."""
    amps = ceiling_A(CHARGER, SUPPLY, SUPPLY.amps, SUPPLY.volts)
    assert amps * SUPPLY.volts == pytest.approx(5000.0, rel=0.01)


def test_the_rating_bounds_what_is_taken():
    """A large offer does not make a small charger larger."""
    assert ceiling_A(CHARGER, Supply(240.0, 80.0), 80.0, 240.0) * 240.0 == pytest.approx(11e3)
    assert ceiling_A(CHARGER, Supply(230.0, 32.0, 3), 32.0, 230.0) * 690.0 == pytest.approx(11e3)


@pytest.mark.parametrize("given", [50.0, 1000.0, 4500.0, 10_000.0])
def test_taken_is_the_inverse_of_given(given):
    """What is taken, less its loss, is what is given."""
    taken = CHARGER.taken_W(given)
    assert taken - CHARGER.loss_W(taken) == pytest.approx(given)


def test_efficiency_by_load_looks_like_a_charger():
    """Poor at a tenth of the load, best at about half (common practice, no source)."""
    share = {p: 1.0 - CHARGER.loss_W(p) / p for p in (300.0, 1000.0, 5000.0, 11_000.0)}
    assert share[300.0] < share[1000.0] < share[5000.0]
    assert 0.88 < share[11_000.0] < share[5000.0] < 0.96


def test_contactor_then_ramp_then_sag():
    """No voltage until the contactor closes, no current until later, then a ramp and a sag."""
    state, seen = ChargerState(), {}
    for i in range(241):
        state = step(CHARGER, SUPPLY, state, True, 24.0, 9e3, 208.0, 0.25)
        seen[i * 0.25] = state
    assert seen[2.5].volts == 0.0
    assert seen[3.5].volts == 208.0 and seen[3.5].amps == 0.0
    assert seen[15.0].amps == pytest.approx(0.8 * 10.0, abs=0.3)
    assert seen[60.0].amps == pytest.approx(24.0)
    assert seen[60.0].volts == pytest.approx(208.0 - 0.12 * 24.0)


def test_a_lost_supply_gives_nothing_at_once():
    """When supply or cable go, current and voltage are gone in the same step."""
    running = ChargerState(100.0, 24.0, 205.0)
    assert step(CHARGER, SUPPLY, running, False, 24.0, 5e3, 208.0, 0.25) == ChargerState()


def test_an_outside_charger_has_no_loss_in_the_car():
    """Direct current goes to the pack as it comes."""
    direct = replace(SUPPLY, is_direct=True)
    assert given_W(CHARGER, direct, 50.0, 380.0) == pytest.approx(19e3)
    assert given_W(CHARGER, SUPPLY, 24.0, 208.0) < 24.0 * 208.0
