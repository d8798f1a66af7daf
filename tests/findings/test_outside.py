"""Heat lost to the outside."""

import numpy as np

from tests.findings.made import (
    COLD_DEGC,
    HEAT_KW,
    INLET,
    _carries,
    inlet,
    kinds_of,
    looked,
    noisy,
    on,
    outlet,
)  # fmt: skip


def test_heat_that_is_carried_and_does_not_arrive_is_told():
    """A valve passes 80 W/K above the air outside from 1800 s on: the inlet falls by as much."""

    def lost(t):
        return 0.08 * (outlet(t) - COLD_DEGC) / _carries()

    def slowly(t):
        return 1.0 - np.exp(-np.maximum(t - 1800.0, 0.0) / 90.0)

    open_valve = noisy(lambda t: inlet(t) - lost(t) * slowly(t) * on(t, 1800.0), 0.1, 0.1, 1)
    found = looked({INLET: open_valve})
    assert "heat-lost-outside" in kinds_of(found)
    assert HEAT_KW > 0.0
    one = next(f for f in found.found if f.kind == "heat-lost-outside")
    assert abs(one.evidence[0].value - 0.08) < 0.03
