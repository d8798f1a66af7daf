"""Water with ethylene glycol against published rows and against the library itself."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thawline.errors import InputError
from thawline.physics import glycol

# CoolProp 8.0.0, INCOMP::MEG[0.5], mass fraction; Melinder 2010; computed.
ROWS = np.array(
    [
        [-30, 1085.08, 3027.0, 0.3589, 41.774],
        [-20, 1082.20, 3087.0, 0.3647, 22.178],
        [-10, 1078.70, 3145.7, 0.3707, 12.780],
        [0, 1074.62, 3202.9, 0.3768, 7.930],
        [20, 1064.93, 3312.0, 0.3891, 3.693],
        [40, 1053.44, 3412.7, 0.4015, 2.103],
        [60, 1040.49, 3503.1, 0.4138, 1.375],
    ]
)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row[0]:g} degC")
def test_properties_match_published_rows(row: np.ndarray) -> None:
    """Density, specific heat, conductivity and viscosity agree with the table's digits."""
    assert glycol.density_kg_per_m3(0.5, row[0]) == pytest.approx(row[1], abs=0.006)
    assert glycol.specific_heat_J_per_kgK(0.5, row[0]) == pytest.approx(row[2], abs=0.06)
    assert glycol.conductivity_W_per_mK(0.5, row[0]) == pytest.approx(row[3], abs=6e-5)
    assert glycol.viscosity_mPas(0.5, row[0]) == pytest.approx(row[4], abs=6e-4)


def test_properties_match_coolprop_over_the_range() -> None:
    """At every fraction and temperature above freezing the library's own numbers come out."""
    coolprop = pytest.importorskip("CoolProp.CoolProp")
    for fraction in (0.0, 0.1, 0.3, 0.42, 0.5, 0.6):
        lowest = float(glycol.freezing_point_degC(fraction)) + 0.5
        for temperature in np.linspace(lowest, 95.0, 12):
            at = ("T", temperature + 273.15, "P", 101325.0, f"INCOMP::MEG[{fraction}]")
            assert glycol.density_kg_per_m3(fraction, temperature) == pytest.approx(
                coolprop.PropsSI("D", *at), rel=1e-6
            )
            assert glycol.specific_heat_J_per_kgK(fraction, temperature) == pytest.approx(
                coolprop.PropsSI("C", *at), rel=1e-6
            )
            assert glycol.conductivity_W_per_mK(fraction, temperature) == pytest.approx(
                coolprop.PropsSI("L", *at), rel=1e-6
            )
            assert glycol.viscosity_mPas(fraction, temperature) == pytest.approx(
                coolprop.PropsSI("V", *at) * 1e3, rel=1e-6
            )


def test_freezing_point() -> None:
    """Half by mass freezes at -35.99 degC (CoolProp 8.0.0; computed)."""
    assert glycol.freezing_point_degC(0.5) == pytest.approx(-35.99, abs=0.01)


def test_half_by_volume_is_more_by_mass() -> None:
    """Half by volume is 52.7 % by mass (computed from the densities at 20 degC)."""
    assert glycol.mass_fraction_of_volume_fraction(0.5) == pytest.approx(0.527, abs=0.0005)


@pytest.mark.parametrize(("at", "watts"), [(-20.0, 2784.0), (0.0, 2868.0), (20.0, 2939.0)])
def test_heat_of_ten_litres_a_minute_over_five_kelvin(at: float, watts: float) -> None:
    """10 l/min over 5 K carries what density and specific heat there give (computed)."""
    small = glycol.coolant_heat_kW(10.0, at + 0.005, at - 0.005, 0.5) * 500.0
    assert small * 1e3 == pytest.approx(watts, rel=2e-4)


@settings(max_examples=30)
@given(st.floats(0.0, 60.0), st.floats(-30.0, 60.0), st.floats(-30.0, 60.0), st.floats(0.3, 0.6))
def test_heat_has_the_sign_of_the_difference(
    flow: float, inlet: float, outlet: float, fraction: float
) -> None:
    """Heat flows out of the coolant exactly where it comes in warmer than it leaves."""
    heat = float(glycol.coolant_heat_kW(flow, inlet, outlet, fraction))
    assert np.sign(heat) == np.sign(flow * (inlet - outlet)) or abs(heat) < 1e-12


def test_arrays_broadcast() -> None:
    """A fraction and an array of temperatures give an array of that shape."""
    assert glycol.density_kg_per_m3(0.4, np.zeros((3, 2))).shape == (3, 2)
    assert glycol.viscosity_mPas(np.array([0.3, 0.5]), -10.0).shape == (2,)


def test_wrong_fraction_is_named() -> None:
    """A fraction in per cent is refused with the value and the range."""
    with pytest.raises(InputError, match=r"mass_fraction \(=50\) must be in \[0, 0.6\]"):
        glycol.density_kg_per_m3(50.0, 0.0)
