"""How a car's bus looks: messages, signals in their bits, sensors behind them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from thawline.errors import RequestError
from thawline.simulator.reading import build_from, read_toml

#: Bits in the payload of a classic frame [1].
MOST_BITS = 64


@dataclass(frozen=True)
class Sensor:
    """How a value is sensed, in the unit that the bus has it in.

    Parameters
    ----------
    step : float
        What the sensor rounds to; 0: nothing but the bus's own scale [unit].
    noise : float
        Standard deviation of its noise [unit].
    offset : float
        What it shows too much [unit].
    gain : float
        What it shows too much, over the value [1].
    lag_s : float
        Time in which it follows [s].
    ready_s : float
        Time after the first frame in which it has no value yet [s].
    """

    step: float = 0.0
    noise: float = 0.0
    offset: float = 0.0
    gain: float = 0.0
    lag_s: float = 0.0
    ready_s: float = 0.0


@dataclass(frozen=True)
class BusSignal:
    """A signal on the bus.

    Parameters
    ----------
    name : str
        Its name in the database.
    path : str
        Catalogue path of what it carries; ``module.3`` for the cells of a module, ``page``
        for a multiplexor, empty for nothing known.
    length : int
        Bits [1].
    scale, offset : float
        Value over code, and value of code 0 [unit].
    unit : str
        Unit on the bus.
    sign : int
        1 or −1: how the bus counts against the catalogue [1].
    is_signed, is_float : bool
        How its code is read.
    start : int, optional
        Start bit as databases count; None: behind the signal before [1].
    sensor : Sensor
        How the value is sensed.
    labels : mapping of str to str
        Names of codes.
    codes : tuple of int, optional
        For states: the codes of false and true [1].
    missing_code : int, optional
        Code that says that there is no value [1].
    page : int, optional
        Page of a multiplexed message that it is on [1].
    is_mapped : bool
        Whether the vehicle file maps it.
    accuracy : str
        Accuracy that the vehicle file states; empty: none.
    true_when : tuple of str
        Labels that the vehicle file counts as true.
    """

    name: str
    path: str
    length: int
    scale: float = 1.0
    offset: float = 0.0
    unit: str = ""
    sign: int = 1
    is_signed: bool = False
    is_float: bool = False
    start: int | None = None
    sensor: Sensor = field(default_factory=Sensor)
    labels: Mapping[str, str] = field(default_factory=dict)
    codes: tuple[int, int] | None = None
    missing_code: int | None = None
    page: int | None = None
    is_mapped: bool = True
    accuracy: str = ""
    true_when: tuple[str, ...] = ()


@dataclass(frozen=True)
class BusMessage:
    """A message on the bus.

    Parameters
    ----------
    name : str
        Its name in the database.
    identifier : int
        Its identifier [1].
    period_s : float
        Time between two frames [s].
    size : int
        Bytes [1].
    signals : tuple of BusSignal
        What it carries.
    is_extended : bool
        Whether the identifier has 29 bits.
    is_big_endian : bool
        Byte order of its signals.
    jitter : float
        How much the time between frames scatters, over the period [1].
    """

    name: str
    identifier: int
    period_s: float
    size: int
    signals: tuple[BusSignal, ...]
    is_extended: bool = False
    is_big_endian: bool = False
    jitter: float = 0.01


@dataclass(frozen=True)
class BusLayout:
    """A bus.

    Parameters
    ----------
    messages : tuple of BusMessage
        What is on it.
    bus : str
        The name that the logger gives it.
    vehicle : mapping of str to mapping
        What a person knows about the vehicle, table by table of the vehicle file.
    """

    messages: tuple[BusMessage, ...]
    bus: str = "can0"
    vehicle: Mapping[str, Mapping[str, object]] = field(default_factory=dict)


def stream_start(start: int) -> int:
    """Turn the start bit of a big-endian signal to its place in the stream of bits.

    Parameters
    ----------
    start : int
        Start bit as databases count: the highest bit of the signal [1].

    Returns
    -------
    int
        Bits before it, from the highest bit of the first byte [1].
    """
    return start // 8 * 8 + 7 - start % 8


def placed(message: BusMessage) -> BusMessage:
    """Give every signal its start bit, each behind the one before on its page.

    Parameters
    ----------
    message : BusMessage
        The message.

    Returns
    -------
    BusMessage
        The same with start bits.

    Raises
    ------
    RequestError
        If the signals do not fit.
    """
    shared = 0
    cursors: dict[int, int] = {}
    signals = []
    for signal in message.signals:
        first = shared if signal.page is None else cursors.get(signal.page, shared)
        if signal.start is not None:
            big = message.is_big_endian
            first = stream_start(signal.start) if big else signal.start
        end = first + signal.length
        if end > min(8 * message.size, MOST_BITS):
            raise RequestError(
                f"signal {signal.name!r} ends at bit {end} of {8 * message.size}",
                place=message.name,
                cure="make the message longer or the signals shorter",
            )
        # the sawtooth turns into itself: the same sum leads back from the stream
        start = stream_start(first) if message.is_big_endian else first
        signals.append(replace(signal, start=start))
        if signal.page is None:
            shared = max(shared, end)
        else:
            cursors[signal.page] = end
    return replace(message, signals=tuple(signals))


def placed_all(layout: BusLayout) -> BusLayout:
    """Give every signal of a bus its start bit.

    Parameters
    ----------
    layout : BusLayout
        The bus.

    Returns
    -------
    BusLayout
        The same with start bits.

    Raises
    ------
    RequestError
        If signals do not fit.
    """
    return replace(layout, messages=tuple(placed(message) for message in layout.messages))


def read_layout(path: Path) -> BusLayout:
    """Read how a bus looks.

    Parameters
    ----------
    path : Path
        A TOML file.

    Returns
    -------
    BusLayout
        The bus, its start bits given.

    Raises
    ------
    RequestError
        If the file is at fault.
    """
    return placed_all(build_from(BusLayout, read_toml(path), path.name))
