"""Lines while they are worked out."""

from __future__ import annotations

from thawline.ledger.entry import Entry, unknown
from thawline.ledger.uncertain import around, deviation, nominal


def test_a_known_entry_becomes_a_line() -> None:
    """Value, uncertainty, origin and note come over; a negative zero does not."""
    line = Entry("pack-in", around(-0.0, 0.1), "measured", "so", 0.2).as_line()
    assert str(line.kWh) == "0.0"
    assert (line.plus_minus_kWh, line.origin, line.note, line.bridged_kWh) == (
        0.1,
        "measured",
        "so",
        0.2,
    )


def test_an_unknown_entry_has_no_number_but_a_width() -> None:
    """What cannot be told is None in the ledger, and widens sums."""
    entry = unknown("cabin-heating", "not recorded", 1.5)
    assert (entry.as_line().kWh, entry.as_line().origin) == (None, "unknown")
    assert nominal(entry.in_sums()) == 0.0
    assert deviation(entry.in_sums()) == 1.5
    assert deviation(unknown("x", "y").in_sums()) == 0.0
