"""What happens on a morning: wishes, offers, faults, and what the logger does."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Wish:
    """Something asked for.

    Parameters
    ----------
    what : str
        ``charging``, ``cabin``, or ``pack`` (warm the pack without a supply).
    from_s, to_s : float
        When [s].
    set_point_degC : float, optional
        For the cabin; for the pack, coldest cell to heat to instead of the car's own [degC].
    """

    what: str
    from_s: float
    to_s: float
    set_point_degC: float | None = None


@dataclass(frozen=True)
class Offer:
    """A change of what the supply offers.

    Parameters
    ----------
    at_s : float
        When [s].
    amps : float
        New current per phase [A].
    """

    at_s: float
    amps: float


@dataclass(frozen=True)
class Fault:
    """Something broken.

    Parameters
    ----------
    what : str
        A row of ``faults.csv``.
    from_s : float
        Since when [s].
    share : float
        How much of it is broken, 0 to 1; for faults that are sized so [1].
    where : str
        Name of the heater, path of the signal, number of the module.
    size : float
        How large it is, in the unit that ``faults.csv`` gives; for the other faults [unit].
    to_s : float
        Until when [s].
    """

    what: str
    from_s: float = 0.0
    share: float = 1.0
    where: str = ""
    size: float = 0.0
    to_s: float = float("inf")

    def acts(self, t_s: float) -> bool:
        """Tell whether it acts at an instant.

        Parameters
        ----------
        t_s : float
            The instant [s].

        Returns
        -------
        bool
            True if it does.
        """
        return self.from_s <= t_s < self.to_s


@dataclass(frozen=True)
class Logger:
    """What the logger does to the log.

    Parameters
    ----------
    gaps : tuple of (float, float)
        Times in which nothing is logged [s].
    steps : tuple of (float, float)
        When the logger's clock jumps [s], and by how much [s].
    doubled : tuple of (float, float)
        Times whose frames stand in the log twice [s].
    """

    gaps: tuple[tuple[float, float], ...] = ()
    steps: tuple[tuple[float, float], ...] = ()
    doubled: tuple[tuple[float, float], ...] = ()


def within(spans: tuple[tuple[float, float], ...], t_s: float) -> bool:
    """Tell whether an instant lies in one of several spans.

    Parameters
    ----------
    spans : tuple of (float, float)
        The spans [s].
    t_s : float
        The instant [s].

    Returns
    -------
    bool
        True if it does.
    """
    return any(begin <= t_s < end for begin, end in spans)
