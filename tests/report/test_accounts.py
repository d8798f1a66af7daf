"""The lines of an account as shown."""

import pytest

from tests.report import morning
from thawline.ledger.ledger import ELECTRICAL, HEAT, Line
from thawline.report.accounts import rows_of


@pytest.mark.parametrize(("account", "names"), [("electrical", ELECTRICAL), ("heat", HEAT)])
def test_every_line_has_a_title_and_a_side(account, names):
    """All lines of the contract can be shown."""
    rows = rows_of(account, [Line(name, 1.0, 0.1, "measured") for name in names])
    assert [row.line for row in rows] == list(names)
    assert {row.side for row in rows} <= {"in", "out", "within", "rest"}
    assert len({row.title for row in rows}) == len(rows)


def test_bridged_parts_and_unknown_lines_are_told():
    """What stands for a gap is said in the note; what is unknown is not zero."""
    rows = {row.line: row for row in rows_of("electrical", morning.explained().ledger.electrical)}
    assert "0.125 kWh of it stand for times without data" in rows["supply"].note
    heat = {row.line: row for row in rows_of("heat", morning.explained().ledger.heat)}
    assert heat["stored-elsewhere"].value == "not known"
    assert not heat["stored-elsewhere"].is_known
