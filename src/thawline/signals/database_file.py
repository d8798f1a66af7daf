"""Read one database file (DBC, KCD, SYM, ARXML) through cantools into our own layouts."""

from __future__ import annotations

import logging
import re
from collections.abc import Container
from dataclasses import replace
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Any

from thawline.errors import DatabaseError
from thawline.signals.layout import Condition, MessageLayout, SignalLayout
from thawline.signals.wide_ranges import Ranges, shrink_wide_ranges

if TYPE_CHECKING:
    from cantools.database.can.message import Message
    from cantools.database.can.signal import Signal

#: Bit 31 marks an extended identifier, as in ``Frames``.
EXTENDED = 0x8000_0000
#: What is read, by the ending of the file's name.
FORMATS = {".dbc": "dbc", ".kcd": "kcd", ".sym": "sym", ".arxml": "arxml"}
#: Longest number that fits a machine word, and lengths of floating-point numbers [bit].
LONGEST, FLOAT_LENGTHS = 64, (16, 32, 64)


def read_messages(path: Path) -> tuple[list[MessageLayout], list[str]]:
    """Read the messages of one database file.

    Parameters
    ----------
    path : Path
        The file: DBC, KCD, SYM or ARXML.

    Returns
    -------
    tuple of list of MessageLayout and list of str
        The messages, and what was noticed while reading.

    Raises
    ------
    DatabaseError
        If the file is missing, of another kind, has a syntax error, or holds no signal.
    """
    kind = FORMATS.get(path.suffix.lower())
    if kind is None:
        raise DatabaseError(
            f"a database ends in {', '.join(FORMATS)}, not in {path.suffix or 'nothing'!r}",
            file=path,
            cure="Give the log and the table by themselves, and the database as --database",
        )
    text = _read_text(path)
    narrow, wide = shrink_wide_ranges(text) if kind == "dbc" else (text, {})
    database, warnings = _load(path, kind, narrow)
    messages: dict[str, MessageLayout] = {}
    for message in database.messages:
        if message.is_container:
            warnings.append(f"message {message.name!r} is a container and is not read")
            continue
        layout, noticed = _message(message, wide)
        warnings += noticed
        if messages.setdefault(layout.name, layout) != layout:
            layout, name = _renamed(layout, messages), layout.name
            messages[layout.name] = layout
            warnings.append(f"two messages are called {name!r}; one is read as {layout.name!r}")
    if not any(message.signals for message in messages.values()):
        raise DatabaseError(
            f"the database holds {len(messages)} messages and no signal",
            file=path,
            cure="Give the database that describes this bus",
        )
    return list(messages.values()), warnings


def _renamed(message: MessageLayout, taken: Container[str]) -> MessageLayout:
    """Give a message whose name is taken another one, and its signals with it."""
    name = _free(message.name, taken)
    signals = tuple(replace(signal, message=name) for signal in message.signals)
    return replace(message, name=name, signals=signals)


def _free(name: str, taken: Container[str]) -> str:
    return next(free for i in count(2) if (free := f"{name} #{i}") not in taken)


def _read_text(path: Path) -> str:
    try:
        content = path.read_bytes()
    except FileNotFoundError as error:
        raise DatabaseError("the file does not exist", file=path, cure="Check the path") from error
    except OSError as error:
        raise DatabaseError(
            f"the file cannot be read ({error.strerror})", file=path, cure="Check the path"
        ) from error
    if not content.strip():
        raise DatabaseError("the file is empty", file=path, cure="Give a database with messages")
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return content.decode("utf-16", errors="replace")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:  # the encoding that most database editors write
        return content.decode("cp1252", errors="replace")


def _load(path: Path, kind: str, text: str) -> tuple[Any, list[str]]:
    """Parse a database: strictly, or else leniently with what is wrong as a warning."""
    # cantools takes 0.3 s to import and is not needed by most commands
    from cantools.database import load_string

    logging.getLogger("cantools").addHandler(logging.NullHandler())
    try:
        return load_string(text, kind, sort_signals=None), []
    except Exception as error:  # cantools and what it builds on raise many kinds
        strict = _wording(error, kind)
    leftovers = re.match(r"unused (VAL_|SIG_VALTYPE_) entries", strict)
    if leftovers:  # they name signals that were deleted from the file
        text = _without(text, leftovers[1], strict)
    try:
        lenient = load_string(text, kind, sort_signals=None, strict=False)
    except Exception as error:  # the same
        raise _syntax_error(path, kind, error) from error
    return lenient, [f"{strict}; read all the same"]


def _without(text: str, statement: str, complaint: str) -> str:
    """Take statements about signals that do not exist out of a DBC."""
    for identifier, name in re.findall(rf"{statement} (\d+) (\w+)", complaint):
        text = re.sub(rf"^\s*{statement}\s+{identifier}\s+{name}\b[^;]*;", "", text, flags=re.M)
    return text


def _wording(error: Exception, kind: str) -> str:
    text = str(error).removeprefix(f"{kind.upper()}: ").strip('"').rstrip(".")
    return " ".join(text.split()) or type(error).__name__


def _syntax_error(path: Path, kind: str, error: Exception) -> DatabaseError:
    text = _wording(error, kind)
    place = re.search(r"line \d+(, column \d+)?", text)
    return DatabaseError(
        f"this is no valid {kind.upper()} ({text})",
        file=path,
        place=place[0] if place else None,
        cure="Mend that place, or export the database again",
    )


def _message(
    message: Message, wide: dict[tuple[int, str], Ranges]
) -> tuple[MessageLayout, list[str]]:
    identifier = message.frame_id | (EXTENDED if message.is_extended_frame else 0)
    by_name = {signal.name: signal for signal in message.signals}
    signals: dict[str, SignalLayout] = {}
    warnings = []
    for signal in message.signals:
        allowed = FLOAT_LENGTHS if signal.is_float else range(1, LONGEST + 1)
        if signal.length not in allowed:
            kind = "floating-point" if signal.is_float else "whole"
            warnings.append(
                f"signal {message.name}.{signal.name} is a {kind} number of {signal.length} bits "
                "and is not read"
            )
            continue
        try:
            layout = _signal(signal, message.name, identifier, by_name, wide)
        except _NoSelectorError as error:
            warnings.append(f"signal {message.name}.{signal.name} {error} and is not read")
            continue
        if layout.name in signals:
            again = replace(layout, name=_free(layout.name, signals))
            warnings.append(f"two signals are called {layout.key!r}; one is read as {again.key!r}")
            layout = again
        signals[layout.name] = layout
    bus = message.bus_name or None
    found = tuple(signals.values())
    return MessageLayout(message.name, identifier, message.length, found, bus), warnings


class _NoSelectorError(Exception):
    """A multiplexed signal whose selector is not in the message."""


def _signal(
    signal: Signal,
    message: str,
    identifier: int,
    by_name: dict[str, Signal],
    wide: dict[tuple[int, str], Ranges],
    above: tuple[str, ...] = (),
) -> SignalLayout:
    condition = None
    ids, selector = signal.multiplexer_ids, signal.multiplexer_signal
    if ids is not None or selector is not None:
        if selector not in by_name or selector in (signal.name, *above):
            raise _NoSelectorError(f"is chosen by {selector!r}, which the message lacks")
        condition = Condition(
            _signal(by_name[selector], message, identifier, by_name, wide, (*above, signal.name)),
            wide.get((identifier, signal.name)) or _ranges(ids or []),
        )
    scale, offset = signal.scale, signal.offset
    if not signal.is_float and float(scale).is_integer() and float(offset).is_integer():
        scale, offset = int(scale), int(offset)  # whole numbers stay exact up to 64 bits
    return SignalLayout(
        name=signal.name,
        message=message,
        identifier=identifier,
        start=signal.start,
        length=signal.length,
        is_big_endian=signal.byte_order == "big_endian",
        is_signed=signal.is_signed,
        is_float=signal.is_float,
        scale=scale,
        offset=offset,
        unit=signal.unit or "",
        minimum=None if signal.minimum is None else float(signal.minimum),
        maximum=None if signal.maximum is None else float(signal.maximum),
        choices={int(code): str(name) for code, name in (signal.choices or {}).items()},
        condition=condition,
        comment=signal.comment or "",
    )


def _ranges(ids: list[int]) -> Ranges:
    """Gather codes into ranges of neighbours."""
    ranges: list[tuple[int, int]] = []
    for code in sorted(set(ids)):
        if ranges and code == ranges[-1][1] + 1:
            ranges[-1] = (ranges[-1][0], code)
        else:
            ranges.append((code, code))
    return tuple(ranges)
