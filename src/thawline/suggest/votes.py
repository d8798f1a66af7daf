"""Votes: what speaks for or against a signal being some path, in log-odds."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Vote:
    """One reason for, or against, a signal being a path.

    Parameters
    ----------
    path : str
        Concrete catalogue path.
    key : str
        The candidate's key.
    weight : float
        Log-odds that this adds; negative speaks against it [1].
    because : str
        The reason, as part of a sentence.
    evidence : str
        The figures behind it.
    unit : str or None
        Unit that the reason rests on; None: it rests on none.
    sign : int
        +1 or -1 if the reason tells the sign, else 0 [1].
    true_when : tuple of float
        For states: codes that mean true; empty: every code but zero [1].
    """

    path: str
    key: str
    weight: float
    because: str
    evidence: str = ""
    unit: str | None = None
    sign: int = 0
    true_when: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Case:
    """All votes on one signal being one path.

    Parameters
    ----------
    path : str
        Concrete catalogue path.
    key : str
        The candidate's key.
    votes : tuple of Vote
        The votes.
    """

    path: str
    key: str
    votes: tuple[Vote, ...] = field(default_factory=tuple)

    @property
    def weight(self) -> float:
        """Sum of the votes' log-odds [1]."""
        return sum(vote.weight for vote in self.votes)

    @property
    def unit(self) -> str | None:
        """Unit that the weightiest vote with a unit rests on."""
        with_unit = [vote for vote in self.votes if vote.unit is not None and vote.weight > 0.0]
        return max(with_unit, key=lambda vote: vote.weight).unit if with_unit else None

    @property
    def sign(self) -> int:
        """Sign that the votes tell; 0 if none does [1]."""
        told = sum(vote.weight * vote.sign for vote in self.votes if vote.weight > 0.0)
        return (told > 0.0) - (told < 0.0)


def gather_cases(votes: Iterable[Vote]) -> Mapping[tuple[str, str], Case]:
    """Put votes together by path and signal.

    Parameters
    ----------
    votes : iterable of Vote
        The votes.

    Returns
    -------
    mapping of (str, str) to Case
        Cases by path and key.
    """
    found: dict[tuple[str, str], list[Vote]] = {}
    for vote in votes:
        found.setdefault((vote.path, vote.key), []).append(vote)
    return {pair: Case(*pair, tuple(cast)) for pair, cast in found.items()}
