import re
from pathlib import Path

import pytest

import thawline.suggest
from thawline.physics.constants import read_table
from thawline.suggest.thresholds import threshold
from thawline.suggest.weights import weight

SOURCE = "\n".join(p.read_text() for p in Path(thawline.suggest.__file__).parent.glob("*.py"))


@pytest.mark.parametrize("table", ["weights", "thresholds"])
def test_every_row_is_used_and_every_use_has_a_row(table):
    """No dead numbers in the tables, and no name in the code that they lack."""
    look = {"weights": weight, "thresholds": threshold}[table]
    rows = {row["name"] for row in read_table("thawline.suggest", f"{table}.csv")}
    used = set(re.findall(rf'\b{table[:-1]}\(\s*"(\w+)"', SOURCE))
    assert used <= rows
    quoted = set(re.findall(r'"(\w+)"', SOURCE))
    assert rows <= quoted, rows - quoted
    assert all(isinstance(look(name), float) for name in rows)
