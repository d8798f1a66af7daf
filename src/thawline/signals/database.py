"""Read signal databases (DBC, KCD, SYM, ARXML) into our own layouts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from thawline.signals.layout import MessageLayout, SignalLayout


@dataclass(frozen=True, slots=True)
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

    @property
    def signals(self) -> dict[str, SignalLayout]:
        """All signals by ``Message.Signal``."""
        return {
            signal.key: signal for message in self.messages.values() for signal in message.signals
        }

    def signal(self, name: str) -> SignalLayout:
        """Find a signal.

        Parameters
        ----------
        name : str
            ``Message.Signal``, or ``Signal`` alone if only one message has it.

        Returns
        -------
        SignalLayout
            The signal.

        Raises
        ------
        DatabaseError
            If there is none, with the nearest name; or if a bare name fits several.
        """
        raise NotImplementedError


def read_database(paths: Sequence[Path]) -> Database:
    """Read one or several database files as one database.

    Parameters
    ----------
    paths : sequence of Path
        The files: DBC, KCD, SYM or ARXML.

    Returns
    -------
    Database
        All messages.

    Raises
    ------
    DatabaseError
        If a file is missing, of another kind, has a syntax error or no message, or if two
        files give one name or identifier different meanings.
    """
    raise NotImplementedError
