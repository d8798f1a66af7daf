"""Cells, against published activation energies."""

import numpy as np
import pytest

from thawline.errors import RequestError
from thawline.simulator.cells import (
    mean_open_circuit_V,
    open_circuit_V,
    resistance_by_charge,
    resistance_by_temperature,
)


@pytest.mark.parametrize(
    ("kJ", "factors"), [(17.1, (1.88, 2.50, 3.41)), (35.0, (3.64, 6.54, 12.3))]
)
def test_resistance_grows_in_the_cold_as_published_energies_say(kJ, factors):
    """Ecker 2015 (17.1 kJ/mol) and Chen 2020 (35.0 kJ/mol): ratio to 25 °C at 0, -10, -20 °C."""
    found = resistance_by_temperature(np.array([0.0, -10.0, -20.0]), kJ * 1e3)
    assert found == pytest.approx(factors, rel=0.005)


@pytest.mark.parametrize("chemistry", ["LFP", "NMC"])
def test_voltage_never_falls_while_charge_rises(chemistry):
    """A cell's voltage at rest rises with its charge, and its mean lies between the ends."""
    volts = [open_circuit_V(chemistry, charge) for charge in np.linspace(0.0, 1.0, 101)]
    assert np.all(np.diff(volts) >= 0.0)
    assert volts[0] < mean_open_circuit_V(chemistry) < volts[-1]
    assert resistance_by_charge(chemistry, 0.0) > resistance_by_charge(chemistry, 0.5)


def test_lfp_is_flatter_than_nmc():
    """Between 20 and 80 % an LFP cell hardly changes its voltage (common practice, no source)."""
    span = {name: open_circuit_V(name, 0.8) - open_circuit_V(name, 0.2) for name in ("LFP", "NMC")}
    assert span["LFP"] < 0.1 < 0.3 < span["NMC"]


def test_an_unknown_chemistry_is_said_to_be_so():
    """A chemistry that is not in the table names the nearest one that is."""
    with pytest.raises(RequestError, match="LFP"):
        open_circuit_V("LFPO", 0.5)
