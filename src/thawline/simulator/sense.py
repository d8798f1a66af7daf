"""What a sensor makes of the truth at the moments of its frames."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.quantities import convert
from thawline.signals.catalogue import find_signal
from thawline.simulator.layout import BusSignal, Sensor
from thawline.simulator.morning import Morning

Array = NDArray[np.float64]
MODULE = "module."
#: A sensor that jumps does so in this time [s].
JUMPS_IN_S = 20.0


def _lagged(values: Array, lag_s: float, step_s: float) -> Array:
    from scipy.signal import lfilter, lfiltic  # heavy, and few sensors lag

    keep = float(np.exp(-step_s / lag_s))
    start = lfiltic([1.0 - keep], [1.0, -keep], [values[0]])
    return np.asarray(lfilter([1.0 - keep], [1.0, -keep], values, zi=start)[0])


def _truth(morning: Morning, path: str) -> tuple[Array, bool, str]:
    """Find the true values of a path, whether it is a state, and its unit."""
    if path.startswith(MODULE):
        column = int(path.removeprefix(MODULE)) % morning.modules_degC.shape[1]
        return morning.modules_degC[:, column], False, "degC"
    name = find_signal(path)
    values = morning.values.get(path)
    if values is None:
        return np.zeros(len(morning.t)), name is not None and name.is_state, ""
    return values, name is not None and name.is_state, "" if name is None else name.unit


def sensed(morning: Morning, signal: BusSignal, at: Array, rng: np.random.Generator) -> Array:
    """Sense a signal.

    Parameters
    ----------
    morning : Morning
        The truth.
    signal : BusSignal
        The signal.
    at : ndarray of float64, shape (n,)
        Times of its frames [s].
    rng : Generator
        Chance.

    Returns
    -------
    ndarray of float64, shape (n,)
        Values in the unit and with the sign of the bus; states as 0 and 1 [unit].
    """
    values, is_state, unit = _truth(morning, signal.path)
    for fault in morning.scenario.faults:
        if fault.what == "stuck-sensor" and fault.where == signal.path:
            stuck = int(np.searchsorted(morning.t, fault.from_s))
            values = np.where(morning.t < fault.from_s, values, values[min(stuck, len(values) - 1)])
        elif fault.where == signal.path and fault.what in ("sensor-drift", "sensor-offset"):
            since = np.maximum(morning.t - fault.from_s, 0.0)
            drifts = fault.what == "sensor-drift"
            grown = since / 3600.0 if drifts else np.minimum(since / JUMPS_IN_S, 1.0)
            values = values + fault.size * grown
        elif fault.where == signal.path and fault.what == "sensor-gain":
            values = np.where(morning.t < fault.from_s, values, values * (1.0 - fault.share))
    if is_state:
        held = np.clip((at / morning.step_s).astype(np.int64), 0, len(values) - 1)
        return values[held]
    sensor = signal.sensor
    if sensor.lag_s > 0.0:
        values = _lagged(values, sensor.lag_s, morning.step_s)
    true = np.interp(at, morning.t, values)
    seen = true * signal.sign
    if signal.unit and unit and signal.unit != unit:
        seen = np.asarray(convert(seen, unit, signal.unit))
    return _imperfect(seen, true == 0.0, sensor, rng)


def _imperfect(
    seen: Array, is_off: NDArray[np.bool_], sensor: Sensor, rng: np.random.Generator
) -> Array:
    """Add what a sensor adds; of something that is off, a computer reports nothing."""
    error = seen * sensor.gain + sensor.offset
    if sensor.noise > 0.0:
        error = error + rng.normal(0.0, sensor.noise, len(seen))
    seen = seen + np.where(is_off, 0.0, error)
    if sensor.step > 0.0:
        seen = np.round(seen / sensor.step) * sensor.step
    return seen
