"""Where a signal lies in a message, and how its bits become a physical value."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Condition:
    """A multiplexed signal is present only when its selector shows one of some codes.

    Parameters
    ----------
    selector : SignalLayout
        The multiplexer signal of the same message; it may be multiplexed itself.
    ranges : tuple of tuple of int
        First and last code of each range in which the signal is present [1].
    """

    selector: SignalLayout
    ranges: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class SignalLayout:
    """One signal of a message.

    Parameters
    ----------
    name : str
        Name of the signal.
    message : str
        Name of its message.
    identifier : int
        Identifier of its message; bit 31 is set for extended ones [1].
    start : int
        Start bit as databases count it: the lowest bit for little-endian signals, the
        highest for big-endian ones; bit 0 is the lowest bit of byte 0 [1].
    length : int
        Number of bits [bit].
    is_big_endian : bool
        Whether the first byte holds the highest bits.
    is_signed : bool
        Whether the bits are a two's complement number.
    is_float : bool
        Whether the bits are a floating-point number of 16, 32 or 64 bits.
    scale : float or int
        Factor from the raw number to the physical value [unit].
    offset : float or int
        Added after scaling [unit].
    unit : str
        Unit of physical values as the database writes it; empty if it gives none.
    minimum, maximum : float, optional
        Range that the database states [unit].
    choices : mapping of int to str
        Names of raw codes, for labelled signals.
    condition : Condition, optional
        When a multiplexed signal is present; None: always.
    bus : str, optional
        Only frames of this bus hold the signal; None: those of any bus.
    comment : str
        What the database says of the signal in words; no part of the layout.
    """

    name: str
    message: str
    identifier: int
    start: int
    length: int
    is_big_endian: bool = False
    is_signed: bool = False
    is_float: bool = False
    scale: float = 1
    offset: float = 0
    unit: str = ""
    minimum: float | None = None
    maximum: float | None = None
    choices: Mapping[int, str] = field(default_factory=dict)
    condition: Condition | None = None
    bus: str | None = None
    comment: str = field(default="", compare=False)

    @property
    def key(self) -> str:
        """The name by which vehicle files ask for it: ``Message.Signal``."""
        return f"{self.message}.{self.name}"

    @property
    def first_bit(self) -> int:
        """First bit in the order of transmission: bit 0 is the highest of byte 0 [1].

        For little-endian signals the lowest bit, counted from the lowest of byte 0.
        """
        if self.is_big_endian:
            return 8 * (self.start // 8) + 7 - self.start % 8
        return self.start

    @property
    def bytes_needed(self) -> int:
        """Payload bytes that a frame must have to hold the whole signal [byte]."""
        return (self.first_bit + self.length + 7) // 8


@dataclass(frozen=True, slots=True)
class MessageLayout:
    """One message of a database.

    Parameters
    ----------
    name : str
        Name of the message.
    identifier : int
        Identifier; bit 31 is set for extended ones [1].
    length : int
        Payload bytes that the database states [byte].
    signals : tuple of SignalLayout
        Its signals.
    bus : str, optional
        Bus that the database names; None if it names none.
    """

    name: str
    identifier: int
    length: int
    signals: tuple[SignalLayout, ...] = ()
    bus: str | None = None
