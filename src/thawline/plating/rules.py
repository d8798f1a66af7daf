"""Published rules for charging in the cold, as lines to hold a map against."""

from __future__ import annotations

from dataclasses import dataclass

from thawline.physics.constants import read_table


@dataclass(frozen=True, slots=True)
class RuleStep:
    """One step of a rule.

    Parameters
    ----------
    rule : str
        Name of the rule.
    from_degC, to_degC : float
        Temperatures that it covers [degC].
    rate_per_h : float
        Highest C-rate; 0 where charging is forbidden [1/h].
    source : str
        Where it comes from, and how it was read.
    """

    rule: str
    from_degC: float
    to_degC: float
    rate_per_h: float
    source: str


def rules() -> tuple[RuleStep, ...]:
    """Read the rules.

    Returns
    -------
    tuple of RuleStep
        Their steps in order of temperature, rule by rule.
    """
    return tuple(
        RuleStep(
            row["rule"],
            float(row["from_degC"]),
            float(row["to_degC"]),
            float(row["rate_per_h"]),
            row["source"],
        )
        for row in read_table("thawline.plating", "rules.csv")
    )
