"""The fit of resistance against temperature."""

from __future__ import annotations

import numpy as np
import pytest

from thawline.charge.arrhenius import fit, inverse, towards_ends
from thawline.charge.windows import Window


@pytest.mark.parametrize(
    ("energy", "degC", "ratio"),
    [(17.1, 0.0, 1.88), (17.1, -10.0, 2.50), (17.1, -20.0, 3.41),
     (35.0, 0.0, 3.64), (35.0, -10.0, 6.54), (35.0, -20.0, 12.3)],
)  # fmt: skip
def test_published_energies_give_their_ratios(energy, degC, ratio):
    """Ratio to 25 °C for electrolyte conductivity (Ecker 2015: 17.1 kJ/mol) and graphite
    kinetics (Chen 2020: 35.0 kJ/mol), computed from the published energies."""
    assert np.exp(energy * inverse(np.array(degC), 25.0)) == pytest.approx(ratio, rel=3e-3)


def made(energy: float, at_25: float, sigma: float, seed: int) -> list[Window]:
    rng = np.random.default_rng(seed)
    degC = rng.uniform(-18.0, 12.0, 60)
    charge = rng.uniform(0.1, 0.9, 60)
    log = np.log(at_25) + energy * inverse(degC, 25.0) + towards_ends(charge) @ (1.1, 0.5)
    ohm = np.exp(log + rng.normal(0.0, sigma, 60))
    return [
        Window(float(t), float(s), float(r), float(sigma * r), 0)
        for t, s, r in zip(degC, charge, ohm, strict=True)
    ]


@pytest.mark.parametrize("energy", [18.0, 27.0, 36.0])
def test_the_energy_comes_back(energy):
    """Whatever the energy, it is found within three of its uncertainties, and R within 2 %."""
    found = fit(made(energy, 0.09, 0.03, 3))
    assert abs(found.energy_kJ - energy) < 3.0 * np.sqrt(found.covariance[1, 1])
    assert found.ohm(np.array([25.0]))[0] == pytest.approx(0.09, rel=0.03)


def test_a_window_far_off_does_not_turn_the_fit():
    """One window ten times too high moves the energy by less than 1 kJ/mol."""
    windows = made(25.0, 0.09, 0.02, 4)
    clean = fit(windows)
    wild = [*windows, Window(-15.0, 0.5, windows[0].ohm * 10.0, 0.01, 0)]
    assert abs(fit(wild).energy_kJ - clean.energy_kJ) < 1.0


def test_too_few_windows():
    """One window is no curve."""
    assert fit(made(25.0, 0.09, 0.02, 5)[:1]) is None
