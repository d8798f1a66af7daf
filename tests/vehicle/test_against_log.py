"""Holding vehicle files against a log."""

import numpy as np
import pytest

from tests.vehicle.files import BATTERY, HEAD, database
from thawline.sources.frames import Frames
from thawline.sources.table import Column, Table
from thawline.vehicle.against_log import what_is_logged
from thawline.vehicle.read import read_vehicle_text

VOLTAGE, CURRENT = BATTERY + "CurrentVoltage", BATTERY + "CurrentCurrent"


def vehicle(voltage, current, more=""):
    return read_vehicle_text(
        HEAD
        + f'[signals."{VOLTAGE}"]\nfrom = "{voltage}"\n{more}'
        + f'[signals."{CURRENT}"]\nfrom = "{current}"\n',
        "car.toml",
    )


def table(**columns):
    t = np.arange(3.0)
    found = {name: Column(t, np.asarray(values)) for name, values in columns.items()}
    return Table(found, is_epoch=False, rows=3)


def frames(*identifiers, bus=(), buses=("can0", "can1")):
    n = len(identifiers)
    return Frames(
        t=np.arange(float(n)),
        identifier=np.array(identifiers, dtype=np.uint32),
        bus=np.array(bus or [0] * n, dtype=np.uint8),
        buses=buses,
        length=np.full(n, 8, dtype=np.uint8),
        data=np.zeros((n, 8), dtype=np.uint8),
    )


def test_without_a_log_nothing_is_missing():
    """Only a log can lack a signal."""
    assert what_is_logged(vehicle("U", "I"), None, ()).missing == frozenset()


def test_a_column_that_is_not_there_is_named_with_the_nearest():
    """So is one that is empty throughout."""
    log = table(Strom=[1.0, 2.0, 3.0], Spannung=[np.nan] * 3)
    logged = what_is_logged(vehicle("Spannung", "Storm"), None, [log])
    assert logged.missing == {VOLTAGE, CURRENT}
    assert [found.cure for found in logged.findings] == ["", "Did you mean 'Strom'?"]
    assert "no sample of 'Storm'" in logged.findings[1].what


def test_several_files_make_one_log():
    """A signal in any of them is there."""
    logged = what_is_logged(vehicle("U", "I"), None, [table(U=[1.0] * 3), table(I=[1.0] * 3)])
    assert logged.findings == ()


@pytest.mark.parametrize(("unit", "volts"), [("", 350.0), ('unit = "mV"\n', 0.35)])
def test_the_median_voltage_is_told_in_volts(unit, volts):
    """A default in the first row does not count."""
    log = table(U=[0.0, 350.0, 350.0], I=[1.0] * 3)
    assert what_is_logged(vehicle("U", "I", unit), None, [log]).voltage_V == pytest.approx(volts)


def test_a_message_that_never_came_is_missing():
    """Frames are looked through by identifier, and by bus where the vehicle file names one."""
    mapped = vehicle("PackPower.Voltage", "PackPower.Current")
    assert what_is_logged(mapped, database(), [frames(0x132)]).missing == frozenset()
    assert what_is_logged(mapped, database(), [frames(0x133)]).missing == {VOLTAGE, CURRENT}
    on_other = vehicle("PackPower.Voltage", "PackPower.Current", 'bus = "can1"\n')
    assert what_is_logged(on_other, database(), [frames(0x132)]).missing == {VOLTAGE}
    both = frames(0x132, 0x132, bus=(0, 1))
    assert what_is_logged(on_other, database(), [both]).missing == frozenset()


def test_frames_without_a_database_tell_nothing():
    """No signal is called missing for that."""
    assert what_is_logged(vehicle("U", "I"), None, [frames(0x1)]).missing == frozenset()
