"""Explained recordings, kept at hand so that their pages open fast."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import replace

from thawline.errors import ThawlineError
from thawline.library.library import Library
from thawline.library.listing import find
from thawline.library.load import load
from thawline.library.notes import notes
from thawline.report.explained import Note
from thawline.walk import explain, explain_kept
from thawline.web.held import Glance, Held, glance_of, held_of

#: Samples that explained recordings at hand may have in all; each takes 16 bytes [1].
MOST_SAMPLES = 60_000_000
#: Recordings are explained so many at a time [1].
AT_ONCE = 2


class Shelf:
    """Explains recordings when they are asked for and keeps the last ones.

    Parameters
    ----------
    library : Library
        Where the recordings are.
    """

    def __init__(self, library: Library) -> None:
        self._library = library
        self._lock = threading.Lock()
        self._held: OrderedDict[str, Held] = OrderedDict()
        self._asked: dict[str, Future[Held]] = {}
        self._glances: dict[str, Glance] = {}
        self._growing: dict[str, Held] = {}
        self._hands = ThreadPoolExecutor(AT_ONCE, thread_name_prefix="explain")

    def ask(self, name: str) -> Future[Held]:
        """Ask for an explained recording.

        Parameters
        ----------
        name : str
            The recording's whole name.

        Returns
        -------
        Future of Held
            Done at once if the recording is at hand. Notes are those of now.
        """
        with self._lock:
            held = self._held.get(name)
            if held is not None:
                self._held.move_to_end(name)
                ready: Future[Held] = Future()
                ready.set_result(held)
                return ready
            if name not in self._asked:
                self._asked[name] = self._hands.submit(self._explain, name)
            return self._asked[name]

    def take(self, id_or_prefix: str) -> Held:
        """Take an explained recording, and wait for it where needed.

        Parameters
        ----------
        id_or_prefix : str
            The recording's name, or the beginning of it.

        Returns
        -------
        Held
            The explained recording, with the notes of now.

        Raises
        ------
        RequestError
            If there is no such recording, or several.
        LibraryError
            If it cannot be read.
        """
        with self._lock:
            growing = self._growing.get(id_or_prefix)
        if growing is not None:
            return growing
        name = find(self._library, id_or_prefix)
        return self.noted(self.ask(name).result())

    def show_growing(self, held: Held) -> None:
        """Put a recording that still grows on the shelf, in the place of its last snapshot.

        Parameters
        ----------
        held : Held
            The explained snapshot, which has its notes.
        """
        with self._lock:
            self._growing[held.explained.recording.id] = held

    def is_growing(self, name: str) -> bool:
        """Tell whether a name is that of a recording that still grows.

        Parameters
        ----------
        name : str
            The name.

        Returns
        -------
        bool
            True if a snapshot of it is on the shelf.
        """
        return name in self._growing

    def noted(self, held: Held) -> Held:
        """Put the notes of now on an explained recording.

        Parameters
        ----------
        held : Held
            The explained recording.

        Returns
        -------
        Held
            With the notes that the library has.
        """
        written = notes(self._library, held.explained.recording.id)
        said = tuple(Note(note.at_s, note.text) for note in written)
        return replace(held, explained=replace(held.explained, notes=said))

    def glance(self, name: str) -> Glance:
        """Look at a recording at a glance.

        Parameters
        ----------
        name : str
            The recording's whole name.

        Returns
        -------
        Glance
            Lanes and one sentence; kept for good, as a recording never changes.
        """
        if name not in self._glances:
            self._glances[name] = glance_of(self.ask(name).result())
        return self._glances[name]

    def seen(self, name: str) -> Glance | None:
        """Give the glance of a recording if it is at hand.

        Parameters
        ----------
        name : str
            The recording's whole name.

        Returns
        -------
        Glance or None
            None where nobody looked yet.
        """
        return self._glances.get(name)

    def look_ahead(self, names: list[str], done: Callable[[], bool]) -> None:
        """Look at recordings before anybody asks.

        Parameters
        ----------
        names : list of str
            Whole names, the most wanted first.
        done : callable
            Tells whether to stop.
        """
        for name in names:
            if done():
                return
            try:
                self.glance(name)
            except Exception:  # whoever asks for it will be told why
                continue

    def close(self) -> None:
        """Stop explaining."""
        self._hands.shutdown(wait=False, cancel_futures=True)

    def _explain(self, name: str) -> Held:
        try:
            held = replace(held_of(explain(load(self._library, name))), is_whole=False)
            self._put(name, held)
            self._hands.submit(self._complete, name)
            return held
        finally:
            with self._lock:
                self._asked.pop(name, None)

    def _complete(self, name: str) -> None:
        """Hold a recording against the others of its vehicle; nobody waits for that."""
        with self._lock:
            held = self._held.get(name)
        if held is None or held.is_whole:
            return
        try:
            self._put(name, held_of(explain_kept(self._library, name)))
        except ThawlineError:  # one of the others cannot be read: what is known stays
            self._put(name, replace(held, is_whole=True))

    def _put(self, name: str, held: Held) -> None:
        with self._lock:
            self._held[name] = held
            self._held.move_to_end(name)
            while len(self._held) > 1 and self._samples() > MOST_SAMPLES:
                self._held.popitem(last=False)

    def _samples(self) -> int:
        return sum(each.samples for each in self._held.values())
