"""The supply and what the charger loses."""

from __future__ import annotations

import numpy as np

from thawline.ledger.basis import Basis
from thawline.ledger.energy import energy
from thawline.ledger.entry import Entry, unknown
from thawline.ledger.uncertain import NOTHING, UFloat, around, cause, deviation, nominal, prior
from thawline.recording.powers import CHARGING


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


def _only_direct(basis: Basis) -> bool:
    power = basis.powers.get("supply")
    return (
        power is not None
        and bool(power.signals)
        and all(path.endswith(("DC", "Voltage")) for path in power.signals)
    )


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
    if _only_direct(basis):
        note = "direct current from outside: the car's own charger has no part in it"
        return Entry("charger-loss", NOTHING, "derived", note)
    if CHARGING + "PowerLoss" in basis.recording.channels and "charger-loss" in basis.powers:
        power = basis.powers["charger-loss"]
        found = energy(power, basis.sensors)
        return Entry("charger-loss", found.kWh, power.origin, power.note, found.bridged_kWh)
    output = basis.powers.get("charger-output")
    if output is not None and supply.kWh is not None:
        found = energy(output, basis.sensors)
        bridged = supply.bridged_kWh - found.bridged_kWh
        note = "supply less charger output"
        return Entry("charger-loss", supply.kWh - found.kWh, "derived", note, bridged)
    if supply.kWh is None:
        return unknown("charger-loss", "neither it nor the supply is recorded")
    share, note = charger_efficiency(basis)
    lost = supply.kWh * (1.0 - share)
    bridged = supply.bridged_kWh * (1.0 - nominal(share))
    return Entry("charger-loss", lost, "assumed", note, bridged)


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
