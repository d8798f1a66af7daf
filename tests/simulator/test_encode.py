"""Payloads, read back by cantools."""

import cantools
import numpy as np
import pytest

from tests.simulator.made import short_morning
from thawline.simulator.dbc import write_dbc
from thawline.simulator.demo import vehicle
from thawline.simulator.encode import code_range, codes_of, encode
from thawline.simulator.layout import BusLayout, BusMessage, BusSignal, Sensor, placed_all

VOLTS = "Powertrain.TractionBattery.CurrentVoltage"
AMPS = "Powertrain.TractionBattery.CurrentCurrent"
COLDEST = "Powertrain.TractionBattery.Temperature.Min"


def made(big: bool) -> BusLayout:
    """A message with signed, odd, labelled and float signals."""
    first = (
        BusSignal("Odd", VOLTS, 13, 0.1, unit="V"),
        BusSignal("Amps", AMPS, 15, 0.05, unit="A", sign=-1, is_signed=True),
        BusSignal("Real", COLDEST, 32, unit="degF", is_float=True, is_signed=True),
    )
    second = (
        BusSignal("Pad", "", 3),
        BusSignal("Cold", COLDEST, 9, 0.5, -60.0, unit="degC", labels={"511": "SNA"}),
    )
    messages = (
        BusMessage("First", 0x321, 0.5, 8, first, is_big_endian=big),
        BusMessage("Second", 0x1ABCDE01, 1.0, 2, second, is_extended=True, is_big_endian=big),
    )
    return placed_all(BusLayout(messages))


@pytest.mark.parametrize("big", [False, True])
def test_cantools_reads_what_was_encoded(big, tmp_path):
    """Every value comes back within half a step, for both byte orders, signs and floats."""
    morning, layout = short_morning(), made(big)
    write_dbc(layout, tmp_path / "car.dbc")
    database = cantools.database.load_file(tmp_path / "car.dbc")
    for message in layout.messages:
        sent = encode(morning, message, np.random.default_rng(1))
        known = database.get_message_by_name(message.name)
        assert known.is_extended_frame == message.is_extended
        for row in range(0, len(sent.t), 97):
            values = known.decode(sent.data[row, : message.size].tobytes(), decode_choices=False)
            for signal in message.signals:
                if not signal.path:
                    continue
                true = np.interp(sent.t[row], morning.t, morning.values[signal.path]) * signal.sign
                true = true * 1.8 + 32.0 if signal.unit == "degF" else true
                slack = 1e-3 if signal.is_float else 0.51 * signal.scale
                assert values[signal.name] == pytest.approx(true, abs=slack)


def test_pages_of_a_multiplexed_message_come_by_turns(tmp_path):
    """cantools reads the cells of each page, and they are those of their module."""
    morning, layout = short_morning(), vehicle("gannet")[1]
    write_dbc(layout, tmp_path / "car.dbc")
    known = cantools.database.load_file(tmp_path / "car.dbc").get_message_by_name("CellsByTurns")
    message = next(m for m in layout.messages if m.name == "CellsByTurns")
    sent = encode(morning, message, np.random.default_rng(1))
    seen = {}
    for row in range(-5, 0):
        seen |= known.decode(sent.data[row].tobytes(), decode_choices=False)
    cells = [seen[f"Cell{i + 1:02d}"] for i in range(16)] + [seen["CellAtEnd"]]
    assert cells == pytest.approx(list(morning.modules_degC[-1]), abs=0.1)


def test_a_sensor_that_is_not_ready_sends_its_code():
    """Until it is ready the code for no value stands, and never after."""
    signal = BusSignal("S", VOLTS, 12, 0.1, missing_code=4095, sensor=Sensor(ready_s=3.0))
    values, missing = np.array([350.0, 350.0, 9e3]), np.array([True, False, False])
    assert codes_of(signal, values, missing).tolist() == [4095, 3500, 4094]


def test_values_out_of_range_stop_at_the_ends():
    """A code cannot wrap around: it stays at the lowest or highest that it may have."""
    signal = BusSignal("S", AMPS, 8, 1.0, is_signed=True)
    assert code_range(signal) == (-128, 127)
    codes = codes_of(signal, np.array([-500.0, 500.0]), np.zeros(2, dtype=bool))
    assert codes.astype(np.uint8).view(np.int8).tolist() == [-128, 127]


def test_states_have_the_codes_that_the_layout_names():
    """False and true are sent as the two codes given."""
    signal = BusSignal("S", "", 3, codes=(1, 4))
    assert codes_of(signal, np.array([0.0, 1.0]), np.zeros(2, dtype=bool)).tolist() == [1, 4]
