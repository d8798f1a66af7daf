"""What differs between two mornings, and the likely reason, in plain words."""

from __future__ import annotations

from collections.abc import Sequence

from thawline.compare.comparison import Part, Row, Side, Turning
from thawline.compare.sides import ExplainedLike, setting
from thawline.compare.warming import warming

#: What a turning point is called within a sentence.
SAID = {
    "coldest-cell-thaws": "The coldest cell passed 0 °C",
    "regeneration-returns": "Regeneration returned",
    "charging-begins": "Charging began",
    "cabin-comfortable": "The cabin became comfortable",
}
THE = {
    "coldest-cell-thaws": "B thawed",
    "charging-begins": "B began to charge",
    "regeneration-returns": "B regained regeneration",
}


def signed(text: str) -> str:
    """Write true minus signs.

    Parameters
    ----------
    text : str
        Text with numbers.

    Returns
    -------
    str
        The text with minus signs before digits.
    """
    out = []
    for i, mark in enumerate(text):
        before_digit = mark == "-" and i + 1 < len(text) and text[i + 1].isdigit()
        starts = i == 0 or text[i - 1] in " (±"
        out.append("−" if before_digit and starts else mark)
    return "".join(out)


def _since(side: Side) -> str:
    return "plugging in" if side.is_from_plug_in else "the first sample"


def turning_sentences(turnings: Sequence[Turning], sides: tuple[Side, Side]) -> list[str]:
    """Say which turning points came earlier or later, or only once.

    Parameters
    ----------
    turnings : sequence of Turning
        Turning points of both.
    sides : tuple of Side
        The mornings.

    Returns
    -------
    list of str
        One sentence each; none for those that came at the same time.
    """
    found = []
    by_kind = {one.kind: one for one in turnings}
    for kind in SAID:  # the weightiest first
        one = by_kind.get(kind)
        if one is None:
            continue
        later = one.later_s
        if later is None:
            came, missed = ("A", "B") if one.a_s is not None else ("B", "A")
            at = one.a_s if one.a_s is not None else one.b_s
            assert at is not None  # a turning that neither has is not listed
            found.append(
                f"{SAID[one.kind]} in {came} ({at / 60.0:.1f} min after "
                f"{_since(sides[0 if came == 'A' else 1])}), in {missed} not at all."
            )
            continue
        if abs(later) < max(setting("same_time_s"), 2.0 * (one.a_sigma_s + one.b_sigma_s)):
            continue
        assert one.a_s is not None and one.b_s is not None  # else there is no difference
        found.append(
            f"{SAID[one.kind]} {abs(later) / 60.0:.1f} min {'later' if later > 0 else 'earlier'} "
            f"in B: {one.b_s / 60.0:.1f} min after {_since(sides[1])}, "
            f"in A {one.a_s / 60.0:.1f} min."
        )
    return found


def reason_sentence(
    target: str, parts: Sequence[Part], supply: Row | None, cabin: Row | None = None
) -> str | None:
    """Say the likely reasons for a difference in time, the weightiest first.

    Parameters
    ----------
    target : str
        Kind of the turning point that the parts lead to.
    parts : sequence of Part
        The reasons.
    supply : Row or None
        Power of the supplies, which limits the heat.
    cabin : Row or None
        Energy of cabin heating, which is taken from the same supply.

    Returns
    -------
    str or None
        One sentence; None where no reason weighs enough.
    """
    telling = [part for part in parts if part.is_told]
    telling.sort(key=lambda part: -abs(part.minutes))
    if not telling:
        return None
    said = [f"{part.because} ({part.minutes:+.1f} min)" for part in telling]
    apart = sum(part.minutes for part in parts)
    text = f"Likely why {THE[target]} {abs(apart):.1f} min {'later' if apart > 0 else 'earlier'}: "
    text += "; ".join(said) + "."
    if (
        telling
        and any(part.key == "heat-power" for part in telling)
        and supply is not None
        and supply.differs
        and supply.a is not None
        and supply.b is not None
    ):
        text += f" The supply gave {supply.b:.1f} kW instead of {supply.a:.1f} kW."
    heat = sum(part.minutes for part in telling if part.key == "heat-power")
    if cabin is not None and cabin.differs and (cabin.difference or 0.0) * heat > 0.0:
        text += f" Cabin heating took {cabin.b:.2f} kWh instead of {cabin.a:.2f} kWh."
    rest = apart - sum(part.minutes for part in telling)
    if abs(rest) >= setting("least_minutes"):
        text += f" What makes {rest:+.1f} min cannot be told."
    return signed(text)


def energy_sentence(rows: Sequence[Row]) -> str | None:
    """Say which took more energy, and for what.

    Parameters
    ----------
    rows : sequence of Row
        All figures.

    Returns
    -------
    str or None
        One or two sentences; None where the supplies gave the same or are not known.
    """
    by_key = {row.key: row for row in rows}
    total = by_key.get("energy-supply")
    if total is None or total.difference is None or not total.differs:
        return None
    more = total.difference
    text = f"B took {abs(more):.2f} kWh {'more' if more > 0 else 'less'} from the supply"
    lines = [row for row in rows if row.group == "Energy" and row.key != "energy-supply"]
    telling = [row for row in lines if row.differs and row.difference is not None]
    telling.sort(key=lambda row: -abs(row.difference or 0.0))
    if telling:
        said = [f"{row.title} {row.difference:+.2f} kWh" for row in telling[:3]]
        text += f" (largest differences: {', '.join(said)})"
    cost = by_key.get("cost")
    if cost is not None and cost.a is not None and cost.b is not None:
        text += f"; it cost {cost.b:.2f} instead of {cost.a:.2f}"
    return signed(text + ".")


def charge_sentence(rows: Sequence[Row]) -> str | None:
    """Say how the display's gains differ.

    Parameters
    ----------
    rows : sequence of Row
        All figures.

    Returns
    -------
    str or None
        One sentence; None where they do not differ or are not known.
    """
    by_key = {row.key: row for row in rows}
    shown, charged, warmed = (
        by_key.get(f"charge-{name}") for name in ("shown", "charged", "warmed-back")
    )
    if shown is None or shown.a is None or shown.b is None or not shown.differs:
        return None
    text = f"The display gained {shown.b:.1f} points in B and {shown.a:.1f} in A"
    if charged is not None and warmed is not None:
        pairs = (charged.b, warmed.b, charged.a, warmed.a)
        if all(value is not None for value in pairs):
            text += (
                f"; charged were {charged.b:.1f} and {charged.a:.1f}, "
                f"warmed back {warmed.b:.1f} and {warmed.a:.1f}"
            )
    return signed(text + ".")


def allowed_sentence(rows: Sequence[Row]) -> str | None:
    """Say whether the car allowed the same at the same temperature.

    Parameters
    ----------
    rows : sequence of Row
        All figures.

    Returns
    -------
    str or None
        One sentence; None where too little is recorded.
    """
    same = [row for row in rows if row.group == "Allowed" and row.key.endswith("-degC")]
    known = [row for row in same if row.difference is not None]
    if not known:
        return None
    differing = [
        row for row in known if row.differs and abs(row.difference or 0.0) > 0.1 * (row.a or 0.0)
    ]
    if not differing:
        return "At the same coldest cell the car allowed the same in both."
    row = max(differing, key=lambda one: abs(one.difference or 0.0))
    return signed(
        f"At the same coldest cell the car did not allow the same: {row.title} "
        f"{row.b:.1f} kW in B, {row.a:.1f} kW in A. State of charge, age of the log or a change "
        "of the car may be why."
    )


def missing_sentence(
    target: str, explained: ExplainedLike, side: Side, other: ExplainedLike, other_side: Side
) -> str | None:
    """Say why one of both did not get there, where the other did.

    Parameters
    ----------
    target : str
        Kind of the turning point.
    explained, other : ExplainedLike
        The one that did, and the one that did not.
    side, other_side : Side
        Their clocks.

    Returns
    -------
    str or None
        One sentence; None where the warm-up is not known.
    """
    from thawline.compare.pace import pace  # beside the sentence that alone needs it

    did, ran = warming(explained, side, target), pace(other, other_side)
    if did is None or ran is None:
        return None
    return signed(
        f"{other_side.label} warmed by {ran.rise_K:.1f} K with {ran.heat_kW:.1f} kW of heat from "
        f"{ran.from_degC:.1f} °C; {side.label} by {did.rise_K:.1f} K with {did.heat_kW:.1f} kW "
        f"from {did.from_degC:.1f} °C."
    )
