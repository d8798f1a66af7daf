"""The pack: current and voltage, and heat that is neither made nor lost on the way."""

import numpy as np
import pytest

from tests.simulator.made import gannet
from thawline.simulator.current import electrical, most_W
from thawline.simulator.pack import PackState, cell_temperatures, heat_content_J, rested
from thawline.simulator.pack_heat import step

PACK = gannet().pack


def uneven() -> PackState:
    """A pack with a different temperature in every place."""
    n = PACK.modules
    return PackState(np.linspace(-9.0, 4.0, n), np.linspace(-8.0, 6.0, n), -10.0, 0.6)


@pytest.mark.parametrize("watts", [-90e3, -2500.0, 0.0, 4300.0, 60e3])
def test_voltage_times_current_is_the_power_asked_for(watts):
    """The pack gives or takes exactly the power at its terminals."""
    now = electrical(PACK, uneven(), watts)
    assert now.volts * now.current_A == pytest.approx(watts, abs=1e-6)
    ohm = now.module_ohm.sum() + now.end_ohm
    assert now.volts == pytest.approx(now.open_circuit_V + now.current_A * ohm)


def test_resistance_of_a_warm_pack_is_the_one_it_was_built_with():
    """At 25 °C and middle charge the pack has the resistance that its build names."""
    now = electrical(PACK, rested(PACK, 25.0, 0.5), 1000.0)
    assert (now.module_ohm.sum() + now.end_ohm) * 1e3 == pytest.approx(PACK.resistance_mOhm)


def test_a_pack_cannot_give_more_than_its_voltage_allows():
    """At the most that it can spare, the voltage has sagged to the lowest allowed."""
    state = uneven()
    now = electrical(PACK, state, -most_W(PACK, state))
    assert now.volts == pytest.approx(0.75 * now.open_circuit_V)


@pytest.mark.parametrize("watts", [-40e3, 0.0, 30e3])
def test_heat_of_every_node_is_kept(watts):
    """What the pack holds changes by coolant and cells less what the air takes."""
    state, coolant = uneven(), np.linspace(15.0, 5.0, PACK.modules)
    now = electrical(PACK, state, watts)
    after, flux = step(PACK, state, now, coolant, 0.9, -12.0, 0.25)
    gained = heat_content_J(PACK, after) - heat_content_J(PACK, state)
    moved = flux.from_coolant_W.sum() + flux.resistance_W - flux.ambient_W
    assert gained == pytest.approx(moved * 0.25, rel=1e-6)
    ohm = now.module_ohm.sum() + now.end_ohm
    assert flux.resistance_W == pytest.approx(now.current_A**2 * ohm)


def test_a_rested_pack_stays_as_it_is():
    """Without current, coolant flow or colder air nothing moves."""
    state = rested(PACK, -9.0, 0.5)
    now = electrical(PACK, state, 0.0)
    after, flux = step(PACK, state, now, np.full(PACK.modules, -9.0), 1.0, -9.0, 0.25)
    assert cell_temperatures(after) == pytest.approx(np.full(PACK.modules + 1, -9.0))
    assert (flux.resistance_W, flux.ambient_W) == (0.0, 0.0)


def test_charge_is_counted_in_coulombs():
    """One hour at the capacity in amperes fills the pack."""
    state = rested(PACK, 25.0, 0.0)
    now = electrical(PACK, state, 20e3)
    after, _ = step(PACK, state, now, np.full(PACK.modules, 25.0), 1.0, 25.0, 1.0)
    assert after.charge == pytest.approx(now.current_A / PACK.capacity_C)
    volts = PACK.capacity_C / 3600.0 * PACK.cells_in_series
    assert PACK.energy_kWh * 1e3 / volts == pytest.approx(3.28, abs=0.03)
