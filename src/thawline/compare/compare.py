"""Compare two mornings."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from thawline.compare.charged import charged
from thawline.compare.charged_words import charged_sentence, supply_sentence
from thawline.compare.comparison import Array, Comparison, Overlay, Part, Side, Turning
from thawline.compare.coolant import flow_sentence, less_reached, mean_flow
from thawline.compare.figures import figures
from thawline.compare.pace import pace
from thawline.compare.sides import ExplainedLike, channel, flow, heat, side_of
from thawline.compare.warming import Warming, first, parts, warming
from thawline.compare.words import (
    allowed_sentence,
    charge_sentence,
    energy_sentence,
    missing_sentence,
    reason_sentence,
    signed,
    turning_sentences,
)
from thawline.physics.constants import read_table
from thawline.story.story import KINDS

#: What a warm-up leads to, in the order in which reasons are looked for.
TARGETS = ("coldest-cell-thaws", "charging-begins", "regeneration-returns")


def _turnings(a: ExplainedLike, b: ExplainedLike, sides: tuple[Side, Side]) -> tuple[Turning, ...]:
    found = []
    for kind in KINDS:
        one, other = first(a, kind), first(b, kind)
        if one is None and other is None:
            continue
        found.append(
            Turning(
                kind,
                None if one is None else one.t_s - sides[0].zero_s,
                None if other is None else other.t_s - sides[1].zero_s,
                0.0 if one is None else one.plus_minus_s,
                0.0 if other is None else other.plus_minus_s,
            )
        )
    return tuple(found)


def _values(explained: ExplainedLike, origin: str, name: str) -> Array | None:
    if origin == "flow":
        return flow(explained, name)
    return heat(explained) if origin == "heat" else channel(explained, name)


def _overlays(a: ExplainedLike, b: ExplainedLike, sides: tuple[Side, Side]) -> tuple[Overlay, ...]:
    nothing = np.zeros(0)
    found = []
    for row in read_table("thawline.compare", "overlays.csv"):
        one, other = (_values(e, row["origin"], row["name"]) for e in (a, b))
        if one is None and other is None:
            continue
        found.append(
            Overlay(
                row["key"],
                row["title"],
                row["unit"],
                nothing if one is None else a.flows.t - sides[0].zero_s,
                nothing if one is None else one,
                nothing if other is None else b.flows.t - sides[1].zero_s,
                nothing if other is None else other,
            )
        )
    return tuple(found)


def _flows(
    both: tuple[ExplainedLike, ExplainedLike],
    sides: tuple[Side, Side],
    found: tuple[Part, ...],
    pair: tuple[Warming | None, Warming | None],
) -> str | None:
    """Say what coolant flow tells, of the warm-ups to the target or of all the heating."""
    ran = pair if found else (pace(both[0], sides[0]), pace(both[1], sides[1]))
    a, b = (
        None if one is None else mean_flow(explained, side, one)
        for explained, side, one in zip(both, sides, ran, strict=True)
    )
    return flow_sentence(less_reached(found, ran), (a, b))


def compare(a: ExplainedLike, b: ExplainedLike, per_kWh: float | None = None) -> Comparison:
    """Compare two mornings.

    Parameters
    ----------
    a, b : ExplainedLike
        The explained recordings; B is told against A.
    per_kWh : float, optional
        Price of a kilowatt-hour from the supply, in any currency [1/kWh].

    Returns
    -------
    Comparison
        What differs, and the likely reason.
    """
    sides = side_of("A", a), side_of("B", b)
    rows = figures(a, b, sides, per_kWh)
    turnings = _turnings(a, b, sides)
    target, found = "", tuple[Part, ...]()
    pair: tuple[Warming | None, Warming | None] = (None, None)
    for kind in TARGETS:
        warmed_a, warmed_b = warming(a, sides[0], kind), warming(b, sides[1], kind)
        if warmed_a is not None and warmed_b is not None:
            target, found, pair = kind, parts(warmed_a, warmed_b), (warmed_a, warmed_b)
            break
    found = tuple(replace(part, because=signed(part.because)) for part in found)
    flows = _flows((a, b), sides, found, pair)
    balance = charged(a, b, sides, pair)
    supply, cabin = (
        next((row for row in rows if row.key == key), None)
        for key in ("supply-mean", "energy-cabin-heating")
    )
    sentences: list[str | None] = []
    if sides[0].vehicle != sides[1].vehicle:
        sentences.append(
            f"These are different vehicles ({sides[0].vehicle} and {sides[1].vehicle}): what "
            "differs may be the car and not the morning."
        )
    if sides[0].is_from_plug_in != sides[1].is_from_plug_in:
        sentences.append(
            "Only one of both was plugged in within its recording; the other counts from its first "
            "sample."
        )
    said_of_times = turning_sentences(turnings, sides)
    sentences += said_of_times[:1]
    sentences += [reason_sentence(target, found, supply, cabin), flows]
    sentences += said_of_times[1:]
    if not found:
        both = ((a, sides[0]), (b, sides[1]))
        for (did, side), (did_not, other) in (both, both[::-1]):
            sentences.append(missing_sentence(TARGETS[0], did, side, did_not, other))
    sentences += [energy_sentence(rows), supply_sentence(balance, rows), charged_sentence(balance)]
    sentences += [charge_sentence(rows), allowed_sentence(rows)]
    said = tuple(sentence for sentence in sentences if sentence)
    if not said:
        said = ("Nothing that the recordings tell differs by more than its uncertainty.",)
    overlays = _overlays(a, b, sides)
    return Comparison(*sides, rows, turnings, target, found, said, overlays, per_kWh, balance)
