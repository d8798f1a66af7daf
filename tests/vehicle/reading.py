"""Read texts that are wrong, and look at what is said of them."""

import pytest

from tests.vehicle.files import HEAD
from thawline.errors import VehicleFileError
from thawline.vehicle.read import read_vehicle_text


def errors(text):
    """The lines of the error that a text gives."""
    with pytest.raises(VehicleFileError) as caught:
        read_vehicle_text(text, "car.toml")
    assert caught.value.file == "car.toml"
    return str(caught.value).splitlines()


def error(text):
    """The only error that a text gives."""
    (line,) = errors(text)
    return line


def signal(path, *lines):
    """A valid vehicle file with one signal, its header on line 5."""
    return HEAD + "\n".join([f'[signals."{path}"]', 'from = "A.B"', *lines]) + "\n"
