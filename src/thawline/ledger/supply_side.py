"""The supply and what the charger loses."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.ledger.basis import ON_KW, Basis
from thawline.ledger.energy import energy
from thawline.ledger.entry import Entry, unknown
from thawline.ledger.uncertain import NOTHING, UFloat, around, cause, deviation, nominal, prior
from thawline.recording.powers import CHARGING

#: Less alternating current than this is none [kWh].
LEAST_KWH = 0.005
#: From this power on a charger has its usual efficiency; below, its own needs weigh [kW].
USUAL_KW = 4.0


def charger_efficiency(basis: Basis) -> tuple[UFloat, str]:
    """Give the charger's efficiency where it is not measured.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.

    Returns
    -------
    efficiency : UFloat
        Share of the supply's energy that reaches the direct-current side [1].
    note : str
        Where it comes from.
    """
    stated = basis.recording.vehicle.charger.efficiency
    if stated is not None:
        share = stated * prior("charger_efficiency_stated")
        return share, f"efficiency of {stated:.0%} by the vehicle file"
    usual = prior("charger_efficiency")
    power = basis.powers.get("supply") or basis.powers.get("charger-output")
    on = np.zeros(0) if power is None else power.kW[power.kW > ON_KW]
    if len(on):
        inverse = 1.0 / min(float(np.mean(on)), USUAL_KW) - 1.0 / USUAL_KW
        usual = usual - prior("charger_standing") * inverse
    return usual, f"a usual efficiency of {nominal(usual):.0%}"


def _counted(basis: Basis) -> Entry | None:
    """Read the supply from a meter's count of energy, where no power is recorded."""
    path = CHARGING + "SupplyEnergy"
    channel = basis.recording.channels.get(path)
    if channel is None or len(channel.t) < 2:
        return None
    gained = float(channel.values[-1] - channel.values[0])
    if gained < 0.0:
        return None
    step = channel.resolution / np.sqrt(6.0)
    value = gained * (1.0 + basis.sensors.gain[path]) + cause(float(step))
    return Entry("supply", value, note="by the count of SupplyEnergy")


def supply_entry(basis: Basis) -> Entry:
    """Find the energy from outside.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.

    Returns
    -------
    Entry
        The line ``supply``.
    """
    power = basis.powers.get("supply")
    if power is not None:
        found = energy(power, basis.sensors)
        return Entry("supply", found.kWh, power.origin, power.note, found.bridged_kWh)
    counted = _counted(basis)
    if counted is not None:
        return counted
    output, loss = basis.powers.get("charger-output"), basis.powers.get("charger-loss")
    if output is not None:
        given = energy(output, basis.sensors)
        if loss is not None:
            lost = energy(loss, basis.sensors)
            bridged = given.bridged_kWh + lost.bridged_kWh
            note = "charger output and charger loss together"
            return Entry("supply", given.kWh + lost.kWh, "derived", note, bridged)
        share, note = charger_efficiency(basis)
        return Entry(
            "supply", given.kWh / share, "assumed", f"charger output by {note}", given.bridged_kWh
        )
    return unknown("supply", basis.flows.lost.get("supply", "not recorded"))


def is_direct(basis: Basis) -> NDArray[np.bool_]:
    """Tell when the supply gives direct current, past the charger in the car.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.

    Returns
    -------
    ndarray of bool, shape (n,)
        Ticks at which most of the supply's power is direct current.
    """
    power = basis.powers.get("supply")
    if power is None:
        return np.zeros(len(basis.flows.t), dtype=bool)
    direct = np.zeros(len(power.kW))
    for path, part in power.by_gain.items():
        if path.endswith("ChargeCurrent.DC"):
            direct = direct + part
    return np.asarray((power.kW > 0.0) & (direct > power.kW / 2.0))


def charger_loss_entry(basis: Basis, supply: Entry) -> Entry:
    """Find what the charger in the car turns into heat.

    Parameters
    ----------
    basis : Basis
        What the accounts rest on.
    supply : Entry
        The line ``supply``.

    Returns
    -------
    Entry
        The line ``charger-loss``.
    """
    if CHARGING + "PowerLoss" in basis.recording.channels and "charger-loss" in basis.powers:
        power = basis.powers["charger-loss"]
        found = energy(power, basis.sensors)
        return Entry("charger-loss", found.kWh, power.origin, power.note, found.bridged_kWh)
    if supply.kWh is None:
        return unknown("charger-loss", "neither it nor the supply is recorded")
    direct, taken, bridged = is_direct(basis), supply.kWh, supply.bridged_kWh
    past = ""
    if np.any(direct):
        alternating = energy(basis.powers["supply"], basis.sensors, ~direct)
        taken, bridged = alternating.kWh, alternating.bridged_kWh
        past = "direct current from outside passes the car's own charger by"
        if abs(nominal(taken)) <= LEAST_KWH:
            return Entry("charger-loss", NOTHING, "derived", past)
        past = f"; {past}"
    output = basis.powers.get("charger-output")
    if output is not None:
        found = energy(output, basis.sensors, ~direct)
        left = bridged - found.bridged_kWh
        if supply.origin == "assumed":  # it was worked out from this very output
            return Entry("charger-loss", taken - found.kWh, "assumed", supply.note + past, left)
        note = f"supply less charger output{past}"
        return Entry("charger-loss", taken - found.kWh, "derived", note, left)
    share, note = charger_efficiency(basis)
    lost = taken * (1.0 - share)
    return Entry("charger-loss", lost, "assumed", note + past, bridged * (1.0 - nominal(share)))


def efficiency_of(supply: Entry, loss: Entry) -> UFloat | None:
    """Find the share of the supply that reached the direct-current side.

    Parameters
    ----------
    supply, loss : Entry
        The two lines.

    Returns
    -------
    UFloat or None
        The share; None where it cannot be told [1].
    """
    if supply.kWh is None or loss.kWh is None or nominal(supply.kWh) <= deviation(supply.kWh):
        return None
    return around(1.0, 0.0) - loss.kWh / supply.kWh
