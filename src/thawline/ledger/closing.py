"""Tell when an account does not close."""

from __future__ import annotations

import math
from dataclasses import dataclass

from thawline.ledger.ledger import Ledger, Line
from thawline.ledger.rounding import plus_minus
from thawline.story.story import Evidence

#: What is left over counts as open beyond this many standard uncertainties: 95 % [1].
BOUND_SIGMAS = 1.96
#: Less than this is never worth a finding [kWh].
LEAST_KWH = 0.02


@dataclass(frozen=True, slots=True)
class Unclosed:
    """An account that does not close.

    Parameters
    ----------
    kind : str
        ``electrical-account-open`` or ``heat-account-open``.
    from_s : float
        Since when: the beginning, for the account speaks of the whole recording [s].
    confidence : float
        Chance that it is not the sensors' errors alone [1].
    because : str
        Why, in one sentence with its numbers.
    evidence : tuple of Evidence
        What is left over, against its bound.
    """

    kind: str
    from_s: float
    confidence: float
    because: str
    evidence: tuple[Evidence, ...]


def bound_kWh(line: Line) -> float | None:
    """Give the bound within which what is left over lies in 95 of 100 recordings.

    Parameters
    ----------
    line : Line
        A line ``unaccounted``.

    Returns
    -------
    float or None
        The bound; None where nothing can be told [kWh].
    """
    return None if line.plus_minus_kWh is None else BOUND_SIGMAS * line.plus_minus_kWh


def _open(name: str, lines: tuple[Line, ...]) -> Unclosed | None:
    line = next((line for line in lines if line.line == "unaccounted"), None)
    if line is None or line.kWh is None or line.plus_minus_kWh is None:
        return None
    bound = bound_kWh(line)
    if bound is None or abs(line.kWh) <= max(bound, LEAST_KWH):
        return None
    sigmas = abs(line.kWh) / max(line.plus_minus_kWh, LEAST_KWH / BOUND_SIGMAS)
    left = plus_minus(abs(line.kWh), line.plus_minus_kWh)
    which = "are missing from" if line.kWh > 0.0 else "are too much in"
    because = (
        f"{left} {which} the {name} account, more than the {bound:.2f} kWh that the stated "
        "uncertainties explain in 95 of 100 recordings: a consumer is not recorded, or a sensor is "
        "further off than stated."
    )
    evidence = Evidence(f"ledger.{name}.unaccounted", line.kWh, "kWh", bound, 0.0)
    confidence = math.erf(sigmas / math.sqrt(2.0))
    return Unclosed(f"{name}-account-open", 0.0, confidence, because, (evidence,))


def unclosed(ledger: Ledger) -> list[Unclosed]:
    """Find the accounts whose unaccounted line lies beyond its 95 % bound.

    Parameters
    ----------
    ledger : Ledger
        The ledger.

    Returns
    -------
    list of Unclosed
        None, one or two findings.
    """
    found = [_open("electrical", ledger.electrical), _open("heat", ledger.heat)]
    return [finding for finding in found if finding is not None]
