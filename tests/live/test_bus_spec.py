"""What a person writes after --bus."""

import pytest

from thawline.errors import RequestError
from thawline.live.bus_spec import BusSpec, parse_bus, parse_buses


def test_interface_and_channel_are_enough():
    """Without a name the bus is can0, as most vehicle files call it."""
    assert parse_bus("slcan:/dev/ttyACM0") == BusSpec("can0", "slcan", "/dev/ttyACM0", 500_000)


def test_an_interface_of_linux_keeps_its_own_name():
    """A log of that interface would name the bus so, too."""
    assert parse_bus("socketcan:can1").name == "can1"


def test_a_channel_may_hold_colons_and_equal_signs():
    """A server's address, a Windows port, a port's URL."""
    assert parse_bus("socketcand:192.0.2.1:29536/can0").channel == "192.0.2.1:29536/can0"
    assert parse_bus("slcan:socket://192.0.2.1:5000?a=b").channel == "socket://192.0.2.1:5000?a=b"


def test_a_bus_can_be_named():
    """The vehicle file's names are used."""
    assert parse_bus("drive=slcan:COM8@115200", 250_000) == BusSpec(
        "drive", "slcan", "COM8@115200", 250_000
    )


def test_several_buses_without_names_are_numbered():
    """No two buses have one name by accident."""
    found = parse_buses(["slcan:/dev/ttyACM0", "slcan:/dev/ttyACM1"])
    assert [spec.name for spec in found] == ["can0", "can1"]


@pytest.mark.parametrize(
    ("texts", "words"),
    [
        (["slcam:/dev/ttyACM0"], "Did you mean 'slcan'"),
        (["/dev/ttyACM0"], "slcan:/dev/ttyACM0"),
        (["slcan:"], "names no channel"),
        (["my bus=slcan:/dev/ttyACM0"], "cannot be the name"),
        (["a=slcan:X", "a=slcan:Y"], "named twice"),
        (["a=slcan:X", "b=slcan:X"], "named twice"),
    ],
)
def test_what_cannot_be_meant_is_refused_with_a_cure(texts, words):
    """The message names what was written, and what to write."""
    with pytest.raises(RequestError, match=words):
        parse_buses(texts)
