"""Energies against closed forms and scipy's integrals."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad, simpson

from tests.ledger.made import BATTERY, CHARGING, MOTOR, Values, basis_made, recording
from thawline.ledger.energy import energy
from thawline.ledger.uncertain import deviation, nominal
from thawline.quantities import Accuracy
from thawline.recording.recording import Gap

HEAT = MOTOR + "Rear.StandstillHeat"
CURRENT, VOLTAGE = BATTERY + "CurrentCurrent", BATTERY + "CurrentVoltage"


def test_constant_power_is_exact() -> None:
    """3.4 kW for one hour are 3.4 kWh."""
    basis = basis_made(recording({HEAT: 3.4}))
    assert nominal(energy(basis.powers["drive-unit-heating"], basis.sensors).kWh) == pytest.approx(
        3.4, rel=1e-9
    )


@pytest.mark.parametrize("period_s", [0.1, 0.7, 1.0, 5.0])
def test_smooth_power_equals_scipys_quadrature(period_s: float) -> None:
    """A swelling power adds up to scipy's quadrature, at any sampling."""

    def kW(t: np.ndarray) -> np.ndarray:
        return 3.0 + 2.0 * np.sin(2 * np.pi * t / 900.0) + t / 3600.0

    basis = basis_made(recording({HEAT: kW}, period_s=period_s))
    found = energy(basis.powers["drive-unit-heating"], basis.sensors)
    exact = quad(lambda t: float(kW(np.array(t))), 0.0, 3600.0, limit=200)[0] / 3600.0
    assert nominal(found.kWh) == pytest.approx(exact, rel=2e-4)


def test_product_of_two_channels_equals_simpson() -> None:
    """Current times voltage adds up to Simpson's rule on the product."""
    current: Values = lambda t: 20.0 * np.exp(-t / 1000.0)  # noqa: E731  # a table of functions
    voltage: Values = lambda t: 340.0 + t / 100.0  # noqa: E731  # a table of functions
    basis = basis_made(recording({CURRENT: current, VOLTAGE: voltage}))
    t = np.linspace(0.0, 3600.0, 36001)
    exact = simpson(20.0 * np.exp(-t / 1000.0) * (340.0 + t / 100.0), x=t) / 3.6e6
    assert nominal(energy(basis.powers["pack"], basis.sensors).kWh) == pytest.approx(
        exact, rel=1e-4
    )


def test_gain_errors_add_in_quadrature_for_a_product() -> None:
    """1 % of current and 0.5 % of voltage are 1.118 % of the energy; zeros are exact."""
    made = recording(
        {CURRENT: 20.0, VOLTAGE: 350.0},
        accuracies={CURRENT: Accuracy(0.0, 0.01), VOLTAGE: Accuracy(0.0, 0.005)},
    )
    basis = basis_made(made)
    found = energy(basis.powers["pack"], basis.sensors).kWh
    assert deviation(found) / nominal(found) == pytest.approx(np.hypot(0.01, 0.005), rel=1e-6)


def test_zero_error_of_a_current_acts_through_the_voltage() -> None:
    """0.5 A at 350 V for one hour are 0.175 kWh, even where no current flows."""
    made = recording(
        {CURRENT: 0.0, VOLTAGE: 350.0},
        accuracies={CURRENT: Accuracy(0.5, 0.0), VOLTAGE: Accuracy(0.0, 0.005)},
    )
    basis = basis_made(made)
    assert deviation(energy(basis.powers["pack"], basis.sensors).kWh) == pytest.approx(0.175)


def test_energies_of_one_sensor_share_its_error() -> None:
    """Two halves of one recording differ by no more than their noise, not by the accuracy."""
    made = recording({HEAT: 4.0}, accuracies={HEAT: Accuracy(0.0, 0.05)})
    basis = basis_made(made)
    power = basis.powers["drive-unit-heating"]
    first = energy(power, basis.sensors, power.t < 1800.0).kWh
    second = energy(power, basis.sensors, power.t >= 1800.0).kWh
    assert deviation(first) == pytest.approx(0.1, rel=1e-3)
    assert deviation(first - second) < 1e-6
    assert deviation(first + second) == pytest.approx(0.2, rel=1e-3)


def test_noise_averages_out() -> None:
    """0.5 kW of noise on 3600 samples is 0.008 kWh."""
    rng = np.random.default_rng(4)
    made = recording(
        {HEAT: lambda t: 3.0 + rng.normal(0, 0.5, len(t))},
        accuracies={HEAT: Accuracy(0.0, 1e-9)},
    )
    basis = basis_made(made)
    sigma = deviation(energy(basis.powers["drive-unit-heating"], basis.sensors).kWh)
    assert sigma == pytest.approx(0.5 * np.sqrt(3600) / 3600, rel=0.5)


def test_slow_samples_of_a_switching_load() -> None:
    """A load that switches between samples 30 s apart is as uncertain as its switchings."""
    made = recording(
        {HEAT: lambda t: np.where((t // 300) % 2 == 0, 4.0, 0.0)},
        period_s=30.0,
        accuracies={HEAT: Accuracy(0.0, 1e-9)},
    )
    basis = basis_made(made)
    found = energy(basis.powers["drive-unit-heating"], basis.sensors).kWh
    expected = 4.0 * 30.0 / np.sqrt(12.0) * np.sqrt(11) / 3600.0
    assert deviation(found) == pytest.approx(expected, rel=0.1)
    assert abs(nominal(found) - 2.0) < 2 * deviation(found)


def test_bridged_energy_is_kept_apart() -> None:
    """Ten minutes without data in one hour of 3 kW: 0.5 kWh are bridged, and are said to be."""
    made = recording({HEAT: 3.0}, gaps=(Gap(1000.0, 1600.0),))
    basis = basis_made(made)
    found = energy(basis.powers["drive-unit-heating"], basis.sensors)
    assert nominal(found.kWh) == pytest.approx(3.0)
    assert found.bridged_kWh == pytest.approx(0.5, rel=0.01)


def test_only_some_ticks() -> None:
    """A mask adds up its own ticks."""
    made = recording({CHARGING + "OutputPower": 5.0})
    basis = basis_made(made)
    power = basis.powers["charger-output"]
    found = energy(power, basis.sensors, power.t < 720.0)
    assert nominal(found.kWh) == pytest.approx(1.0)
