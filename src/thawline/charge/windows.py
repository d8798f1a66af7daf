r"""Resistance in short windows: voltage regressed on current, with a drift at rest.

In a window :math:`U(t) = a + b t + R I(t)`: *a* and *b* stand for the open-circuit voltage and
its slow change. What the charge that goes in adds to the open-circuit voltage, as the whole
recording has it, is taken off before: it would count as resistance. Noise of the current
sensor would make *R* too small; the known share of it is
taken out of the current's spread.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.charge.observed import Observed
from thawline.charge.settings import setting
from thawline.physics.battery import arrhenius_factor

Array = NDArray[np.float64]
HOUR_S = 3600.0


@dataclass(frozen=True, slots=True)
class Window:
    """Resistance in one window.

    Parameters
    ----------
    degC : float
        Mean temperature of the pack [degC].
    charge : float
        State of charge, 0 to 1; NaN if not recorded [1].
    ohm, sigma_ohm : float
        Resistance and its standard uncertainty by scatter [ohm].
    recording : int
        Which recording it comes from [1].
    """

    degC: float
    charge: float
    ohm: float
    sigma_ohm: float
    recording: int


def _settled(values: Array) -> Array:
    """Average neighbours, so that signals of two clocks agree."""
    if len(values) < 3:
        return values
    middle = (values[:-2] + values[1:-1] + values[2:]) / 3.0
    return np.concatenate(([np.nan], middle, [np.nan]))


def _noise(values: Array) -> float:
    """Estimate the noise of a settled series from second differences, trimmed."""
    second = np.abs(np.diff(values, 2))
    second = np.sort(second[~np.isnan(second)])
    kept = second[: max(1, int(0.7 * len(second)))]
    return float(np.sqrt(np.mean(kept**2) / 6.0)) if len(second) > 8 else 0.0


def _by_charge(observed: Observed, tick_s: float) -> Array:
    """Give what the charge that went in adds to the voltage at rest, by the whole recording."""
    counted = np.cumsum(np.nan_to_num(observed.amps)) * tick_s / HOUR_S
    known = ~np.isnan(observed.amps + observed.volts + observed.mean_degC)
    if np.count_nonzero(known) < 10:
        return np.zeros(len(counted))
    u, i, q = observed.volts[known], observed.amps[known], counted[known]
    factor = arrhenius_factor(observed.mean_degC[known], setting("activation_prior"), 0.0)
    columns = np.column_stack((np.ones(len(u)), q, i * factor))
    # volts per ampere-hour: a share of the voltage over what a full pack holds, roughly
    volts = float(np.median(u))
    usual = setting("rest_slope") * volts / max(observed.energy_kWh * 1e3 / volts, 1.0)
    apart = setting("rest_noise_V")
    normal = columns.T @ columns / apart**2 + np.diag([1e-12, usual**-2, 1e-12])
    right = columns.T @ u / apart**2 + np.array([0.0, 1.0 / usual, 0.0])
    slope = float(np.linalg.solve(normal, right)[1])
    return np.asarray(max(slope, 0.0) * counted)


def windows(observed: Observed, number: int) -> list[Window]:
    """Regress voltage on current in windows.

    Parameters
    ----------
    observed : Observed
        The recording.
    number : int
        Which one it is [1].

    Returns
    -------
    list of Window
        Windows in which the current moved enough.
    """
    tick = float(observed.t[1] - observed.t[0]) if len(observed.t) > 1 else 1.0
    width = max(8, round(setting("window_s") / tick))
    amps, volts = _settled(observed.amps), _settled(observed.volts)
    noise_A = _noise(amps)
    volts = volts - _by_charge(observed, tick)
    found = []
    for first in range(0, len(amps) - width // 2, width):
        part = slice(first, min(first + width, len(amps)))
        known = ~np.isnan(amps[part]) & ~np.isnan(volts[part]) & ~np.isnan(observed.mean_degC[part])
        if np.count_nonzero(known) < width // 2:
            continue
        i, u = amps[part][known], volts[part][known]
        t = observed.t[part][known] - observed.t[part][known].mean()
        degC, pct = observed.mean_degC[part][known], observed.charge_pct[part][known]
        one = _regressed(i, u, t, noise_A)
        if one is None:
            continue
        weight = (i - i.mean()) ** 2
        charge = float(np.nanmean(pct)) / 100.0 if np.any(~np.isnan(pct)) else float("nan")
        found.append(Window(float(np.average(degC, weights=weight)), charge, *one, number))
    return found


def _regressed(i: Array, u: Array, t: Array, noise_A: float) -> tuple[float, float] | None:
    """Free both of level and drift; the rest of one over the rest of the other is R."""
    base = np.stack((np.ones_like(t), t), axis=1)
    q, _ = np.linalg.qr(base)
    i, u = i - q @ (q.T @ i), u - q @ (q.T @ u)
    square = float(i @ i)
    free = square - len(i) * noise_A**2
    if free <= len(i) * setting("least_spread_A") ** 2:
        return None
    ohm = float(i @ u) / free
    left = u - ohm * i
    # three neighbours were averaged: a third of the samples are independent
    freedom = max(len(i) / 3.0 - 3.0, 1.0)
    sigma = float(np.sqrt(float(left @ left) / freedom / free))
    return (ohm, sigma) if ohm > 0.0 else None


def all_windows(seen: Sequence[Observed]) -> list[Window]:
    """Gather the windows of all recordings.

    Parameters
    ----------
    seen : sequence of Observed
        The recordings.

    Returns
    -------
    list of Window
        Their windows.
    """
    return [one for number, observed in enumerate(seen) for one in windows(observed, number)]
