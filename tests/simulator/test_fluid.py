"""The coolant's properties, against CoolProp and a published table."""

import numpy as np
import pytest

from thawline.simulator.fluid import heat_of, temperature_of, viscosity_mPas


@pytest.mark.parametrize("degC", [-25.0, -9.0, 5.0, 30.0, 55.0])
def test_heat_and_viscosity_agree_with_coolprop(degC):
    """CoolProp 8, INCOMP::MEG[0.5] after Melinder 2010, is met between the table's rows."""
    from CoolProp.CoolProp import PropsSI  # slow to import

    state = ("T", degC + 273.15, "P", 101325.0, "INCOMP::MEG[0.5]")
    capacity = PropsSI("D", *state) * PropsSI("C", *state)
    slope = (heat_of(np.array(degC + 0.5)) - heat_of(np.array(degC - 0.5))) / 1.0
    assert slope == pytest.approx(capacity, rel=0.003)
    assert viscosity_mPas(degC) == pytest.approx(PropsSI("V", *state) * 1e3, rel=0.05)


@pytest.mark.parametrize(("degC", "watts"), [(-20.0, 2784.0), (0.0, 2868.0), (20.0, 2939.0)])
def test_ten_litres_a_minute_over_five_kelvins_carry_what_is_published(degC, watts):
    """Computed from Melinder 2010 (CoolProp 8.0.0): 10 l/min over 5 K."""
    q = 10.0 / 60e3
    carried = q * (heat_of(np.array(degC + 2.5)) - heat_of(np.array(degC - 2.5)))
    assert carried == pytest.approx(watts, rel=0.003)


def test_temperature_is_the_inverse_of_heat():
    """A temperature turned to heat and back is the same."""
    degC = np.linspace(-35.0, 90.0, 60)
    assert temperature_of(heat_of(degC)) == pytest.approx(degC, abs=1e-9)
