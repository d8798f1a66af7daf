"""Find what everything else is told by: pack, charge, power balance, supply and warm-up."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from thawline.suggest.balance import Balance, Term, balance
from thawline.suggest.candidate import Scene
from thawline.suggest.charge import Counted, count_all
from thawline.suggest.kinds import Reading
from thawline.suggest.likeness import group_loads
from thawline.suggest.pack import Pair, find_pairs, level_pairs, power_pairs
from thawline.suggest.sharing import Shared, share_out, warmed_by
from thawline.suggest.standing import joined, standing
from thawline.suggest.supply import Supply, find_supplies
from thawline.suggest.thresholds import threshold
from thawline.suggest.warming import Warming, find_warming

#: Pairs of voltage and current that are followed up [1].
MOST_PAIRS = 6
#: Key of the supply's power where it stands in the balance as a whole.
SUPPLY = "supply"
#: Warm-ups that are weighed together with the loads [1].
MOST_WARMINGS = 8
#: A current that runs both ways does so by more than its offset [A].
RUNS_BACK_A = 1.0
#: Share that a find must explain for its signals to be taken for nothing else [1].
SURE = 0.95


@dataclass(frozen=True, slots=True)
class Anchors:
    """What was found first; each may be missing.

    Parameters
    ----------
    pair : Pair or None
        Voltage and current of the pack.
    pairs : tuple of Pair
        All pairs that came into question, best first.
    counted : tuple of Counted
        States of charge held against the current's integral.
    balance : Balance
        Powers that make up the pack's.
    supplies : tuple of Supply
        Supplies that are possible, best first.
    warmings : tuple of Warming
        Warm-ups that are possible, best first.
    shared : tuple of Shared
        What each load does, for each warm-up.
    """

    pair: Pair | None
    pairs: tuple[Pair, ...]
    counted: tuple[Counted, ...]
    balance: Balance
    supplies: tuple[Supply, ...]
    warmings: tuple[Warming, ...]
    shared: tuple[Shared, ...] = ()

    @property
    def supply(self) -> Supply | None:
        """The most likely supply."""
        return self.supplies[0] if self.supplies else None

    @property
    def warming(self) -> Warming | None:
        """The most likely warm-up."""
        return self.warmings[0] if self.warmings else None

    @property
    def sharing(self) -> Shared:
        """What each load does in the most likely warm-up."""
        return self.shared[0] if self.shared else Shared()


def find_anchors(
    scene: Scene, readings: Mapping[str, Sequence[Reading]], favour: Mapping[str, float]
) -> Anchors:
    """Find pack, charge, balance, supply and warm-up in a scene.

    Parameters
    ----------
    scene : Scene
        All candidates on one clock.
    readings : mapping of str to sequence of Reading
        Readings by kind.
    favour : mapping of str to float
        What names say for a candidate being the pack's voltage or current [1].

    Returns
    -------
    Anchors
        What was found.
    """
    pairs = find_pairs(readings["voltage"], readings["current"], scene.segment)
    both_ways = any(_runs_back(pair) and pair.explained > threshold("ohmic_good") for pair in pairs)
    if not both_ways:
        pairs += power_pairs(readings["voltage"], readings["power"], scene.segment)
    if not any(pair.explained > threshold("ohmic_good") for pair in pairs):
        pairs += level_pairs(readings["voltage"], readings["current"])
    pairs.sort(key=lambda pair: -(4.0 * pair.explained + _runs_back(pair) + _favour(pair, favour)))
    best: tuple[float, Pair, tuple[Counted, ...], Balance, list[Supply]] | None = None
    for pair in pairs[:MOST_PAIRS]:
        counted = tuple(count_all(readings["share"], pair, scene.segment))
        found, supplies = _balance(pair, readings, scene)
        score = 4.0 * pair.explained + _favour(pair, favour) + 4.0 * found.explained**4
        score += 2.0 * _runs_back(pair)
        is_counted = any(one.is_counted for one in counted)
        score += 3.0 * is_counted
        if not _is_believable(pair, found, readings, is_counted=is_counted):
            continue
        if best is None or score > best[0]:
            best = score, pair, counted, found, supplies
    if best is None:
        supplies = find_supplies(readings["voltage"], readings["current"], None, frozenset())
        none = Anchors(None, (), (), Balance(), tuple(supplies), ())
        return _with_warmings(none, readings, scene)
    _, pair, counted, found, supplies = best
    made = Anchors(pair, tuple(pairs), counted, found, tuple(supplies), ())
    return _with_warmings(made, narrowed(readings, made), scene)


def _is_believable(
    pair: Pair, found: Balance, readings: Mapping[str, Sequence[Reading]], *, is_counted: bool
) -> bool:
    """Tell whether a pair is the pack's; a supply's current may pass for one.

    A current that flows only while some mains voltage is there must explain the pack's voltage
    all the better. And a balance alone must be one of several powers.
    """
    is_drawn = bool(find_supplies(readings["voltage"], [pair.current], None, frozenset()))
    needed = threshold("ohmic_sure" if is_drawn and not is_counted else "ohmic_good")
    if pair.explained >= needed:
        return True
    balanced = found.explained >= threshold("balance_good") and len(found.terms) > 1
    return not is_drawn and (is_counted or balanced)


def _runs_back(pair: Pair) -> bool:
    """Tell whether a current runs both ways, as only the pack's does."""
    values = pair.current.values
    low, high = float(np.nanpercentile(values, 0.5)), float(np.nanpercentile(values, 99.5))
    return min(-low, high) > RUNS_BACK_A + pair.current.step


def _favour(pair: Pair, favour: Mapping[str, float]) -> float:
    return favour.get(pair.voltage.key, 0.0) + favour.get(pair.current.key, 0.0)


def _balance(
    pair: Pair, readings: Mapping[str, Sequence[Reading]], scene: Scene
) -> tuple[Balance, list[Supply]]:
    """Balance the pack's power; where the charger's output has no signal, from the supply."""
    taken = frozenset((pair.voltage.key, pair.current.key))
    found = balance(pair.power_kW, readings["power"], scene.segment, taken)
    standing_kW = standing(pair, readings)
    if standing_kW is not None:
        calm = balance(standing_kW, readings["power"], scene.segment, taken)
        found = joined(found, calm)
    pack_kW = pair.power_kW if standing_kW is None else standing_kW
    for feed in found.feeds:
        supplies = find_supplies(
            readings["voltage"], readings["current"], feed.reading.values, taken
        )
        if supplies and not supplies[0].is_direct:
            return found, supplies
    supplies = find_supplies(readings["voltage"], readings["current"], None, taken)
    best, used = found, supplies
    for supply in supplies[:MOST_PAIRS]:
        keys = taken | {one.key for one in (*supply.voltages, *supply.currents)}
        whole = Reading(SUPPLY, "power", "kW", supply.power_kW, 0.0, True, -1)
        more = balance(pack_kW, [whole, *readings["power"]], scene.segment, keys)
        fed = [term for term in more.terms if term.reading.key == SUPPLY and term.factor == 1]
        if fed and more.explained > best.explained + 0.01:
            best = more
            told = replace(supply, efficiency=None, explained=more.explained)
            used = [told, *(one for one in supplies if one is not supply)]
    return best, used


def narrowed(
    readings: Mapping[str, Sequence[Reading]], anchors: Anchors
) -> dict[str, list[Reading]]:
    """Leave signals without a unit out of all kinds but the one that they were found to be.

    Parameters
    ----------
    readings : mapping of str to sequence of Reading
        Readings by kind.
    anchors : Anchors
        What was found so far.

    Returns
    -------
    dict of str to list of Reading
        What is left.
    """
    kinds: dict[str, str] = {}
    if anchors.pair is not None:
        kind = "power" if anchors.pair.is_power else "current"
        kinds |= {anchors.pair.voltage.key: "voltage", anchors.pair.current.key: kind}
    supply = anchors.supply
    if supply is not None and supply.explained > SURE:
        kinds |= {one.key: "voltage" for one in supply.voltages}
        kinds |= {one.key: "current" for one in supply.currents}
    kinds |= {one.reading.key: "share" for one in anchors.counted if one.is_counted}
    if anchors.balance.explained > SURE:
        kinds |= {term.reading.key: "power" for term in anchors.balance.terms}
    if anchors.warming is not None and anchors.warming.score > threshold("warming_good"):
        warming = anchors.warming
        warm = [warming.inlet, *(one.reading for one in warming.followers)]
        kinds |= {one.key: "temperature" for one in warm}
    return {
        kind: [one for one in found if one.is_said or kinds.get(one.key, kind) == kind]
        for kind, found in readings.items()
    }


def _with_warmings(
    anchors: Anchors, readings: Mapping[str, Sequence[Reading]], scene: Scene
) -> Anchors:
    """Weigh warm-ups together with what the loads then do."""
    temperatures = readings["temperature"]
    found = find_warming(temperatures, scene.segment)[:MOST_WARMINGS]
    groups = group_loads([t for t in load_terms(anchors, readings["power"]) if _may_heat(t)])
    warmed = warmed_by(temperatures, groups, scene.segment)
    both = [(one, share_out(one, groups, warmed, scene.segment)) for one in found]
    both.sort(key=lambda pair: -(pair[0].score + pair[1].score))
    scored = tuple(replace(one, score=one.score + shared.score) for one, shared in both)
    return replace(anchors, warmings=scored, shared=tuple(shared for _, shared in both))


def _may_heat(term: Term) -> bool:
    """Tell whether a load may heat: it rests at times, and never gives back."""
    values = term.reading.values
    top = float(np.nanmax(values))
    return bool(
        top < threshold("heats_most")
        and float(np.nanmin(values)) > -0.05 * top
        and float(np.nanpercentile(values, 1)) < max(0.1 * top, term.reading.step)
    )


def load_terms(anchors: Anchors, powers: Sequence[Reading]) -> list[Term]:
    """List the powers that may heat: those that the balance found, else any that may draw.

    Parameters
    ----------
    anchors : Anchors
        What was found so far.
    powers : sequence of Reading
        Readings as powers.

    Returns
    -------
    list of Term
        The loads; those that no balance confirms have no share.
    """
    if anchors.balance.loads:
        return anchors.balance.loads
    used = {term.reading.key for term in anchors.balance.terms}
    found = []
    for one in powers:
        if one.is_said and one.key not in used and float(np.nanmin(one.values)) > -one.step:
            rests = np.nanmean(one.values <= one.step) > 0.01
            if rests and 0.2 < float(np.nanmax(one.values)) < 30.0:
                found.append(Term(one, -1, 0.0, 0.0))
    return found
