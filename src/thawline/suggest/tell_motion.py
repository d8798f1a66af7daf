"""Votes on the powers of the drive units, from drives."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from thawline.suggest.anchors import Anchors
from thawline.suggest.balance import Term
from thawline.suggest.kinds import Reading
from thawline.suggest.places import POWER_OF, POWER_OF_ALL
from thawline.suggest.thresholds import threshold
from thawline.suggest.votes import Vote
from thawline.suggest.weights import weight

Readings = Mapping[str, Sequence[Reading]]
#: Speed above which the car moves [km/h].
MOVES_KMH = 3.0


def tell_motion(anchors: Anchors, readings: Readings) -> Iterator[Vote]:
    """Say which powers drive the car: in the pack's balance, and only while it moves.

    Parameters
    ----------
    anchors : Anchors
        What was found first.
    readings : mapping of str to sequence of Reading
        Readings by kind.

    Yields
    ------
    Vote
        What speaks for a signal.
    """
    drives = drive_terms(anchors)
    speeds = [one for one in readings["velocity"] if one.is_said]
    for term in drives:
        moves = any(_only_while(term.reading, speed) for speed in speeds)
        because = "it draws from the pack and gives back, as a drive does"
        value = weight("motor_power") + moves - 2.0 * (not term.reading.is_said)
        evidence = (
            f"{np.nanmin(term.reading.values):.0f} to {np.nanmax(term.reading.values):.0f} kW"
        )
        path = POWER_OF_ALL if len(drives) == 1 else POWER_OF
        yield Vote(path, term.reading.key, value, because, evidence, term.reading.unit)


def drive_terms(anchors: Anchors) -> list[Term]:
    """List the loads of the balance that also give back, or draw more than any heater.

    Parameters
    ----------
    anchors : Anchors
        What was found first.

    Returns
    -------
    list of Term
        Powers of drive units.
    """
    return [
        term
        for term in anchors.balance.loads
        if float(np.nanmax(term.reading.values)) > 3.0
        and (
            float(np.nanmin(term.reading.values)) < -0.05 * float(np.nanmax(term.reading.values))
            or float(np.nanmax(term.reading.values)) > threshold("heats_most")
        )
    ]


def _only_while(power: Reading, speed: Reading) -> bool:
    stands = (np.abs(speed.values) < MOVES_KMH) & np.isfinite(power.values)
    goes = (np.abs(speed.values) >= MOVES_KMH) & np.isfinite(power.values)
    if not stands.any() or not goes.any():
        return False
    small = 0.1 * float(np.nanmax(np.abs(power.values)))
    return bool(np.mean(np.abs(power.values[stands]) < small) > 0.95)
