r"""A group of cells that is out of balance, or holds less charge than the others.

Without current the spread of cell voltages is that of their charges. A group of less capacity
also moves faster: its voltage at rest follows the same charge by more. Fitted are

.. math:: s = a + (b\,|I| + d\,I) f(T) + c\,Q, \qquad u = u_0 + R\,I f(T) + k\,Q

with the spread *s*, the middle *u* of lowest and highest voltage, the counted charge *Q* and the
resistance's dependence on temperature *f*; :math:`|c/k|` is the share that a group moves more.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.findings.case import Array, Case, blocks
from thawline.findings.finding import Figure, Finding
from thawline.findings.settings import setting
from thawline.findings.weigh import finding, usual
from thawline.physics.battery import arrhenius_factor
from thawline.recording.powers import BATTERY
from thawline.story.story import Evidence

KIND = "lagging-cell-group"
LOW, HIGH = BATTERY + "CellVoltage.Min", BATTERY + "CellVoltage.Max"
REST = "rest_spread_V"
#: Seconds of a block, and blocks that are needed [s], [1].
WIDTH, LEAST = 5, 60
#: Blocks that count as one, for what is left over is alike for minutes [1].
ALIKE = 12.0


@dataclass(frozen=True, slots=True)
class Balance:
    """Spread of cell voltages taken apart.

    Parameters
    ----------
    rest_V, sigma_V : float
        Spread without current, mean over the recording, and its standard uncertainty [V].
    moves : float
        How much more a group's voltage moves with the charge, over the mean's own [1].
    moves_sigma : float
        Its standard uncertainty [1].
    moved_V : float
        How far the mean cell's voltage at rest moved [V].
    """

    rest_V: float
    sigma_V: float
    moves: float
    moves_sigma: float
    moved_V: float


def check_imbalance(case: Case, figures: dict[str, Figure]) -> Finding | None:
    """Check the spread of cell voltages without current, and with the charge.

    Parameters
    ----------
    case : Case
        The recording; its cell voltages and current are known.
    figures : dict of str to Figure
        Figures of this morning; ``rest_spread_V`` is added.

    Returns
    -------
    Finding or None
        What was found.
    """
    balance = balance_of(case)
    if balance is None:
        return None
    figures[REST] = Figure(balance.rest_V, balance.sigma_V, "V")
    return _parted(case, balance) or _moves(balance)


def balance_of(case: Case) -> Balance | None:
    """Take the spread of cell voltages apart.

    Parameters
    ----------
    case : Case
        The recording.

    Returns
    -------
    Balance or None
        None where too little is known.
    """
    amps = blocks(case.lay(BATTERY + "CurrentCurrent"), WIDTH)
    low, high = blocks(case.lay(LOW), WIDTH), blocks(case.lay(HIGH), WIDTH)
    bulk = case.bulk()
    degC = blocks(case.lay(bulk), WIDTH) if bulk else np.zeros(len(amps))
    known = ~np.isnan(amps + low + high + degC)
    if np.count_nonzero(known) < LEAST:
        return None
    charge = np.cumsum(np.nan_to_num(amps))[known] * WIDTH / 3600.0
    charge = charge - charge.mean()
    factor = arrhenius_factor(degC[known], setting("activation_J_per_mol") / 1e3, 0.0)
    one, drop = np.ones(len(charge)), amps[known] * factor
    spread, middle = (high - low)[known], 0.5 * (high + low)[known]
    own, own_sigma = _fit(np.stack((one, np.abs(drop), drop, charge), axis=1), spread)
    mean, mean_sigma = _fit(np.stack((one, drop, charge), axis=1), middle)
    moved = float(abs(mean[2]) * np.ptp(charge))
    per = max(abs(float(mean[2])), 1e-12)
    ratio = float(own[3]) / per
    sigma = float(np.hypot(own_sigma[3] / per, ratio * mean_sigma[2] / per))
    return Balance(float(own[0]), float(own_sigma[0]), ratio, sigma, moved)


def _fit(columns: Array, values: NDArray[np.float64]) -> tuple[Array, Array]:
    theta, *_ = np.linalg.lstsq(columns, values, rcond=None)
    left = values - columns @ theta
    spread = float(left @ left) / max(len(values) - columns.shape[1], 1) * ALIKE
    inverse = np.linalg.pinv(columns.T @ columns)
    return np.asarray(theta, dtype=np.float64), np.sqrt(np.diag(inverse) * spread)


def _parted(case: Case, balance: Balance) -> Finding | None:
    """Hold the spread without current against what sound packs have, and against the past."""
    expected, wide = setting("rest_spread_usual_V"), setting("rest_spread_sigma_V")
    least, words = setting("rest_spread_V"), "in a sound pack"
    past = usual(case.before(REST, (KIND,)), setting("rest_spread_scatter_V"))
    if past is not None:
        expected, wide, words = past.value, past.sigma, f"on {past.mornings} earlier mornings"
        least *= setting("rest_spread_grown")
    z = (balance.rest_V - expected) / float(np.hypot(wide, balance.sigma_V))
    if z < setting("z") or balance.rest_V - expected < least:
        return None
    because = (
        f"Without current the cells' voltages part by {1e3 * balance.rest_V:.0f} mV; {words} "
        f"it is about {1e3 * expected:.0f} mV: a group is out of balance or holds less charge."
    )
    evidence = Evidence(
        "CellVoltage.Max - CellVoltage.Min at rest", balance.rest_V, "V", expected, 0.0
    )
    return finding(KIND, None, z, because, [evidence])


def _moves(balance: Balance) -> Finding | None:
    """Hold how far a group's voltage moves with the charge against the mean cell's own."""
    size = abs(balance.moves)
    # temperatures that even out move some millivolts as well
    if balance.moved_V < setting("capacity_moved_V"):
        return None
    if size * balance.moved_V < setting("capacity_parts_V"):
        return None
    z = size / float(np.hypot(setting("capacity_sigma"), balance.moves_sigma))
    if z < setting("z") or size < setting("capacity_lacks"):
        return None
    because = (
        f"As charge goes in, the voltage of one group at rest moves {size:.0%} further than the "
        "mean cell's: it holds less charge than the others."
    )
    evidence = Evidence("CellVoltage spread over mean, with charge", size, "1", 0.0, 0.0)
    return finding(KIND, None, z, because, [evidence])
