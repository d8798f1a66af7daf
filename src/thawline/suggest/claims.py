"""What is claimed so far: which paths are filled, and which signals have a part."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from thawline.suggest.kinds import Reading
from thawline.suggest.votes import Vote, gather_cases

#: Log-odds from which a case counts as claimed [1].
CLAIMED = 2.4


@dataclass(frozen=True, slots=True)
class Claims:
    """Paths and signals that votes speak for.

    Parameters
    ----------
    by_path : dict of str to str
        The likeliest signal of each path that is claimed.
    weights : dict of str to float
        Most that speaks for any path, by signal [1].
    """

    by_path: dict[str, str]
    weights: dict[str, float]

    def free(self, readings: Iterable[Reading], least: float = CLAIMED) -> list[Reading]:
        """List readings in their unit whose signal nothing claims.

        Parameters
        ----------
        readings : iterable of Reading
            Readings of one kind.
        least : float, optional
            Log-odds from which a signal counts as claimed [1].

        Returns
        -------
        list of Reading
            Those that are left.
        """
        return [one for one in readings if one.is_said and self.weights.get(one.key, 0.0) < least]

    def has(self, path: str) -> bool:
        """Tell whether a path, or any below it, is claimed.

        Parameters
        ----------
        path : str
            A path.

        Returns
        -------
        bool
            True if it is.
        """
        return path in self.by_path


def claims_of(votes: Sequence[Vote]) -> Claims:
    """Sum up what is claimed.

    Parameters
    ----------
    votes : sequence of Vote
        All votes so far.

    Returns
    -------
    Claims
        Paths and signals.
    """
    weights: dict[str, float] = {}
    by_path: dict[str, tuple[float, str]] = {}
    for (path, key), case in gather_cases(votes).items():
        weights[key] = max(weights.get(key, 0.0), case.weight)
        if case.weight >= CLAIMED and case.weight > by_path.get(path, (0.0, ""))[0]:
            by_path[path] = case.weight, key
    return Claims({path: key for path, (_, key) in by_path.items()}, weights)
