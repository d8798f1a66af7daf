"""What was learned of a vehicle's cells, in plain words."""

from __future__ import annotations

from thawline.charge.learned import Capacity, HiddenCurve, Learned, LimitCurve
from thawline.charge.resisting import ResistanceCurve
from thawline.ledger.rounding import plus_minus

NAMES = {"charging": "Charging", "regeneration": "Regeneration"}
#: A trend over less than this says too little [percent per year].
SURE = 2.0


def sentences(found: Learned) -> list[str]:
    """Say what was learned.

    Parameters
    ----------
    found : Learned
        What was learned.

    Returns
    -------
    list of str
        One paragraph for each thing that was.
    """
    said = [_limit(curve) for curve in (found.charging, found.regeneration) if curve is not None]
    if found.resistance is not None:
        said.append(_resistance(found.resistance))
    said.append(_capacity(found.capacity))
    if found.hidden is not None:
        said.append(_hidden(found.hidden))
    return [minus(words) for words in said]


def minus(text: str) -> str:
    """Write true minus signs before numbers.

    Parameters
    ----------
    text : str
        Text with numbers.

    Returns
    -------
    str
        The text, ranges and hyphens left alone.
    """
    return "".join(
        "−"
        if mark == "-" and (i == 0 or text[i - 1] in " (") and text[i + 1 : i + 2].isdigit()
        else mark
        for i, mark in enumerate(text)
    )


def _limit(curve: LimitCurve) -> str:
    name, threshold = NAMES[curve.what], curve.threshold
    if threshold.degC is not None:
        at = plus_minus(threshold.degC, threshold.plus_minus_K or 0.0, "°C")
        text = f"{name} is allowed from {at} of the {curve.against} on ({threshold.note})."
    else:
        text = f"{name}: where it leaves zero cannot be told: {threshold.note}."
    if curve.origin == "achieved":
        return (
            f"{text} No limit is recorded; the most that was achieved was "
            f"{curve.kW[-1]:.1f} kW, and at least so much was allowed."
        )
    text += f" At {curve.degC[-1]:.1f} °C, the warmest seen, it is {curve.kW[-1]:.1f} kW."
    if curve.full_from_degC is not None:
        text += f" From {curve.full_from_degC:.1f} °C on it rises no more."
    else:
        text += " It was still rising there: where the cold stops mattering altogether is not seen."
    if curve.enough_from_degC is not None and curve.enough_kW is not None:
        text += (
            f" From {curve.enough_from_degC:.1f} °C on it is more than the most that was ever "
            f"asked of it ({curve.enough_kW:.1f} kW)."
        )
    seen = curve.charge_seen_pct
    if len(curve.charge_pct) > 1:
        text += f" Above {curve.charge_pct[0]:.0f} % the state of charge holds it back."
    elif seen is not None:
        text += f" Between {seen[0]:.0f} and {seen[1]:.0f} % charge held nothing back."
    return text


def _resistance(curve: ResistanceCurve) -> str:
    value = plus_minus(curve.mOhm, curve.plus_minus_mOhm, "mΩ")
    text = f"The pack's resistance is {value} at {curve.reference_degC:.1f} °C"
    if curve.activation_kJ_per_mol is not None:
        energy = plus_minus(
            curve.activation_kJ_per_mol, curve.activation_plus_minus or 0.0, "kJ/mol"
        )
        text += f" and grows in the cold with an activation energy of {energy}."
    else:
        text += "; how it grows in the cold cannot be told yet."
    if curve.by_steps_mOhm is not None:
        text += f" Steps of the current alone give {curve.by_steps_mOhm:.0f} mΩ."
    if curve.trend_pct_per_year is not None and curve.trend_plus_minus is not None:
        trend = plus_minus(curve.trend_pct_per_year, curve.trend_plus_minus, "% per year")
        if abs(curve.trend_pct_per_year) > SURE * curve.trend_plus_minus:
            text += f" Over the mornings it changes by {trend}."
        else:
            text += f" No trend over the mornings can be told ({trend})."
    return f"{text} {curve.note[:1].upper()}{curve.note[1:]}." if curve.note else text


def _capacity(size: Capacity) -> str:
    if size.Ah is None:
        return f"Capacity: {size.note}."
    text = f"The pack's capacity is {plus_minus(size.Ah, size.plus_minus_Ah or 0.0, 'Ah')}"
    if size.kWh is not None:
        text += f", about {plus_minus(size.kWh, size.plus_minus_kWh or 0.0)}"
    return f"{text} ({size.note})."


def _hidden(curve: HiddenCurve) -> str:
    text = f"At {curve.degC[0]:.1f} °C the display hides {curve.hidden_pct[0]:.1f} points of charge"
    if curve.pct_per_K is not None:
        text += f", {curve.pct_per_K:.2f} points per kelvin"
    text += f"; at {curve.degC[-1]:.1f} °C it hides {curve.hidden_pct[-1]:.1f} points."
    if curve.none_from_degC is not None:
        text += f" From about {curve.none_from_degC:.0f} °C on it hides nothing."
    return text + " What is hidden comes back by warming; it was never lost."
