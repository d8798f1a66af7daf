"""Air against PsychroLib and published dew points."""

from __future__ import annotations

import numpy as np
import pytest

from thawline.physics.air import air_density_kg_per_m3, dew_point_degC


@pytest.mark.parametrize(
    ("temperature", "humidity", "dew"),
    [(20, 30, 1.91), (20, 40, 6.00), (20, 50, 9.27), (22, 50, 11.11)],
)
def test_dew_point_rows(temperature: float, humidity: float, dew: float) -> None:
    """Dew points of warm rooms as PsychroLib gives them (computed)."""
    assert dew_point_degC(temperature, humidity) == pytest.approx(dew, abs=0.1)


def test_dew_point_matches_psychrolib() -> None:
    """Over the range of cabins with a dew point above freezing, within 0.1 K."""
    psychrolib = pytest.importorskip("psychrolib")
    psychrolib.SetUnitSystem(psychrolib.SI)
    compared = 0
    for temperature in np.arange(2.0, 40.0, 4.0):
        for humidity in np.arange(20.0, 100.0, 10.0):
            theirs = psychrolib.GetTDewPointFromRelHum(temperature, humidity / 100.0)
            if theirs > 0.5:
                compared += 1
                assert dew_point_degC(temperature, humidity) == pytest.approx(theirs, abs=0.1)
    assert compared > 40


def test_saturated_air_is_at_its_dew_point() -> None:
    """At 100 % the dew point is the air's temperature; dry air has none."""
    t = np.linspace(-30.0, 40.0, 8)
    np.testing.assert_allclose(dew_point_degC(t, 100.0), t, atol=1e-9)
    assert np.isnan(dew_point_degC(20.0, 0.0))


def test_cold_air_is_denser() -> None:
    """Air at -20 degC is 15.8 % denser than at 20 degC (computed)."""
    assert air_density_kg_per_m3(-20.0) / air_density_kg_per_m3(20.0) == pytest.approx(
        1.158, abs=5e-4
    )


def test_density_matches_coolprop() -> None:
    """The ideal gas is within 0.2 % of CoolProp's air from -30 to 40 degC."""
    coolprop = pytest.importorskip("CoolProp.CoolProp")
    for t in (-30.0, -10.0, 0.0, 15.0, 40.0):
        theirs = coolprop.PropsSI("D", "T", t + 273.15, "P", 101325.0, "Air")
        assert air_density_kg_per_m3(t) == pytest.approx(theirs, rel=2e-3)


def test_standard_atmosphere() -> None:
    """1.225 kg/m3 at 15 degC and 101325 Pa (ISO 2533; from memory)."""
    assert air_density_kg_per_m3(15.0) == pytest.approx(1.225, abs=5e-4)
