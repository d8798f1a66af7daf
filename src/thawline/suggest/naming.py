"""Votes from names: what signal, message, comment, labels, unit and range say."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from thawline.physics.constants import read_table
from thawline.signals.catalogue import find_signal
from thawline.suggest.candidate import Candidate
from thawline.suggest.kinds import is_state, kind_of_unit
from thawline.suggest.votes import Vote
from thawline.suggest.weights import weight
from thawline.suggest.words import POSITIONS, concepts

#: What units say of the quantity, in the words of names.
QUANTITIES = {
    "temperature": "temperature",
    "voltage": "voltage",
    "current": "current",
    "power": "power",
    "energy": "energy",
    "flow": "flow",
    "torque": "torque",
    "rotation": "rotation",
    "velocity": "speed",
}
#: Words that may stand in any name without saying another thing.
NEUTRAL = frozenset({"physical", "number", "air", *POSITIONS})
#: How far a word is believed by where it stands [1].
SIGNAL, COMMENT, MESSAGE = 1.0, 0.85, 0.75
_PHASE = re.compile(r"\.Phase\d?$")


@dataclass(frozen=True, slots=True)
class Rule:
    """What a name must, may and must not say to be a path.

    Parameters
    ----------
    path : str
        The path; it may leave a position or the phase open.
    needs : tuple of frozenset of str
        Groups of concepts; one of each group is needed.
    helps, forbids : frozenset of str
        Concepts that fit, and that contradict.
    high : tuple of float or None
        Within which the database's highest value must lie [unit].
    seen : tuple of float or None
        Within which the median of the values must lie [unit].
    """

    path: str
    needs: tuple[frozenset[str], ...]
    helps: frozenset[str]
    forbids: frozenset[str]
    high: tuple[float, float] | None
    seen: tuple[float, float] | None


@dataclass(frozen=True, slots=True)
class Spoken:
    """What the texts around a signal say.

    Parameters
    ----------
    signal, message, comment : frozenset of str
        Concepts of its name with its unit, its message's name, its comment and labels.
    kind : str or None
        Kind of quantity that the unit states; empty: no unit; None: a unit of no kind of ours.
    """

    signal: frozenset[str]
    message: frozenset[str]
    comment: frozenset[str]
    kind: str | None

    def level(self, group: frozenset[str]) -> float:
        """Tell how surely one of some concepts is meant.

        Parameters
        ----------
        group : frozenset of str
            The concepts.

        Returns
        -------
        float
            1 if the signal's name says so, less if only its surroundings do, 0 if none [1].
        """
        for said, value in (
            (self.signal, SIGNAL),
            (self.comment, COMMENT),
            (self.message, MESSAGE),
        ):
            if group & said:
                return value
        return 0.0


@cache
def rules() -> tuple[Rule, ...]:
    """Read the rules of ``names.csv``.

    Returns
    -------
    tuple of Rule
        A rule for each path that names can tell.
    """
    return tuple(
        Rule(
            row["path"],
            tuple(frozenset(group.split("|")) for group in row["needs"].split()),
            frozenset(row["helps"].split()),
            frozenset(row["forbids"].split()),
            _span(row["high_from"], row["high_to"]),
            _span(row["seen_low"], row["seen_high"]),
        )
        for row in read_table("thawline.suggest", "names.csv")
    )


def _span(low: str, high: str) -> tuple[float, float] | None:
    return (float(low), float(high)) if low and high else None


def spoken(candidate: Candidate) -> Spoken:
    """Gather what the texts around a candidate say.

    Parameters
    ----------
    candidate : Candidate
        The candidate.

    Returns
    -------
    Spoken
        Concepts by where they stand.
    """
    kind = kind_of_unit(candidate.unit)
    name, message, comment = (*candidate.words, "", "", "")[:3]
    labels = " ".join(candidate.labels.values())
    unit = {QUANTITIES[kind]} if kind in QUANTITIES else set()
    return Spoken(
        concepts(name, kind) | unit,
        concepts(message, kind) - set(QUANTITIES.values()),
        concepts(f"{comment} {labels}", kind),
        kind,
    )


def position_words(candidates: Sequence[Candidate]) -> dict[str, str]:
    """Find the words that tell drive units, heaters and ports apart.

    Parameters
    ----------
    candidates : sequence of Candidate
        The candidates.

    Returns
    -------
    dict of str to str
        Such as ``Front``, by key; only where a name gives one.
    """
    found = {}
    for one in candidates:
        said = spoken(one)
        for text in (said.signal, said.message, said.comment):
            words = [word for word in POSITIONS if word in text]
            if words:
                found[one.key] = "".join(word.capitalize() for word in words)
                break
    return found


def tell_names(candidates: Sequence[Candidate]) -> Iterator[Vote]:
    """Say what names speak for and against.

    Parameters
    ----------
    candidates : sequence of Candidate
        All candidates.

    Yields
    ------
    Vote
        What speaks for, or against, a signal being a path.
    """
    for one in candidates:
        said = spoken(one)
        says_anything = bool((said.signal | said.comment) - set(QUANTITIES.values()))
        for rule in rules():
            if not _fits_unit(rule, one, said):
                continue
            value, words = _weigh(rule, said, says_anything=says_anything)
            value += _range_votes(rule, one) if value > 0.0 else 0.0
            if abs(value) >= weight("name_least"):
                because = "its name says so" if value > 0.0 else ""
                words = f"words: {words}" if words and value > 0.0 else words
                yield Vote(_concrete(rule.path, said), one.key, value, because, words)


def _fits_unit(rule: Rule, one: Candidate, said: Spoken) -> bool:
    row = find_signal(rule.path.replace(".Phase", ".Phase1") if _is_phase(rule) else rule.path)
    if row is None:
        return False
    if row.is_state:
        return said.kind == "" and (is_state(one) or not one.spread)
    return said.kind == kind_of_unit(row.unit) or (said.kind == "" and not is_state(one))


def _is_phase(rule: Rule) -> bool:
    return bool(_PHASE.search(rule.path))


def _concrete(path: str, said: Spoken) -> str:
    """Put the phase's number in, from the name; the first if it gives none."""
    if not _PHASE.search(path):
        return path
    number = next((n for n in "123" if n in said.signal), None)
    number = number or next((n for n in "123" if n in said.comment), "1")
    return f"{path}{number}"


def _weigh(rule: Rule, said: Spoken, *, says_anything: bool) -> tuple[float, str]:
    levels = [said.level(group) for group in rule.needs]
    own = said.signal - {n for n in said.signal if n.isdigit()}
    against = rule.forbids & own
    if against:
        return weight("name_forbids"), f"its name speaks of {', '.join(sorted(against))}"
    known = frozenset().union(*rule.needs) | rule.helps | NEUTRAL | set(QUANTITIES.values())
    foreign = own - known
    missing = sum(level == 0.0 for level in levels)
    if missing == 0:
        value = weight("name") * float(np.prod(levels))
        value += weight("name_helps") * len((own | said.comment) & rule.helps)
        value += weight("name_forbids") / 3.0 * bool(rule.forbids & said.comment)
        value += weight("name_foreign") * len(foreign)
        words = ", ".join(
            sorted({w for group in rule.needs for w in group & (own | said.comment | said.message)})
        )
        return min(value, weight("name") + 1.0), words
    if missing == 1 and len(levels) > 1 and not foreign and says_anything:
        specific = any(
            level == SIGNAL and not group & set(QUANTITIES.values())
            for group, level in zip(rule.needs, levels, strict=True)
        )
        return (weight("name_partly") if specific else 0.0), "part of its name"
    if says_anything and foreign:
        return weight("name_foreign"), ""
    return 0.0, ""


def _range_votes(rule: Rule, one: Candidate) -> float:
    """Hold the database's range, and the values seen, against what the path has."""
    value = 0.0
    if rule.high is not None and one.high is not None and one.high != one.low:
        value += 0.5 if rule.high[0] <= one.high <= rule.high[1] else weight("range_wrong")
    if rule.seen is not None and np.isfinite(one.values).any():
        middle = float(np.nanmedian(one.values))
        if not rule.seen[0] <= middle <= rule.seen[1]:
            value += weight("range_wrong")
    return value


def favours(votes: Sequence[Vote], paths: Mapping[str, float]) -> dict[str, float]:
    """Sum what names say for a signal being one of some paths.

    Parameters
    ----------
    votes : sequence of Vote
        Votes of names.
    paths : mapping of str to float
        How much each path's votes count [1].

    Returns
    -------
    dict of str to float
        By key [1].
    """
    found: dict[str, float] = {}
    for vote in votes:
        if vote.path in paths:
            found[vote.key] = max(found.get(vote.key, -9.0), paths[vote.path] * vote.weight)
    return found
