"""Databases, read by cantools."""

from dataclasses import replace

import cantools
import pytest

from thawline.simulator.dbc import write_dbc
from thawline.simulator.demo import vehicle


@pytest.mark.parametrize("name", ["gannet", "petrel"])
def test_cantools_finds_every_signal_where_it_was_put(name, tmp_path):
    """Start bit, length, order, sign, scale, unit, labels and pages are those of the layout."""
    layout = vehicle(name)[1]
    write_dbc(layout, tmp_path / "car.dbc")
    database = cantools.database.load_file(tmp_path / "car.dbc")
    assert len(database.messages) == len(layout.messages)
    for message in layout.messages:
        found = database.get_message_by_name(message.name)
        assert (found.frame_id, found.length) == (message.identifier, message.size)
        for signal in message.signals:
            known = found.get_signal_by_name(signal.name)
            assert (known.start, known.length) == (signal.start, signal.length)
            assert known.byte_order == ("big_endian" if message.is_big_endian else "little_endian")
            assert known.is_signed == signal.is_signed
            assert known.scale == pytest.approx(signal.scale)
            assert known.offset == pytest.approx(signal.offset)
            assert (known.unit or "") == signal.unit
            assert {str(k): str(v) for k, v in (known.choices or {}).items()} == signal.labels
            assert known.multiplexer_ids == (None if signal.page is None else [signal.page])


def test_a_degree_sign_survives(tmp_path):
    """Databases are written in the code page that readers of DBC files expect."""
    layout = vehicle("petrel")[1]
    message = layout.messages[1]
    signal = replace(message.signals[0], unit="°C")
    changed = replace(layout, messages=(replace(message, signals=(signal,)),))
    write_dbc(changed, tmp_path / "car.dbc")
    read = cantools.database.load_file(tmp_path / "car.dbc").messages[0].signals[0]
    assert read.unit == "°C"
