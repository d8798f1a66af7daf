"""Why less was charged or taken from the supply, in plain words."""

from __future__ import annotations

from collections.abc import Sequence

from thawline.compare.comparison import Charged, Row, Share
from thawline.compare.sides import setting
from thawline.compare.words import signed
from thawline.story.figures import joined


def told_shares(found: Charged) -> tuple[Share, ...]:
    """Choose the shares that are more than their uncertainty and worth a word.

    Parameters
    ----------
    found : Charged
        The difference, taken apart.

    Returns
    -------
    tuple of Share
        The largest first.
    """
    least = setting("least_share_kWh")
    return tuple(one for one in found.shares if abs(one.kWh) >= max(least, 2.0 * one.sigma_kWh))


def charged_sentence(found: Charged | None) -> str | None:
    """Say the likely reasons for a difference in what was charged, the largest first.

    Parameters
    ----------
    found : Charged or None
        The difference, taken apart.

    Returns
    -------
    str or None
        One sentence or two; None where as much was charged, within its uncertainty.
    """
    if found is None:
        return None
    if abs(found.kWh) < max(setting("least_charge_kWh"), 2.0 * found.sigma_kWh):
        return None
    told = told_shares(found)
    much = f"{abs(found.kWh):.2f} kWh {'more' if found.kWh > 0.0 else 'less'}"
    text = f"B's pack was charged {much}"
    cannot = ""
    rest = found.kWh - sum(one.kWh for one in told)
    if abs(rest) >= setting("least_charge_kWh"):
        cannot = f" What makes {rest:+.2f} kWh cannot be told: "
        if found.missing:
            cannot += f"an account does not know {joined(found.missing)}."
        else:
            cannot += "it is within the uncertainty of the accounts."
    if not told:
        return signed(f"{text}.{cannot}")
    most = int(setting("said_reasons"))
    said = [f"{one.because} ({one.kWh:+.2f} kWh)" for one in told[:most]]
    left = sum(one.kWh for one in told[most:])
    if told[most:]:
        said.append(f"smaller ones ({left:+.2f} kWh)")
    return signed(f"{text}. Likely why: {'; '.join(said)}.{cannot}")


def supply_sentence(found: Charged | None, rows: Sequence[Row]) -> str | None:
    """Say why the supply gave more or less, where as much was charged.

    Parameters
    ----------
    found : Charged or None
        The difference in what was charged, taken apart.
    rows : sequence of Row
        All figures.

    Returns
    -------
    str or None
        One sentence; None where the supply gave as much, or ``charged_sentence`` says it.
    """
    total = next((row for row in rows if row.key == "energy-supply"), None)
    if found is None or total is None or not total.differs or charged_sentence(found):
        return None
    told = [one for one in told_shares(found) if one.key.startswith("supply")]
    if not told:
        return None
    said = [f"{one.because} ({one.kWh:+.2f} kWh)" for one in told]
    return signed(f"Likely why the supply's energy differs: {'; '.join(said)}.")
