r"""The pack's resistance: from its current's steps, else from a vehicle file, else a prior.

Steps at several temperatures are brought to one by the Arrhenius factor of the prior
activation energy, weighted by :math:`\Delta I^2`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from thawline.ledger.basis import Basis
from thawline.ledger.sensors import ROOT_12
from thawline.ledger.steps import current_steps, current_swings, slope_of
from thawline.ledger.temperatures import pack_temperature
from thawline.ledger.uncertain import UFloat, around, deviation, nominal, prior
from thawline.physics.battery import (
    arrhenius_factor,
    nominal_cell_V,
    resistance_prior_mOhm,
)
from thawline.physics.constants import constants
from thawline.recording.powers import BATTERY

#: A step counts if it is larger than this share of the pack's one-hour current [1].
STEP_SHARE = 0.02
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


def _measured(basis: Basis, around_mOhm: float, at_degC: float) -> Resistance | None:
    """Take the surer of what steps and swings of the current tell, if that is sane."""
    amps = basis.channel(BATTERY + "CurrentCurrent")
    volts = basis.channel(BATTERY + "CurrentVoltage")
    if amps is None or volts is None:
        return None
    temperature = pack_temperature(basis)
    degC = np.full(len(amps), at_degC) if temperature is None else temperature.degC
    factor = arrhenius_factor(degC, constants()["activation_energy"], at_degC)
    one_hour_A = basis.recording.vehicle.pack.usable_energy_kWh * 1e3 / float(np.nanmedian(volts))
    rounding_V = basis.recording.channels[BATTERY + "CurrentVoltage"].resolution / ROOT_12
    steps = current_steps(amps, volts, STEP_SHARE * one_hour_A)
    found = []
    if len(steps.at) >= FEWEST_STEPS:
        slope = slope_of(steps.by_A * factor[steps.at], steps.by_V, np.sqrt(2.0) * rounding_V)
        found.append((slope, f"{len(steps.at)} steps of the pack's current"))
    swung = current_swings(amps, volts)
    slope = slope_of(swung.by_A * factor[swung.at], swung.by_V, rounding_V, swung.ticks_alike)
    found.append((slope, "swings of the pack's current"))
    (ohm, sigma), name = min(found, key=lambda pair: pair[0][1] / max(pair[0][0], 1e-9))
    is_sane = around_mOhm / SANE < ohm * 1e3 < around_mOhm * SANE
    if not is_sane or sigma > GOOD * ohm:
        return None
    note = f"{ohm * 1e3:.0f} mΩ at {at_degC:.0f} °C from {name}"
    whole = around(ohm * 1e3, sigma * 1e3) * prior("resistance_of_steps")
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
    measured = _measured(basis, nominal(guess), at_degC)
    if measured is not None and deviation(measured.mOhm) < deviation(guess):
        return measured
    note = f"{nominal(guess):.0f} mΩ at {at_degC:.0f} °C by {name}"
    return Resistance(guess, at_degC, "assumed", note)
