"""Give each drive unit, heater or port a word of its own, so that votes name concrete paths."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace

from thawline.suggest.places import CABLE_OF
from thawline.suggest.votes import Vote

#: Words where no name tells, in the order of the database.
NUMBERED = ("First", "Second", "Third", "Fourth")
#: Log-odds from which a signal gets a word of its own [1].
LEAST = 1.0
_OPEN = re.compile(r"<\w+>")


def resolve(
    votes: Iterable[Vote], words: Mapping[str, str], order: Mapping[str, int]
) -> list[Vote]:
    """Turn votes on open paths into votes on concrete ones.

    Parameters
    ----------
    votes : iterable of Vote
        Votes; their paths may leave ``<Position>`` or ``<Name>`` open.
    words : mapping of str to str
        Words that names give, by key, such as ``Front``.
    order : mapping of str to int
        Places of the keys in the database [1].

    Returns
    -------
    list of Vote
        Votes on concrete paths: those on each open path for as many signals as have words.
    """
    done: list[Vote] = []
    opened: dict[str, dict[str, list[Vote]]] = {}
    for vote in votes:
        if _OPEN.search(vote.path):
            opened.setdefault(vote.path, {}).setdefault(vote.key, []).append(vote)
        else:
            done.append(vote)
    for path, by_key in opened.items():
        total = {key: sum(vote.weight for vote in cast) for key, cast in by_key.items()}
        most = 1 if path == CABLE_OF else len(NUMBERED)
        ranked = sorted(total, key=lambda key: (-total[key], order.get(key, 0)))
        named = [key for key in ranked if key in words]
        likely = [key for key in ranked if key not in words and total[key] > LEAST]
        others = sorted(likely[:most], key=lambda key: order.get(key, 0))
        for key in named:
            done += [replace(vote, path=_OPEN.sub(words[key], path)) for vote in by_key[key]]
        for key, word in zip(others, NUMBERED, strict=False):
            done += [replace(vote, path=_OPEN.sub(word, path)) for vote in by_key[key]]
    return done
