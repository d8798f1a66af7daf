r"""The pack's resistance: from steps of its current, else from the vehicle file, else a prior.

When the current steps by :math:`\Delta I`, the voltage follows by :math:`R\,\Delta I` before
the open-circuit voltage can move. Steps at several temperatures are brought to one by the
Arrhenius factor of the prior activation energy, weighted by :math:`\Delta I^2`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.ledger.basis import Basis
from thawline.ledger.temperatures import pack_temperature
from thawline.ledger.uncertain import UFloat, around, deviation, nominal, prior
from thawline.physics.battery import (
    arrhenius_factor,
    nominal_cell_V,
    resistance_prior_mOhm,
)
from thawline.physics.constants import constants
from thawline.recording.powers import BATTERY

Array = NDArray[np.float64]

#: Current and voltage are averaged over so many ticks on each side of a step [1].
SIDE = 4
#: Ticks about a step that are left out on each side, while signals of two clocks settle [1].
SETTLE = 2
#: A step counts if it is larger than this share of the pack's one-hour current [1] ...
STEP_SHARE = 0.02
#: ... and than this many times what the current does on either side of it [1].
STEP_OVER_REST = 4.0
#: So many steps at least make a measurement [1] ...
FEWEST_STEPS = 3
#: ... if its relative standard uncertainty is below this [1].
GOOD = 0.25
#: A resistance from steps must lie within this factor of the prior [1].
SANE = 6.0
#: Temperature at which a vehicle file states a resistance [degC].
STATED_AT_DEGC = 20.0


@dataclass(frozen=True, slots=True)
class Resistance:
    """A pack's resistance.

    Parameters
    ----------
    mOhm : UFloat
        Resistance at the reference temperature [mOhm].
    reference_degC : float
        The temperature that it holds for [degC].
    origin : str
        ``derived`` from steps, or ``assumed``.
    note : str
        How it was found.
    """

    mOhm: UFloat
    reference_degC: float
    origin: str
    note: str


def _mean_before(values: Array) -> Array:
    """Mean of the ticks that end ``SETTLE`` before each tick."""
    sums = np.concatenate(([0.0], np.cumsum(values)))
    mean = np.full(len(values), np.nan)
    first = SIDE + SETTLE
    ends = np.arange(first, len(values)) - SETTLE
    mean[first:] = (sums[ends] - sums[ends - SIDE]) / SIDE
    return mean


def _spread_before(values: Array) -> Array:
    return np.asarray(np.sqrt(np.maximum(_mean_before(values**2) - _mean_before(values) ** 2, 0.0)))


def current_steps(amps: Array, volts: Array, least_A: float) -> tuple[Array, Array, Array]:
    """Find steps of the current and what the voltage did.

    Parameters
    ----------
    amps : ndarray of float64, shape (n,)
        Pack current on the clock [A].
    volts : ndarray of float64, shape (n,)
        Pack voltage on the clock [V].
    least_A : float
        Smaller steps do not count [A].

    Returns
    -------
    at : ndarray of float64, shape (m,)
        Tick of each step [1].
    by_A, by_V : ndarray of float64, shape (m,)
        Steps of current [A] and voltage [V].
    """
    count = len(amps)
    if count < 2 * (SIDE + SETTLE) + 1:
        return np.empty(0), np.empty(0), np.empty(0)
    before_i, before_u = _mean_before(amps), _mean_before(volts)
    after_i, after_u = _mean_before(amps[::-1])[::-1], _mean_before(volts[::-1])[::-1]
    rest = np.hypot(_spread_before(amps), _spread_before(amps[::-1])[::-1])
    step_i, step_u = after_i - before_i, after_u - before_u
    size = np.nan_to_num(np.abs(step_i))
    good = (size > least_A) & (size > STEP_OVER_REST * np.nan_to_num(rest, nan=np.inf))
    good &= ~np.isnan(step_u)
    chosen: list[int] = []
    for tick in np.flatnonzero(good)[np.argsort(-size[good], kind="stable")].tolist():
        if all(abs(tick - other) > SIDE + 2 * SETTLE for other in chosen):
            chosen.append(tick)
        if len(chosen) >= 200:
            break
    at = np.sort(np.asarray(chosen, dtype=np.int64))
    return at.astype(np.float64), step_i[at], step_u[at]


def _from_steps(basis: Basis, around_mOhm: float, at_degC: float) -> Resistance | None:
    amps = basis.channel(BATTERY + "CurrentCurrent")
    volts = basis.channel(BATTERY + "CurrentVoltage")
    if amps is None or volts is None:
        return None
    one_hour_A = basis.recording.vehicle.pack.usable_energy_kWh * 1e3 / float(np.nanmedian(volts))
    at, by_A, by_V = current_steps(amps, volts, STEP_SHARE * one_hour_A)
    if len(at) < FEWEST_STEPS:
        return None
    temperature = pack_temperature(basis)
    there = np.full(len(at), at_degC)
    if temperature is not None:
        there = temperature.degC[at.astype(np.int64)]
    factor = arrhenius_factor(there, constants()["activation_energy"], at_degC)
    drive = by_A * factor
    mOhm = float(np.sum(by_V * drive) / np.sum(drive**2)) * 1e3
    left = by_V * 1e3 - mOhm * drive
    scatter = float(np.sqrt(np.sum(left**2) / max(len(at) - 1, 1) / np.sum(drive**2)))
    step = basis.recording.channels[BATTERY + "CurrentVoltage"].resolution
    rounding = step * 1e3 / float(np.sqrt(6.0 * np.sum(drive**2)))
    sigma = float(np.hypot(scatter, rounding))
    if not around_mOhm / SANE < mOhm < around_mOhm * SANE or sigma > GOOD * mOhm:
        return None
    note = f"{mOhm:.0f} mΩ at {at_degC:.0f} °C from {len(at)} steps of the pack's current"
    whole = around(mOhm, sigma) * prior("resistance_of_steps")
    return Resistance(whole, at_degC, "derived", note)


def pack_resistance(basis: Basis, at_degC: float) -> Resistance:
    """Find the pack's resistance near a temperature.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.
    at_degC : float
        The temperature [degC].

    Returns
    -------
    Resistance
        From steps of the current where there are good ones, else from the vehicle file,
        else the prior for a pack of its energy and voltage.
    """
    pack = basis.recording.vehicle.pack
    volts = basis.channel(BATTERY + "CurrentVoltage")
    cells = pack.cells_in_series or 100
    voltage = nominal_cell_V(pack.chemistry) * cells if volts is None else np.nanmedian(volts)
    value, sigma = resistance_prior_mOhm(pack.usable_energy_kWh, float(voltage), pack.chemistry)
    reference, name = constants()["activation_reference_degC"], "a prior for packs of its size"
    guess = around(value, sigma)
    if pack.resistance_mOhm is not None:
        guess = pack.resistance_mOhm * prior("resistance_stated")
        reference, name = STATED_AT_DEGC, "the vehicle file"
    zero = constants()["zero_degC"]
    per_energy = (
        1e3 / constants()["gas_constant"] * (1.0 / (at_degC + zero) - 1.0 / (reference + zero))
    )
    factor = float(arrhenius_factor(at_degC, constants()["activation_energy"], reference))
    spread = constants()["activation_energy_sigma"] * per_energy
    guess = guess * factor * around(1.0, abs(spread))
    measured = _from_steps(basis, nominal(guess), at_degC)
    if measured is not None and deviation(measured.mOhm) < deviation(guess):
        return measured
    note = f"{nominal(guess):.0f} mΩ at {at_degC:.0f} °C by {name}"
    return Resistance(guess, at_degC, "assumed", note)
