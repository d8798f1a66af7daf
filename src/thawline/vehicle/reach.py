"""Work out what can be told from what is there, and what is nearest to be added."""

from __future__ import annotations

from dataclasses import dataclass, field

from thawline.signals.catalogue import catalogue
from thawline.vehicle.capabilities import Capabilities, Way
from thawline.vehicle.keys import keys

#: Verdicts, best first.
CAN, ROUGHLY, CANNOT = "can", "can_roughly", "cannot"


@dataclass(frozen=True, slots=True)
class Route:
    """A way down to signals, with what it lacks.

    Parameters
    ----------
    missing : tuple of str
        Names of signals and keys that are not there.
    how : str
        How the thing is found.
    because : tuple of str
        Why it is only rough.
    is_special : bool
        Whether few cars have what it lacks.
    """

    missing: tuple[str, ...]
    how: str
    because: tuple[str, ...] = ()
    is_special: bool = False

    @property
    def cost(self) -> tuple[bool, int]:
        """How hard the way is to open: special signals count more than many [1]."""
        return bool(self.missing) and self.is_special, len(self.missing)


@dataclass(frozen=True, slots=True)
class Reach:
    """What a vehicle file puts within reach.

    Parameters
    ----------
    table : Capabilities
        The table of what can be told.
    there : frozenset of str
        Names of signals and keys that are there.
    """

    table: Capabilities
    there: frozenset[str]
    _found: dict[tuple[str, bool], Route] = field(default_factory=dict)

    def route(self, ways: tuple[Way, ...], *, is_rough: bool) -> Route | None:
        """Find the way that lacks least.

        Parameters
        ----------
        ways : tuple of Way
            Ways, best first.
        is_rough : bool
            Whether a rough answer will do.

        Returns
        -------
        Route or None
            The first of those that lack least; None if no way is exact enough.
        """
        routes = [
            route
            for way in ways
            if (is_rough or not way.because) and (route := self._along(way, is_rough)) is not None
        ]
        return min(routes, key=lambda route: route.cost, default=None)

    def _along(self, way: Way, is_rough: bool) -> Route | None:
        missing: list[str] = []
        because = [way.because] if way.because else []
        is_special = way.is_special
        for need in way.needs:
            route = self._need(need, is_rough)
            if route is None:
                return None
            missing += route.missing
            because += route.because
            is_special |= bool(route.missing) and route.is_special
        reasons = tuple(dict.fromkeys(because))
        return Route(tuple(dict.fromkeys(missing)), way.how, reasons, is_special)

    def _need(self, name: str, is_rough: bool) -> Route | None:
        if name not in self.table.quantities:
            return Route((), name) if name in self.there else Route((name,), name)
        if (name, is_rough) not in self._found:
            route = self.route(self.table.quantities[name], is_rough=is_rough)
            if route is None:
                return None
            self._found[name, is_rough] = route
        return self._found[name, is_rough]


def _key_of(name: str) -> tuple[str, str]:
    table, key = name.removeprefix("[").split("] ")
    return table, key


def is_key(name: str) -> bool:
    """Tell whether a name of the table is a key of the vehicle file.

    Parameters
    ----------
    name : str
        A name that ways need.

    Returns
    -------
    bool
        True for ``[table] key``.
    """
    return name.startswith("[")


def meaning_of(name: str, table: Capabilities) -> str:
    """Say in words what a name stands for.

    Parameters
    ----------
    name : str
        A signal's short name or a key.
    table : Capabilities
        The table of what can be told.

    Returns
    -------
    str
        For instance ``temperature of the coldest cell``.
    """
    if is_key(name):
        return keys()[_key_of(name)].meaning
    return catalogue()[table.signals[name][0]].meaning


def advice(names: tuple[str, ...], table: Capabilities) -> str:
    """Say what to add to the vehicle file.

    Parameters
    ----------
    names : tuple of str
        Signals and keys that are not there.
    table : Capabilities
        The table of what can be told.

    Returns
    -------
    str
        What to map and what to give; empty if nothing is missing.
    """
    signals = [table.signals[name][0] for name in names if not is_key(name)]
    given = [name for name in names if is_key(name)]
    parts = []
    if signals:
        parts.append(f"map {' and '.join(signals)}")
    if given:
        parts.append(f"give {' and '.join(given)}")
    return " and ".join(parts)
