"""Figures of earlier recordings are found once, and can be found again at any time."""

from dataclasses import replace

import numpy as np

from tests.findings.made import LOW, SOUND
from tests.ledger.made import recording
from thawline.library.add import add_recording
from thawline.library.catalogue import reading, writing
from thawline.library.library import open_library
from thawline.remembering import earlier_figures, figures_of
from thawline.walk import explain_kept


def kept(library, number: int, **changes):
    """Keep a morning; each begins a day after the one before."""
    made = replace(
        recording({**SOUND, **changes}), id=f"petrel-{number}", starts_at=1.7e9 + 86_400.0 * number
    )
    add_recording(library, made, f"{number:064d}")
    return made


def test_earlier_mornings_are_read_from_what_is_kept(tmp_path):
    """The second time gives the same, from the library; what is broken is found anew."""
    library = open_library(tmp_path)
    first, second = kept(library, 0), kept(library, 1)
    found = earlier_figures(library, second)
    assert [one.recording_id for one in found] == [first.id]
    assert found[0].values["low_voltage_V"] == figures_of(first).values["low_voltage_V"]
    with reading(library) as rows:
        names = [row["recording_id"] for row in rows.execute("SELECT recording_id FROM figures")]
    assert names == [first.id]
    assert earlier_figures(library, second) == found
    with writing(library) as rows:
        rows.execute("UPDATE figures SET told = '{}'")
    assert earlier_figures(library, second) == found
    assert earlier_figures(library, first) == ()


def test_explaining_holds_a_morning_against_earlier_ones(tmp_path):
    """A low-voltage battery that has fallen by 0.8 V shows only against what it was."""
    library = open_library(tmp_path)
    for number in range(2):
        kept(library, number, **{LOW: 13.9})
    last = kept(library, 2, **{LOW: lambda t: 13.1 + 0.0 * np.asarray(t)})
    told = explain_kept(library, last.id)
    assert "low-voltage-trouble" in [one.kind for one in told.findings]
    assert told.figures is not None and not told.unchecked
