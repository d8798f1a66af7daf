"""A signal database: the messages of one or several files, and how signals are found."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path

from thawline.errors import DatabaseError, did_you_mean
from thawline.signals.database_file import read_messages
from thawline.signals.layout import MessageLayout, SignalLayout


@dataclass(frozen=True)
class Database:
    """The messages of one or several database files.

    Parameters
    ----------
    messages : mapping of str to MessageLayout
        Messages by name.
    files : tuple of str
        Names of the files, for messages.
    warnings : tuple of str
        What the reader noticed and went on with, in plain words.
    """

    messages: Mapping[str, MessageLayout] = field(default_factory=dict)
    files: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()

    @cached_property
    def signals(self) -> Mapping[str, SignalLayout]:
        """All signals by ``Message.Signal``."""
        return {
            signal.key: signal for message in self.messages.values() for signal in message.signals
        }

    @cached_property
    def messages_by_identifier(self) -> Mapping[int, tuple[MessageLayout, ...]]:
        """Messages by identifier; several where buses use one identifier differently."""
        found: dict[int, tuple[MessageLayout, ...]] = {}
        for message in self.messages.values():
            found[message.identifier] = (*found.get(message.identifier, ()), message)
        return found

    def signal(self, name: str, bus: str | None = None) -> SignalLayout:
        """Find a signal.

        Parameters
        ----------
        name : str
            ``Message.Signal``, or ``Signal`` alone if only one message has it.
        bus : str, optional
            Bus of the log whose frames hold it; None: all of them.

        Returns
        -------
        SignalLayout
            The signal, bound to that bus.

        Raises
        ------
        DatabaseError
            If there is none, with the nearest name; if a bare name fits several; or if the
            identifier means different things on different buses and no bus is given.
        """
        found = self._bare(name) if "." not in name else self.signals.get(name)
        if found is None:
            raise DatabaseError(
                f"there is no signal {name!r}",
                file=", ".join(self.files),
                cure=did_you_mean(name, self.signals)
                or "Write it as Message.Signal, as the database names them",
            )
        rivals = self.messages_by_identifier[found.identifier]
        if bus is None and len(rivals) > 1:
            raise DatabaseError(
                f"identifier {show_identifier(found.identifier)} of {name!r} means different "
                f"messages: {', '.join(sorted(message.name for message in rivals))}",
                file=", ".join(self.files),
                cure='Say which bus the signal is on: bus = "can0" under the signal in the '
                "vehicle file",
            )
        return replace(found, bus=bus)

    def _bare(self, name: str) -> SignalLayout | None:
        """Find a signal by its own name."""
        found = [signal for signal in self.signals.values() if signal.name == name]
        if len(found) > 1:
            keys = sorted(signal.key for signal in found)
            more = f" and {len(keys) - 3} more" if len(keys) > 3 else ""
            raise DatabaseError(
                f"{len(keys)} messages have a signal {name!r}: {', '.join(keys[:3])}{more}",
                file=", ".join(self.files),
                cure=f"Name the message too, for instance {keys[0]!r}",
            )
        return found[0] if found else None


def show_identifier(identifier: int) -> str:
    """Write an identifier as people do.

    Parameters
    ----------
    identifier : int
        Identifier; bit 31 is set for extended ones [1].

    Returns
    -------
    str
        Such as ``0x1A2`` or ``0x18FEF100 (extended)``.
    """
    if identifier & 0x8000_0000:
        return f"0x{identifier & 0x1FFF_FFFF:08X} (extended)"
    return f"0x{identifier:03X}"


def read_database(paths: Sequence[Path]) -> Database:
    """Read one or several database files as one database.

    Parameters
    ----------
    paths : sequence of Path
        The files: DBC, KCD, SYM or ARXML.

    Returns
    -------
    Database
        All messages. Where files give one identifier different meanings, a warning says so,
        and ``Database.signal`` asks for the bus.

    Raises
    ------
    DatabaseError
        If a file is missing, of another kind, has a syntax error or no signal, or if one
        message name has different layouts.
    """
    if not paths:
        raise DatabaseError("no signal database was given", cure="Name a DBC, KCD, SYM or ARXML")
    messages: dict[str, MessageLayout] = {}
    origin: dict[str, str] = {}
    warnings: list[str] = []
    for path in dict.fromkeys(Path(path) for path in paths):
        found, noticed = read_messages(path)
        warnings += [f"{path.name}: {warning}" for warning in noticed]
        for message in found:
            rival = messages.setdefault(message.name, message)
            if rival != message:
                raise DatabaseError(
                    f"the message {message.name!r} ({show_identifier(message.identifier)}) is "
                    f"laid out differently in {origin[message.name]} "
                    f"({show_identifier(rival.identifier)})",
                    file=path.name,
                    cure="Give one of the two, or rename the message in one of them",
                )
            origin.setdefault(message.name, path.name)
    database = Database(messages, tuple(dict.fromkeys(Path(path).name for path in paths)))
    for identifier, rivals in database.messages_by_identifier.items():
        if len(rivals) > 1:
            names = ", ".join(f"{message.name} ({origin[message.name]})" for message in rivals)
            warnings.append(
                f"identifier {show_identifier(identifier)} means different messages: {names}"
            )
    return replace(database, warnings=tuple(warnings))
