r"""The equations of the lumps, for many parameter sets at once.

.. math::

    C_m \dot T_m &= g P - G_{mc} f (T_m - T_c) - L_m (T_m - T_a) - d_1 \\
    C_c \dot T_c &= G_{mc} f (T_m - T_c) + d_1 + P_h - s P_{cab} - \sum_i q_i - d_2 \\
    C_i \dot T_i &= q_i + (d_2 + r P_{cells} - L_b (T_i - T_a))/N \\
    \dot T_k &= (T_N - T_k)/\tau + r P_{cells}/C_b

In a pack of N rows the coolant, which carries :math:`W = \dot m c_p`, cools from row to row: it
meets row i at

.. math:: \theta_{i+1} = \beta\,\theta_i + (1-\beta) T_i,\quad \theta_1 = T_c,\quad
          q_i = W (\theta_i - \theta_{i+1}),\quad \beta = e^{-\phi/N}

where :math:`\phi` is the pack's conductance over W. With a flow w over a reference,
:math:`W \propto w`, conductances :math:`\propto f = w^n`.

Heat transfer wanders, :math:`\mathrm{d}d = -d/\tau_d\,\mathrm{d}t +
\sigma\sqrt{2/\tau_d}\,\mathrm{d}w`: what leaves one lump by it enters the next, so heat is
kept. Units: kJ/K, kW/K, kW, s, degC.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.warmup.discretise import Steps, discretise
from thawline.warmup.grid import INPUTS, Grid
from thawline.warmup.sensing import Seen
from thawline.warmup.settings import setting
from thawline.warmup.structure import Structure

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Readout:
    """How a thermometer's reading follows from the states.

    Parameters
    ----------
    H : ndarray of float64, shape (k, n)
        Weights of the states [1].
    D : ndarray of float64, shape (k, 5)
        Weights of the inputs [K/kW].
    """

    H: Array
    D: Array


def flow_factor(share: Array, exponent: float) -> Array:
    """Give what a flow makes of a conductance, or of what it carries.

    Parameters
    ----------
    share : ndarray of float64
        Flow over the reference flow [1].
    exponent : float
        Power of the flow [1].

    Returns
    -------
    ndarray of float64
        Conductance over the usual one, never less than a leak [1].
    """
    leak = setting("flow_leak")
    return np.asarray(leak + (1.0 - leak) * share**exponent)


def _passing(structure: Structure, fade: Array) -> Array:
    """Give the coolant's temperature at each row, as weights of coolant and rows.

    From fade of shape (...) an array of shape (..., N + 1, N + 1): at which row (the last:
    behind the pack), of the coolant's lump and of each row.
    """
    count = len(structure.pack)
    weights = np.zeros((*fade.shape, count + 1, count + 1))
    weights[..., 0, 0] = 1.0
    beta = np.exp(-fade / count)
    for i in range(count):
        weights[..., i + 1, :] = beta[..., None] * weights[..., i, :]
        weights[..., i + 1, i + 1] += 1.0 - beta
    return weights


def continuous(
    structure: Structure, p: Mapping[str, Array], shares: Array, usual_heat_kW: float
) -> tuple[Array, Array, Array]:
    """Write down the rates of a model.

    Parameters
    ----------
    structure : Structure
        Its lumps.
    p : mapping of str to ndarray of float64, shape (k,)
        Parameters by name, many sets at once [unit].
    shares : ndarray of float64, shape (m,)
        Flow levels, over the reference flow [1].
    usual_heat_kW : float
        Scale of the wandering heat [kW].

    Returns
    -------
    tuple of ndarray of float64
        A, shape (k, m, n, n); B, shape (k, m, n, 5); Q, shape (k, m, n, n).
    """
    states = {name: i for i, name in enumerate(structure.states)}
    n, k, m = len(states), len(p["pack.heat_capacity"]), len(shares)
    A, B, Q = np.zeros((k, m, n, n)), np.zeros((k, m, n, len(INPUTS))), np.zeros((k, m, n, n))
    column = {name: i for i, name in enumerate(INPUTS)}
    exponent = setting("flow_exponent")
    conducts, carries = flow_factor(shares, exponent), flow_factor(shares, 1.0)
    q = {name: value[:, None] for name, value in p.items()}
    rows = structure.pack
    share = q["pack.heat_capacity"] / len(rows)
    c = dict.fromkeys(rows, share) | {h: q[f"{h}.heat_capacity"] for h in structure.hot}
    if "metal" in states:
        G = q["metal_to_coolant.conductance"] * conducts
        for here, there in (("metal", "coolant"), ("coolant", "metal")):
            A[..., states[here], states[there]] += G / c[here]
            A[..., states[here], states[here]] -= G / c[here]
    if structure.hot:
        last = structure.hot[-1]
        first = structure.hot[0]
        W = q["coolant.carries"] * carries
        passing = _passing(structure, q["pack.fade"] * conducts / carries)
        for i, row in enumerate(rows):
            for j, lump in enumerate((last, *rows)):
                heat = W * (passing[..., i, j] - passing[..., i + 1, j])
                A[..., states[row], states[lump]] += heat / c[row]
                A[..., states[last], states[lump]] -= heat / c[last]
        A[..., states[first], states[first]] -= q[f"{first}.loss"] / c[first]
        B[..., states[first], column["outside"]] = q[f"{first}.loss"] / c[first]
        B[..., states[first], column["drive"]] = q["heat.gain"] / c[first]
        B[..., states[last], column["heater"]] = q["heat.gain"] / c[last]
        if structure.cabin_share:
            B[..., states[last], column["cabin"]] = -q["cabin.share"] / c[last]
    for row in rows:
        i = states[row]
        A[..., i, i] -= q["pack.loss"] / q["pack.heat_capacity"]
        B[..., i, column["outside"]] = q["pack.loss"] / q["pack.heat_capacity"]
        B[..., i, column["cells"]] = q["pack.resistance"] / q["pack.heat_capacity"]
        if not structure.hot:
            for name in ("drive", "heater"):
                B[..., i, column[name]] = q["heat.gain"] / q["pack.heat_capacity"]
    if "coldest" in states:
        i = states["coldest"]
        A[..., i, states[rows[-1]]], A[..., i, i] = 1.0 / q["coldest.lag"], -1.0 / q["coldest.lag"]
        B[..., i, column["cells"]] = q["pack.resistance"] / q["pack.heat_capacity"]
    _wander(structure, states, c, A)
    slow = setting("transfer_wanders_s")
    for name in structure.states[len(structure.lumps) :]:
        Q[..., states[name], states[name]] = 2.0 / slow * (q["noise.transfer"] * usual_heat_kW) ** 2
    for lump in structure.lumps:
        noise = setting("noise_hot") if lump in structure.hot else q["noise.pack"]
        Q[..., states[lump], states[lump]] = noise**2
    return A, B, Q


def _wander(
    structure: Structure, states: Mapping[str, int], c: Mapping[str, Array], A: Array
) -> None:
    """Let heat transfer wander, and decay."""
    rows = structure.pack
    for name in structure.states[len(structure.lumps) :]:
        i = states[name]
        A[..., i, i] = -1.0 / setting("transfer_wanders_s")
        if name == "metal_to_coolant":
            A[..., states["coolant"], i] = 1.0 / c["coolant"]
            A[..., states["metal"], i] = -1.0 / c["metal"]
            continue
        for row in rows:
            A[..., states[row], i] = 1.0 / c[row] / len(rows)
        if structure.hot:
            A[..., states[structure.hot[-1]], i] = -1.0 / c[structure.hot[-1]]


def steps_of(structure: Structure, p: Mapping[str, Array], shares: Array, usual_heat_kW: float,
             step_s: float) -> Steps:  # fmt: skip
    """Make steps of a model.

    Parameters
    ----------
    structure : Structure
        Its lumps.
    p : mapping of str to ndarray of float64, shape (k,)
        Parameters by name [unit].
    shares : ndarray of float64, shape (m,)
        Flow levels, over the reference flow [1].
    usual_heat_kW : float
        Scale of the wandering heat [kW].
    step_s : float
        Length of a step [s].

    Returns
    -------
    Steps
        F, G, Q with the leading shape (k, m).
    """
    return discretise(*continuous(structure, p, shares, usual_heat_kW), step_s)


def readout(structure: Structure, p: Mapping[str, Array], seen: str) -> Readout:
    """Tell how a thermometer reads the states.

    Parameters
    ----------
    structure : Structure
        The model's lumps.
    p : mapping of str to ndarray of float64, shape (k,)
        Parameters by name [unit].
    seen : str
        ``metal``, ``coolant``, ``outlet``, ``warmest``, ``bulk`` or ``coldest``.

    Returns
    -------
    Readout
        Weights of states and inputs.
    """
    k = len(p["pack.heat_capacity"])
    H, D = np.zeros((k, len(structure.states))), np.zeros((k, len(INPUTS)))
    if seen == "outlet":
        behind = _passing(structure, p["pack.fade"])[:, -1]
        for j, lump in enumerate((structure.hot[-1], *structure.pack)):
            H[:, structure.states.index(lump)] = behind[:, j]
    else:
        lumps = structure.lumps_of(seen)
        for lump in lumps:
            H[:, structure.states.index(lump)] = 1.0 / len(lumps)
    if seen == "metal":
        D[:, INPUTS.index("drive")] = p["winding.rise"]
    return Readout(H, D)


def at_first(structure: Structure, seen: tuple[Seen, ...], grid: Grid) -> tuple[Array, Array]:
    """Guess the states before the first step.

    All lumps of a soaked car share a temperature that is unknown to a few kelvin, and are
    apart from it by less; the first readings then decide.

    Parameters
    ----------
    structure : Structure
        The model's lumps.
    seen : tuple of Seen
        The thermometers.
    grid : Grid
        The steps.

    Returns
    -------
    tuple of ndarray of float64
        Mean, shape (n,), and covariance, shape (n, n) [degC, kW].
    """
    firsts = {s.name: float(s.degC[np.isfinite(s.degC)][0]) for s in seen}
    outside = float(grid.inputs[0, INPUTS.index("outside")])
    pack = firsts.get("coldest", firsts.get("bulk", outside))
    n, lumps = len(structure.states), structure.lumps
    mean, own = np.zeros(n), np.zeros(n)
    apart, warm = setting("soak_apart_K"), setting("warm_apart_K")
    for i, lump in enumerate(lumps):
        is_hot = lump in structure.hot
        its = [firsts[s.name] for s in seen if lump in structure.lumps_of(s.name)]
        mean[i] = its[0] if its else pack
        far = abs(mean[i] - pack) > setting("soak_K")
        own[i] = warm if is_hot and (grid.begins_warm or far) else apart
    own[len(lumps) :] = 0.5 * setting("transfer_scale") * max(grid.usual_heat_kW, 1.0)
    together = np.zeros(n)
    together[: len(lumps)] = setting("soak_K")
    return mean, np.outer(together, together) + np.diag(own**2)
