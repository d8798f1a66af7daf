"""Every reader of databases, given damaged files: a database that decodes, or an error."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from tests.damaging import damaged, damages
from thawline.errors import DatabaseError
from thawline.signals.database import read_database
from thawline.signals.decode import decode
from thawline.sources.frames import Frames

FOREIGN = Path(__file__).resolve().parents[1] / "data" / "foreign" / "cantools"
SAMPLES = ("motohawk.dbc", "multiplex_2.dbc", "issue_184_extended_mux_cascaded.dbc", "dump.kcd",
           "jopp-6.0.sym", "signal-types-6.0.sym", "compu_method_no_category.arxml",
           "system-missing-factor-4.2.arxml")  # fmt: skip


@pytest.mark.parametrize("name", SAMPLES)
@settings(
    max_examples=15,
    deadline=timedelta(seconds=60),
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(damage=damages)
def test_a_damaged_database_decodes_or_is_an_error(tmp_path: Path, name: str, damage) -> None:
    """No crash, no hang; whatever is read can decode any frame of its identifiers."""
    path = tmp_path / f"damaged{Path(name).suffix}"
    path.write_bytes(damaged((FOREIGN / name).read_bytes(), damage))
    try:
        database = read_database([path])
    except DatabaseError as error:
        assert error.cure and path.name in str(error)
        return
    numbers = np.array([m.identifier for m in database.messages.values()], np.uint32)
    data = np.full((len(numbers), 64), 0xFF, np.uint8)
    zeros = np.zeros(len(numbers), np.uint8)
    t, length = np.arange(len(numbers), dtype=np.float64), zeros + np.uint8(64)
    frames = Frames(t, numbers, zeros, ("a",), length, data)
    for signal in decode(frames, list(database.signals.values())).values():
        assert len(signal.t) == len(signal.values)
