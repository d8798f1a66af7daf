r"""The low-voltage battery beside its converter.

The converter holds its voltage less the line's drop. Where it cannot hold more than the
battery has, the battery gives: :math:`V = V_0 - R I - k Q`.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from thawline.simulator.car import Happened, World
from thawline.simulator.loads import Loads
from thawline.simulator.scenario import Scenario

Array = NDArray[np.float64]
#: Fall of a lead battery's voltage at rest from full to empty [V].
FALLS_V = 1.0
#: Pulses of a load that a weak battery cannot carry: one in so many seconds, so long [s].
PULSE_EVERY_S, PULSE_S = 45.0, 4.0
#: How far the voltage sways with the small loads [V].
SWAYS_V = 0.02


def low_volts(
    loads: Loads, scenario: Scenario, worlds: Sequence[World], happened: Sequence[Happened]
) -> Array:
    """Find the voltage of the low-voltage battery.

    Parameters
    ----------
    loads : Loads
        The build.
    scenario : Scenario
        The morning.
    worlds : sequence of World
        What surrounded the car, for each step.
    happened : sequence of Happened
        What happened during each.

    Returns
    -------
    ndarray of float64, shape (n,)
        Voltage [V].
    """
    found = np.empty(len(happened))
    drawn_Ah, before_s = 0.0, worlds[0].t_s
    for i, (world, what) in enumerate(zip(worlds, happened, strict=True)):
        t = world.t_s
        amps = what.low_voltage_W / loads.converter_V
        short = sum(f.size for f in scenario.faults if f.what == "weak-converter" and f.acts(t))
        held = loads.converter_V - short - loads.line_mOhm / 1e3 * amps
        rest = loads.battery_V - FALLS_V * drawn_Ah / loads.battery_Ah
        alone = rest - loads.battery_mOhm / 1e3 * amps
        if alone > held:
            drawn_Ah += amps * (t - before_s) / 3600.0
        pulled = sum(f.size for f in scenario.faults if f.what == "weak-low-battery" and f.acts(t))
        pulse = pulled if t % PULSE_EVERY_S < PULSE_S else 0.0
        found[i] = max(held, alone) - pulse + SWAYS_V * world.load_sway
        before_s = t
    return found
