"""Take names apart into words, and words into what they mean.

``words.csv`` holds English and German words and the abbreviations of the trade. Names are
split at capitals, digits and signs; what then is no word is split into words that are joined
(``packvoltage``, ``Zelltemperatur``).
"""

from __future__ import annotations

import re
from functools import cache

from thawline.physics.constants import read_table

_PARTS = re.compile(r"[A-Z]+(?=[A-Z][a-z])|[A-Z]?[a-z]+|[A-Z]+|\d+")
_UMLAUTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "Ä": "Ae", "Ö": "Oe", "Ü": "Ue"})
#: Letters that stand for a quantity if the unit does not say otherwise (ISO 80000).
LETTERS = {
    "t": "temperature",
    "u": "voltage",
    "v": "voltage",
    "i": "current",
    "p": "power",
    "n": "rotation",
}
#: Shortest word that is looked for inside of joined words [1].
SHORTEST = 3
#: A joined word may keep so many letters that belong to no word [1].
SPARE = 2
#: Words that give a drive unit, a heater or a port its name.
POSITIONS = ("front", "rear", "left", "right")


@cache
def _words() -> dict[str, tuple[str, ...]]:
    rows = read_table("thawline.suggest", "words.csv")
    return {row["word"]: tuple(row["concepts"].split()) for row in rows}


def split_name(name: str) -> list[str]:
    """Split a name into words in small letters.

    Parameters
    ----------
    name : str
        A name, or a text.

    Returns
    -------
    list of str
        Its words and numbers.
    """
    parts: list[str] = []
    for part in _PARTS.findall(name.translate(_UMLAUTS).replace("ß", "ss")):
        low = part.lower()
        if low in _words() or low.isdigit() or len(low) <= SHORTEST:
            parts.append(low)
        else:
            parts += _joined(low) or [low]
    return _stitched(parts)


def _stitched(parts: list[str]) -> list[str]:
    """Put words together that mean something else as one, such as state of charge."""
    text = " ".join(parts)
    for apart, whole in (
        ("state of charge", "soc"),
        ("state of health", "soh"),
        ("dc dc", "dcdc"),
        ("low voltage", "lowvoltage"),
        ("12 v", "lv"),
    ):
        text = re.sub(rf"\b{apart}\b", whole, text)
    return text.split()


@cache
def _joined(word: str) -> list[str] | None:
    """Split a joined word into known ones; None if too much of it is unknown."""
    best: list[tuple[int, list[str]] | None] = [None] * (len(word) + 1)
    best[0] = (0, [])
    for end in range(1, len(word) + 1):
        for begin in range(end):
            before = best[begin]
            if before is None:
                continue
            piece = word[begin:end]
            known = len(piece) >= SHORTEST and piece in _words()
            if not known and len(piece) > SPARE:
                continue
            spare = before[0] + (0 if known else len(piece))
            there = best[end]
            if there is None or spare < there[0]:
                best[end] = (spare, [*before[1], *([piece] if known else [])])
    spare, pieces = best[len(word)] or (SPARE + 1, [])
    # one word with letters to spare is another word: a state is no stat
    return pieces if spare <= SPARE and len(pieces) > 1 else None


def concepts(name: str, kind: str | None = None) -> frozenset[str]:
    """Say what a name means.

    Parameters
    ----------
    name : str
        A name, or a text.
    kind : str, optional
        Kind of quantity that the unit states; a single letter must agree with it.

    Returns
    -------
    frozenset of str
        What its words mean; numbers stand for themselves.
    """
    found: set[str] = set()
    for word in split_name(name):
        if word.isdigit():
            found.add(word)
        elif word in _words():
            found |= set(_words()[word])
        elif word in LETTERS and kind in (LETTERS[word], "", None):
            found.add(LETTERS[word])
    return frozenset(found)
