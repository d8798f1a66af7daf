"""The heat account.

drive-unit-heating + cell-resistance = stored-in-pack + pack-to-ambient + stored-elsewhere +
unaccounted. What the coolant carries into the pack is a transfer inside it.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from thawline.ledger.basis import Basis
from thawline.ledger.consumers import has_hidden_heater, hidden_heat_kWh
from thawline.ledger.energy import energy
from thawline.ledger.entry import Entry, unknown
from thawline.ledger.heat_elsewhere import lost_elsewhere_kWh, stored_elsewhere_entry
from thawline.ledger.heat_flows import cell_resistance_entry, coolant_entry, to_ambient_entry
from thawline.ledger.heat_stores import stored_in_pack_entry
from thawline.ledger.ledger import HEAT
from thawline.ledger.uncertain import cause, deviation, nominal, prior

#: Lines that give heat.
GIVES = ("drive-unit-heating", "cell-resistance")
#: Lines that take heat.
TAKES = ("stored-in-pack", "pack-to-ambient", "stored-elsewhere")


def _made(basis: Basis, heating: Entry) -> Entry:
    """Heat made for the pack: in the drive units, and in the pack's own heater if any."""
    heater = basis.powers.get("pack-heater")
    if has_hidden_heater(basis):
        note = "the drive units do not heat, and the pack's own heater is not recorded"
        return unknown("drive-unit-heating", note, hidden_heat_kWh(basis))
    if heater is None or heating.kWh is None:
        return heating
    found = energy(heater, basis.sensors)
    if nominal(found.kWh) <= 0.0:
        return heating
    note = f"with {nominal(found.kWh):.2f} kWh of the pack's own heater"
    note = f"{heating.note}; {note}" if heating.note else note
    return replace(heating, kWh=heating.kWh + found.kWh, note=note)


def _unlisted(basis: Basis, made: Entry) -> float:
    """How much heat may come and go that the account has no line for."""
    share = deviation(prior("unlisted_heat"))
    own = 0.0 if made.kWh is None else share * abs(nominal(made.kWh))
    own = float(np.hypot(own, lost_elsewhere_kWh(basis)))
    power = basis.powers.get("driving")
    if power is None or not np.any(np.abs(power.kW) > 0.0):
        return own
    driven = float(np.sum(np.abs(power.kW))) * power.step_s / 3600.0
    return float(np.hypot(own, driven * (1.0 - nominal(prior("driving_efficiency")))))


def heat_account(basis: Basis, heating: Entry) -> dict[str, Entry]:
    """Work out the heat account.

    Parameters
    ----------
    basis : Basis
        What the account rests on.
    heating : Entry
        The line ``drive-unit-heating`` of the electrical account.

    Returns
    -------
    dict of str to Entry
        The lines in the order of ``HEAT``.
    """
    entries = [
        _made(basis, heating),
        cell_resistance_entry(basis),
        coolant_entry(basis),
        stored_in_pack_entry(basis),
        to_ambient_entry(basis),
        stored_elsewhere_entry(basis),
    ]
    found = {entry.line: entry for entry in entries}
    found["unaccounted"] = _left_over(basis, found)
    return {line: found[line] for line in HEAT}


def _left_over(basis: Basis, entries: dict[str, Entry]) -> Entry:
    if entries["stored-in-pack"].kWh is None:
        return unknown("unaccounted", "what the pack kept is not known")
    total = sum(entries[line].in_sums() for line in GIVES)
    total = total - sum(entries[line].in_sums() for line in TAKES)
    total = total + cause(_unlisted(basis, entries["drive-unit-heating"]))
    note = "what the lines leave over: among it heat that drive units and hoses lose to the air"
    holds = [line for line in (*GIVES, *TAKES) if entries[line].kWh is None]
    if holds:
        note += f"; holds {', '.join(holds)}, which cannot be told"
    return Entry("unaccounted", total, "derived", note)
