"""Signals, one table each."""

from thawline.vehicle.signal_tables import check_signals, entries


def test_tables_in_tables_are_paths_without_quotes():
    """Each table that has keys of its own, or nothing in it, is a signal."""
    table = {"Speed": {"from": "a"}, "Cabin": {"HVAC": {"X": {"from": "b"}, "Y": {}}}}
    assert dict(entries(table)) == {
        ("signals", "Speed"): {"from": "a"},
        ("signals", "Cabin", "HVAC", "X"): {"from": "b"},
        ("signals", "Cabin", "HVAC", "Y"): {},
    }


def test_only_what_is_right_is_given():
    """A wrong signal does not take the right ones with it."""
    table = {"Speed": {"from": "a"}, "Sped": {"from": "b"}}
    found, problems, warnings = check_signals(table, {})
    assert list(found) == ["Speed"]
    assert [problem.place for problem in problems] == ['signals."Sped"']
    assert warnings == []
