"""Cells and packs against published numbers."""

from __future__ import annotations

import pytest

from thawline.physics import battery
from thawline.physics.constants import constants


@pytest.mark.parametrize(
    ("kJ_per_mol", "temperature", "ratio"),
    [
        (17.1, 0.0, 1.88),
        (17.1, -10.0, 2.50),
        (17.1, -20.0, 3.41),
        (35.0, 0.0, 3.64),
        (35.0, -10.0, 6.54),
        (35.0, -20.0, 12.3),
    ],
)
def test_arrhenius(kJ_per_mol: float, temperature: float, ratio: float) -> None:
    """Ratios to 25 degC for the energies of Ecker 2015 and Chen 2020 (computed)."""
    assert battery.arrhenius_factor(temperature, kJ_per_mol) == pytest.approx(ratio, rel=3e-3)


def test_prior_energy_lies_between_the_published_ones() -> None:
    """The prior activation energy reaches from Ecker's 17.1 to Chen's 35.0 within one sigma."""
    middle, sigma = constants()["activation_energy"], constants()["activation_energy_sigma"]
    assert middle - sigma == pytest.approx(17.1, abs=1.0)
    assert middle + sigma == pytest.approx(35.0, abs=1.5)


def test_heat_capacity_band_holds_published_packs() -> None:
    """2.9 and 6.3 kJ/K per kWh (a published model's lump; a weighed pack) lie within 2 sigma."""
    middle, sigma = battery.heat_capacity_prior_kJ_per_K(1.0)
    assert middle - 2 * sigma < 2.9 < 6.3 < middle + 2 * sigma
    assert 2.5 < middle < 8.0


def test_a_known_pack_lies_in_the_band() -> None:
    """A pack of 75 kWh at 160 Wh/kg and 1.0 kJ/(kg*K) has 468.75 kJ/K: within 2 sigma."""
    middle, sigma = battery.heat_capacity_prior_kJ_per_K(75.0)
    assert abs(middle - 468.75) < 2 * sigma


@pytest.mark.parametrize(("chemistry", "value"), [("NCA", 830), ("nmc", 1040), ("LFP", 1130)])
def test_specific_heat(chemistry: str, value: float) -> None:
    """Specific heats are the ones that reviews quote for each chemistry."""
    assert battery.specific_heat_prior_J_per_kgK(chemistry)[0] == value


def test_unknown_chemistry_is_the_middle_of_all() -> None:
    """Without a chemistry the prior covers cells of 800-1100 J/(kg*K)."""
    middle, sigma = battery.specific_heat_prior_J_per_kgK(None)
    assert middle - 2.3 * sigma < 800 < 1100 < middle + 2.3 * sigma


def test_resistance_prior_scales_as_packs_do() -> None:
    """Twice the energy at one voltage halves the resistance; twice the voltage doubles R/U."""
    one, _ = battery.resistance_prior_mOhm(36.0, 350.0, "NMC")
    two, _ = battery.resistance_prior_mOhm(72.0, 350.0, "NMC")
    high, _ = battery.resistance_prior_mOhm(72.0, 700.0, "NMC")
    assert one == pytest.approx(2 * two)
    assert high == pytest.approx(4 * two)
    assert 20.0 < two < 100.0


def test_resistance_rises_in_the_cold() -> None:
    """At the reference the factor is one; at -20 degC a pack has several times as much."""
    assert battery.resistance_at_mOhm(50.0, 25.0) == pytest.approx(50.0)
    assert 3.4 < battery.resistance_at_mOhm(50.0, -20.0) / 50.0 < 12.3


def test_heat_loss_band() -> None:
    """The published lump's 0.88 W/K per kWh (fastsim 3.1.0) is the high end of the prior."""
    middle, sigma = battery.heat_loss_prior_W_per_K(1.0)
    assert 0.03 < middle < 0.88
    assert sigma > 0.5 * middle
