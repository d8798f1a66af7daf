"""Which signals of a database are decoded, and where their samples are put aside."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from thawline.errors import DatabaseError, VehicleFileError, did_you_mean
from thawline.recording.samples import Raw
from thawline.recording.spill import Spill
from thawline.signals.database import Database, show_identifier
from thawline.signals.decode import Decoded
from thawline.signals.layout import SignalLayout
from thawline.vehicle.vehicle import Vehicle


def mapped(vehicle: Vehicle, database: Database) -> dict[str, SignalLayout]:
    """Find every mapped signal in the database.

    Parameters
    ----------
    vehicle : Vehicle
        Says which signals are mapped.
    database : Database
        Says where they lie.

    Returns
    -------
    dict of str to SignalLayout
        By concrete catalogue path.

    Raises
    ------
    VehicleFileError
        If a mapped signal is not in the database.
    """
    found = {}
    for spec in vehicle.signals.values():
        try:
            found[spec.path] = replace(database.signal(spec.from_, bus=spec.bus), bus=spec.bus)
        except DatabaseError as error:
            raise VehicleFileError(
                f"{spec.from_!r} is not in the database",
                file=vehicle.file,
                place=f"line {spec.line}" if spec.line else f'[signals."{spec.path}"]',
                cure=did_you_mean(spec.from_, database.signals) or str(error),
            ) from error
    return found


def unmapped(
    database: Database, taken: Mapping[str, SignalLayout]
) -> tuple[dict[str, SignalLayout], list[str]]:
    """Find the signals that no entry of the vehicle file maps.

    Parameters
    ----------
    database : Database
        The database.
    taken : mapping of str to SignalLayout
        Those that are mapped.

    Returns
    -------
    found : dict of str to SignalLayout
        By ``Message.Signal``.
    warnings : list of str
        Which messages cannot be told apart, in plain words.
    """
    known = {layout.key for layout in taken.values()}
    found: dict[str, SignalLayout] = {}
    warnings = []
    for identifier, rivals in database.messages_by_identifier.items():
        if len(rivals) > 1:
            names = ", ".join(sorted(message.name for message in rivals))
            warnings.append(
                f"of identifier {show_identifier(identifier)} only mapped signals are kept, for it "
                f"means different messages: {names}"
            )
            continue
        found |= {s.key: s for s in rivals[0].signals if s.key not in known}
    return found, warnings


def put_aside(spill: Spill, file: int, layout: SignalLayout, part: Decoded) -> None:
    """Put the decoded samples of a batch behind those of earlier ones.

    Parameters
    ----------
    spill : Spill
        Where they go.
    file : int
        Number of the file that they come from [1].
    layout : SignalLayout
        The signal.
    part : Decoded
        Its samples.
    """
    signal = (file, layout.bus, layout.key)
    spill.append((*signal, "t"), part.t)
    spill.append((*signal, "values"), part.values)
    if part.codes is not None:
        spill.append((*signal, "codes"), part.codes.astype(np.float64))


class PutAside(Mapping[str, Raw]):
    """The samples of one file that were put aside, each signal read when it is asked for.

    Parameters
    ----------
    spill : Spill
        Where they are.
    file : int
        Number of the file that they come from [1].
    layouts : mapping of str to SignalLayout
        The signals, by the name under which they are asked for.
    """

    def __init__(self, spill: Spill, file: int, layouts: Mapping[str, SignalLayout]) -> None:
        self._spill, self._file, self._layouts = spill, file, layouts

    def __getitem__(self, name: str) -> Raw:
        """Read the samples of one signal."""
        layout = self._layouts[name]
        signal = (self._file, layout.bus, layout.key)
        return raw_of(
            layout,
            self._spill.take((*signal, "t")),
            self._spill.take((*signal, "values")),
            self._spill.take((*signal, "codes")) if has_codes(layout) else None,
        )

    def __iter__(self) -> Iterator[str]:
        """Go through the names."""
        return iter(self._layouts)

    def __len__(self) -> int:
        """Count the signals."""
        return len(self._layouts)


def has_codes(layout: SignalLayout) -> bool:
    """Tell whether a signal's raw codes are kept beside its values.

    Parameters
    ----------
    layout : SignalLayout
        The signal.

    Returns
    -------
    bool
        True for labelled whole numbers.
    """
    return bool(layout.choices) and not layout.is_float


def raw_of(
    layout: SignalLayout,
    t: NDArray[np.float64],
    values: NDArray[np.float64],
    codes: NDArray[np.float64] | None,
) -> Raw:
    """Say with a signal's samples what the database says of them.

    Parameters
    ----------
    layout : SignalLayout
        The signal.
    t : ndarray of float64, shape (n,)
        Times [s].
    values : ndarray of float64, shape (n,)
        Values in the database's unit [unit].
    codes : ndarray of float64, shape (n,), optional
        Raw codes of a labelled signal [1].

    Returns
    -------
    Raw
        The samples.
    """
    labels = {float(code): label for code, label in layout.choices.items()}
    return Raw(t, values, layout.unit or None, codes, labels, _span_of(layout))


def _span_of(layout: SignalLayout) -> tuple[float, float] | None:
    """Find the values that the lowest and the highest code of a signal would show."""
    if layout.is_float or layout.length < 2:
        return None
    top = 2 ** (layout.length - 1) if layout.is_signed else 2**layout.length
    low, high = (-top, top - 1) if layout.is_signed else (0, top - 1)
    ends = sorted((low * layout.scale + layout.offset, high * layout.scale + layout.offset))
    return (float(ends[0]), float(ends[1]))
