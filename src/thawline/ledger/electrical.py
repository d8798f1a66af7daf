"""The electrical account.

supply + pack-out = charger-loss + drive-unit-heating + cabin-heating + other-loads + pack-in
+ unaccounted. What is left over is never spread over the other lines.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from thawline.ledger.basis import Basis
from thawline.ledger.consumers import cabin_entry, heating_entry, other_entry
from thawline.ledger.energy import HOUR_S, energy
from thawline.ledger.entry import Entry, unknown
from thawline.ledger.ledger import ELECTRICAL
from thawline.ledger.sensed import ticks_per_sample
from thawline.ledger.signs import into_and_out
from thawline.ledger.supply_side import charger_loss_entry, supply_entry
from thawline.ledger.swings import swings
from thawline.ledger.uncertain import around

#: Lines that give; all others but ``unaccounted`` take.
GIVES = ("supply", "pack-out")
#: Share of a hole's uncertainty that may have gone either way [1].
EITHER_WAY = 0.5


def _pack_entries(basis: Basis) -> tuple[Entry, Entry]:
    power = basis.powers.get("pack")
    if power is None:
        why = basis.flows.lost.get("pack", "not recorded")
        return unknown("pack-in", why), unknown("pack-out", why)
    into, out = into_and_out(power.kW, basis.moves, ticks_per_sample(basis.recording, power))
    gained = energy(power, basis.sensors, into)
    given = energy(power, basis.sensors, out)
    hidden = swings(basis)
    # what is not known of a hole may have gone in and out of the pack alike
    unseen = sum((hole.sigma_kW * (hole.last - hole.first)) ** 2 for hole in power.holes)
    unseen_kWh = EITHER_WAY * float(np.sqrt(unseen)) * power.step_s / HOUR_S
    both = around(hidden.kWh, float(np.hypot(hidden.sigma_kWh, unseen_kWh)))
    return (
        Entry("pack-in", gained.kWh + both, power.origin, power.note, gained.bridged_kWh),
        Entry("pack-out", both - given.kWh, power.origin, power.note, 0.0 - given.bridged_kWh),
    )


def electrical_account(basis: Basis) -> dict[str, Entry]:
    """Work out the electrical account.

    Parameters
    ----------
    basis : Basis
        What the account rests on.

    Returns
    -------
    dict of str to Entry
        The lines in the order of ``ELECTRICAL``.
    """
    supply = supply_entry(basis)
    pack_in, pack_out = _pack_entries(basis)
    entries = [
        supply,
        charger_loss_entry(basis, supply),
        heating_entry(basis),
        cabin_entry(basis),
        other_entry(basis),
        pack_in,
        pack_out,
    ]
    found = {entry.line: entry for entry in entries}
    found["unaccounted"] = _left_over(found)
    return {line: found[line] for line in ELECTRICAL}


def _left_over(entries: Mapping[str, Entry]) -> Entry:
    missing = [line for line in ("supply", "pack-in") if entries[line].kWh is None]
    if missing:
        names = " and ".join({"supply": "the supply", "pack-in": "the pack"}[m] for m in missing)
        verb = "is" if len(missing) == 1 else "are"
        return unknown("unaccounted", f"{names} {verb} not known")
    total = sum(entries[line].in_sums() for line in GIVES) - sum(
        entry.in_sums() for line, entry in entries.items() if line not in GIVES
    )
    holds = [line for line, entry in entries.items() if entry.kWh is None]
    note = "what the lines leave over"
    if holds:
        note += f"; holds {', '.join(holds)}, which cannot be told"
    bridged = sum(entries[line].bridged_kWh for line in GIVES) - sum(
        entry.bridged_kWh for line, entry in entries.items() if line not in GIVES
    )
    return Entry("unaccounted", total, "derived", note, bridged)
