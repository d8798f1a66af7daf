"""A small fleet on a disk: a few dozen short recordings of several vehicles."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from tests.findings.made import LOW, SOUND
from tests.ledger.made import recording
from thawline.library.add import add_recording
from thawline.library.library import Library, open_library


def fleet(folder: Path, vehicles: int, mornings: int) -> Library:
    """Recordings that differ in start and voltage; the last one's low voltage has fallen."""
    library = open_library(folder)
    for car in range(vehicles):
        for morning in range(mornings):
            volts = 13.9 + 0.01 * morning - (0.8 if morning == mornings - 1 else 0.0)
            held = {LOW: lambda t, volts=volts: volts + 0.0 * np.asarray(t)}
            made = recording({**SOUND, **held}, duration_s=900.0)
            made = replace(
                made,
                id=f"petrel-{car}-{morning:02d}",
                vehicle=replace(made.vehicle, name=f"Petrel {car}", model="ferry"),
                starts_at=1.7e9 + 86_400.0 * (3 * morning + car),
            )
            add_recording(library, made, f"{car:032d}{morning:032d}")
    return library


def damage(library: Library, name: str) -> None:
    """Break the samples of one recording."""
    for document in library.recordings.glob("*/recording.json"):
        if f'"{name}"' in document.read_text("ascii"):
            document.with_name("samples.parquet").write_bytes(b"PAR1 and nothing else")
            return
    raise AssertionError(name)
