"""Supplies by volts and amps."""

import pytest

from thawline.errors import RequestError
from thawline.whatif.supply import supply_ceiling


@pytest.mark.parametrize(
    ("given", "kW"),
    [
        ((None, None, None, 1), None),
        ((2.4, None, None, 1), 2.4),
        ((None, 230.0, 16.0, 1), 3.68),
        ((None, 230.0, 16.0, 3), 11.04),
    ],
)
def test_a_ceiling_is_volts_times_amps_times_phases(given, kW):
    """16 A at 230 V give 3.7 kW on one phase, 11 kW on three (common practice, no source)."""
    assert supply_ceiling(*given) == (None if kW is None else pytest.approx(kW))


@pytest.mark.parametrize(
    "given",
    [(2.4, 230.0, 10.0, 1), (None, 230.0, None, 1), (None, 230.0, -1.0, 1),
     (None, 230.0, 16.0, 2), (2.4, None, None, 3)],
)  # fmt: skip
def test_what_cannot_be_a_supply_is_refused(given):
    """Too much, too little, or a value that cannot be."""
    with pytest.raises(RequestError):
        supply_ceiling(*given)
