"""Check the signals of a vehicle file, one table each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import ValidationError

from thawline.errors import UnitError, nearest
from thawline.quantities import Accuracy, parse_accuracy
from thawline.signals.catalogue import SignalName
from thawline.vehicle.file_model import SignalTable
from thawline.vehicle.measures import unit_problem
from thawline.vehicle.paths import known_signal, path_problem, short_path
from thawline.vehicle.places import Names, line_of
from thawline.vehicle.problems import Problem
from thawline.vehicle.tables import SIGNALS
from thawline.vehicle.types_said import as_written, type_problems
from thawline.vehicle.vehicle import SignalSource

KEYS = ("from", "unit", "sign", "accuracy", "bus", "true_when")
SCALED = "if the values need a factor, name the unit that they are in"
#: A relative accuracy must be below this: a sensor off by its whole value tells nothing [1].
ALL_OF_IT = 1.0


def entries(table: Mapping[str, Any], names: Names = (SIGNALS,)) -> Iterator[tuple[Names, Any]]:
    """List the signals; a path without its quotes makes tables in tables and is found too.

    Parameters
    ----------
    table : mapping of str to Any
        The table of signals, or a table in it.
    names : tuple of str
        The names that lead to it.

    Yields
    ------
    tuple
        The names that lead to a signal, and what is written of it.
    """
    own = {k: v for k, v in table.items() if not isinstance(v, dict)}
    is_signal = len(names) > 1 and (own or not table)
    if is_signal:
        yield names, own
    for key, value in table.items():
        if isinstance(value, dict):
            yield from entries(value, (*names, key))
        elif len(names) == 1:
            yield (*names, key), value


def _accuracy(text: str, signal: SignalName) -> tuple[Accuracy | None, tuple[str, str] | None]:
    example = f"1 % or 0.5 {signal.unit}" if signal.unit != "percent" else "0.5 %"
    cure = f"write a number with its unit, such as {example}"
    try:
        accuracy = parse_accuracy(text, signal.unit or "dimensionless")
    except UnitError as error:
        reason = "" if repr(text) in error.what else f": {error.what}"
        return None, (f"accuracy (={text!r}) cannot be read{reason}", cure)
    if accuracy.relative >= ALL_OF_IT:
        return None, (f"accuracy (={text!r}) must be below 100 %", cure)
    return accuracy, None


def _true_when(value: float | str | list[float | str] | None) -> tuple[float | str, ...]:
    if value is None:
        return ()
    return tuple(value) if isinstance(value, list) else (value,)


def _odd(signal: SignalName, table: SignalTable) -> Iterator[tuple[str, str]]:
    """Find keys that change nothing for this kind of signal."""
    if signal.is_state:
        if table.accuracy is not None:
            yield "accuracy", "an on/off signal has no accuracy; it was passed over"
        if table.sign == -1:
            yield "sign", "an on/off signal has no sign; say with true_when which codes mean on"
    elif table.true_when is not None:
        yield "true_when", "true_when is for on/off signals; it was passed over"


class _Signals:
    """Gathers the signals of one file with all that is wrong with them."""

    def __init__(self, places: dict[Names, int]) -> None:
        self.places = places
        self.found: dict[str, SignalSource] = {}
        self.problems: list[Problem] = []
        self.warnings: list[Problem] = []

    def wrong(self, names: Names, key: str, what: str, cure: str | None = None) -> None:
        """Keep a problem of one key of a signal."""
        place = f'signals."{".".join(names[1:])}"'
        line = line_of(self.places, (*names, key) if key else names)
        self.problems.append(Problem(line, place, what, cure))

    def odd(self, names: Names, key: str, what: str, cure: str | None = None) -> None:
        """Keep a warning about one key of a signal."""
        self.wrong(names, key, what, cure)
        self.warnings.append(self.problems.pop())

    def model(self, names: Names, content: object) -> SignalTable | None:
        """Check the types of one signal's keys."""
        if not isinstance(content, dict):
            cure = f'write {{ from = "{content}" }}' if isinstance(content, str) else None
            self.wrong(
                names, "", f"what it is set to (={as_written(content)}) must be a table", cure
            )
            return None
        for key in content:
            if key not in KEYS:
                near = nearest(key, KEYS)
                cure = f"did you mean {near!r}?" if near else f"known are {', '.join(KEYS)}"
                self.odd(names, key, f"the key {key!r} is unknown and was passed over", cure)
        try:
            return SignalTable.model_validate(content)
        except ValidationError as error:
            said = type_problems(error, 1)
        for (key, *_), (what, cure, _value) in said.items():
            missing = (
                f"the key {key!r} is missing",
                "name the signal as Message.Signal, or the column",
            )
            self.wrong(names, key, *((what, cure) if what else missing))
        rest = {key: value for key, value in content.items() if (key,) not in said}
        return SignalTable.model_validate({"from": "?", **rest})  # to check the other keys too

    def add(self, names: Names, content: object) -> None:
        """Check one signal and keep it if it is right."""
        path = short_path(".".join(names[1:]))
        before = len(self.problems)
        said = path_problem(path)
        if said:
            self.wrong(names, "", *said)
        elif path in self.found:
            line = self.found[path].line
            self.wrong(names, "", f"the path stands in line {line} already", "take one of them out")
        table = self.model(names, content)
        if table is None or said:
            return
        signal = known_signal(path)
        unit = (table.unit or "").strip() or None
        unit_said = unit_problem(unit, signal) if unit else None
        if unit_said:
            self.wrong(names, "unit", *unit_said)
        if table.sign not in (1.0, -1.0):
            self.wrong(names, "sign", f"sign (={table.sign:g}) must be 1 or -1", SCALED)
        accuracy = None
        if table.accuracy is not None and not signal.is_state:
            accuracy, accuracy_said = _accuracy(table.accuracy, signal)
            if accuracy_said:
                self.wrong(names, "accuracy", *accuracy_said)
        for key, what in _odd(signal, table):
            self.odd(names, key, what)
        if len(self.problems) > before:
            return
        self.found[path] = SignalSource(
            path=path,
            from_=table.from_,
            unit=unit,
            sign=table.sign,
            accuracy=accuracy,
            bus=table.bus,
            true_when=_true_when(table.true_when) if signal.is_state else (),
            line=line_of(self.places, names),
        )

    def same_source_twice(self) -> None:
        """Warn where two paths come from one signal."""
        seen: dict[tuple[str, str | None], SignalSource] = {}
        for path, source in self.found.items():
            other = seen.setdefault((source.from_, source.bus), source)
            if other is not source:
                what = f"{source.from_!r} is also the source of {other.path!r} (line {other.line})"
                self.warnings.append(
                    Problem(source.line, f'signals."{path}"', what, "is that meant?")
                )


def check_signals(
    table: object, places: dict[Names, int]
) -> tuple[dict[str, SignalSource], list[Problem], list[Problem]]:
    """Check every signal of a vehicle file.

    Parameters
    ----------
    table : object
        What the file has under ``signals``.
    places : dict of tuple of str to int
        Lines by names [1].

    Returns
    -------
    signals : dict of str to SignalSource
        What is right, by path, in the order of the file.
    problems : list of Problem
        What is wrong.
    warnings : list of Problem
        What is only odd.
    """
    signals = _Signals(places)
    if not isinstance(table, dict):
        line = line_of(places, (SIGNALS,))
        what = f'(={as_written(table)}) must be tables, such as [signals."Speed"]'
        return {}, [Problem(line, f"[{SIGNALS}]", what)], []
    for names, content in entries(table):
        signals.add(names, content)
    signals.same_source_twice()
    return signals.found, signals.problems, signals.warnings
