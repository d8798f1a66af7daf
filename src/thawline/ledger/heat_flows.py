"""Where heat is made and goes: cells, coolant, air outside."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.ledger.basis import Basis
from thawline.ledger.bridging import Hole, bridge
from thawline.ledger.coolant_zero import coolant_zero
from thawline.ledger.energy import HOUR_S
from thawline.ledger.entry import Entry, unknown
from thawline.ledger.heat_stores import INLET, OUTLET, glycol_fraction
from thawline.ledger.resistance import pack_resistance
from thawline.ledger.temperatures import of_channel, pack_temperature
from thawline.ledger.uncertain import UFloat, around, cause, deviation, nominal, prior
from thawline.physics.battery import heat_loss_prior_W_per_K, resistance_at_mOhm
from thawline.physics.glycol import coolant_heat_kW
from thawline.recording.powers import BATTERY

Array = NDArray[np.float64]
CURRENT = BATTERY + "CurrentCurrent"
FLOW = BATTERY + "Coolant.Flow"
#: Step of the numerical derivative by a glycol fraction [1].
SMALL_FRACTION = 0.01


def _bridged(power: Array, found: list[Hole], per_tick: float) -> tuple[float, float]:
    energy = sum(float(np.sum(power[h.first : h.last])) for h in found) * per_tick
    squares = sum((h.sigma_kW * (h.last - h.first) * per_tick) ** 2 for h in found)
    return energy, float(np.sqrt(squares))


def _pack_current(basis: Basis) -> tuple[Array, str] | None:
    amps = basis.channel(CURRENT)
    if amps is not None:
        return amps, CURRENT
    power, volts = basis.flows.flows.get("pack"), basis.channel(BATTERY + "CurrentVoltage")
    if power is None or volts is None:
        return None
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(volts > 0.0, power.kW * 1e3 / volts, np.nan), BATTERY + "CurrentPower"


def cell_resistance_entry(basis: Basis) -> Entry:
    r"""Find the heat that the current makes in the cells, :math:`\int I^2 R\,dt`.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.

    Returns
    -------
    Entry
        The line ``cell-resistance``; the heat of reaction, which can be of either sign and
        is small, is left out.
    """
    found = _pack_current(basis)
    if found is None:
        return unknown("cell-resistance", "the pack's current is not recorded")
    amps, path = found
    temperature = pack_temperature(basis)
    weights = np.nan_to_num(amps**2)
    degC = np.full(len(amps), 0.0) if temperature is None else temperature.degC
    middle = float(np.average(degC, weights=weights if np.any(weights > 0.0) else None))
    resistance = pack_resistance(basis, middle)
    mOhm = nominal(resistance.mOhm) * resistance_at_mOhm(1.0, degC, resistance.reference_degC)
    channel = basis.recording.channels.get(path)
    share, noise = 1.0, 0.0
    if channel is not None and channel.unit == "A":
        if 0.0 < channel.period_s < basis.flows.step_s:
            share = channel.period_s / basis.flows.step_s
        noise = channel.noise**2 * share
    calm = np.nan_to_num(np.abs(amps)) < 5.0 * np.sqrt(noise)
    power = np.where(calm, np.maximum(amps**2 - noise, 0.0), amps**2) * mOhm / 1e6
    filled, holes = bridge(power, basis.flows.step_s, basis.known_of)
    per_tick = basis.flows.step_s / HOUR_S
    value = float(np.sum(filled)) * per_tick
    bridged, bridge_sigma = _bridged(filled, holes, per_tick)
    total = value * (resistance.mOhm / nominal(resistance.mOhm)) + cause(bridge_sigma)
    gain, zero = basis.sensors.gain.get(path), basis.sensors.zero.get(path)
    if gain is not None:
        total = total + 2.0 * value * gain
    if zero is not None and path == CURRENT:
        total = total + zero * (float(np.nansum(2.0 * amps * mOhm)) / 1e6 * per_tick)
        offset = deviation(zero) ** 2 * float(np.sum(mOhm)) / 1e6 * per_tick
        total = total + cause(offset)
    note = resistance.note
    if temperature is None:
        note += "; the pack's temperature is not recorded and taken as 0 °C"
        total = total + cause(0.5 * value)
    return Entry("cell-resistance", total, resistance.origin, note, bridged)


def coolant_entry(basis: Basis) -> Entry:
    """Find the heat that the coolant carried into the pack.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.

    Returns
    -------
    Entry
        The line ``coolant-into-pack``.
    """
    flow, inlet, outlet = (basis.channel(path) for path in (FLOW, INLET, OUTLET))
    if flow is None or inlet is None or outlet is None:
        names = {FLOW: "flow", INLET: "inlet temperature", OUTLET: "outlet temperature"}
        missing = [name for path, name in names.items() if basis.channel(path) is None]
        return unknown("coolant-into-pack", f"not recorded: the coolant's {', '.join(missing)}")
    litres = np.maximum(flow, 0.0)
    zero = coolant_zero(basis)
    inlet = inlet - zero.kelvin
    fraction, fraction_sigma, note = glycol_fraction(basis)
    power = coolant_heat_kW(litres, inlet, outlet, fraction)
    step = SMALL_FRACTION if fraction < SMALL_FRACTION else -SMALL_FRACTION
    other = coolant_heat_kW(litres, inlet, outlet, fraction + step)
    per_kelvin = coolant_heat_kW(litres, inlet + 0.5, inlet - 0.5, fraction)
    filled, holes = bridge(power, basis.flows.step_s, basis.known_of)
    per_tick = basis.flows.step_s / HOUR_S
    value = float(np.sum(filled)) * per_tick
    bridged, sigma = _bridged(filled, holes, per_tick)
    hot = float(np.sum(bridge(per_kelvin)[0])) * per_tick
    slope = float(np.nansum(other - power)) * per_tick / step
    gains, zeros = basis.sensors.gain, basis.sensors.zero
    known = np.where(np.isnan(power), 0.0, inlet - outlet)
    per_litre = coolant_heat_kW(1.0, known / 2.0 + 10.0, 10.0 - known / 2.0, fraction)
    total: UFloat = around(value, float(np.hypot(sigma, abs(slope) * fraction_sigma)))
    total = total + gains[FLOW] * value + zeros[FLOW] * (float(np.nansum(per_litre)) * per_tick)
    total = total + hot * cause(zero.sigma_K)
    hot_in = float(np.nansum(per_kelvin * np.nan_to_num(inlet))) * per_tick
    hot_out = float(np.nansum(per_kelvin * np.nan_to_num(outlet))) * per_tick
    total = total + gains[INLET] * hot_in - gains[OUTLET] * hot_out
    channels = basis.recording.channels
    noise = np.hypot(channels[INLET].noise, channels[OUTLET].noise)
    scatter = float(noise * np.sqrt(np.nansum(per_kelvin**2))) * per_tick
    said = f"flow times density and specific heat at its temperature; {note}"
    said = f"{said}; {zero.note}" if zero.note else said
    return Entry("coolant-into-pack", total + cause(scatter), "measured", said, bridged)


def to_ambient_entry(basis: Basis) -> Entry:
    """Find the heat that the pack lost to the air outside.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.

    Returns
    -------
    Entry
        The line ``pack-to-ambient``; negative where the air is warmer than the pack.
    """
    pack = pack_temperature(basis)
    if pack is None:
        return unknown("pack-to-ambient", "no temperature of the pack is recorded")
    outside = of_channel(basis, "Exterior.AirTemperature")
    own = basis.recording.vehicle.pack
    if own.heat_loss_W_per_K is not None:
        conductance = own.heat_loss_W_per_K * prior("pack_loss_stated")
        origin, note = "derived", f"{nominal(conductance):.1f} W/K by the vehicle file"
    else:
        conductance = around(*heat_loss_prior_W_per_K(own.usable_energy_kWh))
        origin, note = "assumed", f"a usual {nominal(conductance):.1f} W/K, uncertain by a factor"
    hours = basis.hours
    apart: UFloat = cause(0.0)
    if outside is None:
        air = np.full(len(pack.degC), float(pack.degC[0]))
        apart = apart + prior("outside_unknown")
        origin, note = "assumed", f"{note}; outside air taken as the pack's first temperature"
    else:
        air = outside.degC
        apart = apart - basis.sensors.zero[next(iter(outside.weights))]
    for path, weight in pack.weights.items():
        apart = apart + weight * basis.sensors.zero[path]
    mean = float(np.mean(pack.degC - air))
    lost = conductance * (mean + apart + cause(pack.apart_K)) * hours / 1e3
    said = f"{note} over a mean difference of {mean:.1f} K"
    return Entry("pack-to-ambient", lost, origin, said)
