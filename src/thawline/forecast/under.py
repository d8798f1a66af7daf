"""Run a fitted model under a given programme: what is given is what happens.

No habit of the car enters here: heat, flow, cabin and pack power are as the programme has them.
What becomes of the temperatures then is the model's to say, for each of a sample of cars that
fit the readings.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from thawline.errors import RequestError
from thawline.forecast.ahead import target_weights
from thawline.forecast.roots import square_root
from thawline.forecast.settings import setting
from thawline.warmup.cabin import cabin_steps
from thawline.warmup.grid import INPUTS
from thawline.warmup.network import steps_of
from thawline.warmup.prior import to_values
from thawline.warmup.warmup import Fitted, WarmUp

Array = NDArray[np.float64]
#: Flows are told apart to this share of the reference [1].
FLOW_GRAIN = 0.05


@dataclass(frozen=True, slots=True)
class Programme:
    """What is done, held over each step; each of shape (n,), or (n, k) member by member.

    Parameters
    ----------
    step_s : float
        Length of a step [s].
    drive_kW, heater_kW : ndarray of float64
        Heat made in the drive units, and by a heater in the coolant [kW].
    pack_kW : ndarray of float64
        Power into the pack or out of it, for the heat in its cells [kW].
    cabin_kW : ndarray of float64
        Power of the cabin's heaters [kW].
    outside_degC : ndarray of float64
        Air outside [degC].
    flow_share : ndarray of float64, shape (n,)
        Coolant flow over the reference flow; 0 where the pump stands [1].
    """

    step_s: float
    drive_kW: Array
    heater_kW: Array
    pack_kW: Array
    cabin_kW: Array
    outside_degC: Array
    flow_share: Array


@dataclass(frozen=True, slots=True)
class Soaked:
    """Where a run begins.

    Parameters
    ----------
    pack_degC : float
        All of the pack [degC].
    hot_degC : float or None
        Metal and coolant; None: as the pack [degC].
    cabin_degC : float or None
        Air and inner surfaces of the cabin; None: as the pack [degC].
    """

    pack_degC: float
    hot_degC: float | None = None
    cabin_degC: float | None = None


@dataclass(frozen=True, slots=True)
class Course:
    """Temperatures under a programme.

    Parameters
    ----------
    t : ndarray of float64, shape (n + 1,)
        Times since the beginning [s].
    coldest, pack : ndarray of float64, shape (n + 1, k)
        The coldest cell, and the mean of the pack [degC].
    hot : ndarray of float64, shape (n + 1, k) or None
        The coolant; None where the model has none [degC].
    cabin : ndarray of float64, shape (n + 1, k) or None
        Cabin air; None where no model of it was fitted [degC].
    """

    t: Array
    coldest: Array
    pack: Array
    hot: Array | None
    cabin: Array | None


def steady(
    step_s: float,
    count: int,
    *,
    outside_degC: ArrayLike,
    drive_kW: ArrayLike = 0.0,
    heater_kW: ArrayLike = 0.0,
    pack_kW: ArrayLike = 0.0,
    cabin_kW: ArrayLike = 0.0,
    flow_share: ArrayLike = 1.0,
) -> Programme:
    """Make a programme from single numbers or rows of them.

    Parameters
    ----------
    step_s : float
        Length of a step [s].
    count : int
        Steps [1].
    outside_degC : float or ndarray
        Air outside [degC].
    drive_kW, heater_kW, pack_kW, cabin_kW : float or ndarray
        Powers [kW].
    flow_share : float or ndarray
        Coolant flow over the reference flow [1].

    Returns
    -------
    Programme
        With every row as long as the programme.
    """
    given = (drive_kW, heater_kW, pack_kW, cabin_kW, outside_degC, flow_share)
    rows = [np.asarray(each, dtype=np.float64) for each in given]
    return Programme(step_s, *(np.full(count, r) if r.ndim == 0 else r for r in rows))


def _columns(programme: Programme) -> dict[str, Array]:
    """Give each row the shape (n, k or 1)."""
    rows = {
        f.name: np.asarray(getattr(programme, f.name), dtype=np.float64)
        for f in fields(programme)
        if f.name != "step_s"
    }
    count = {len(row) for row in rows.values()}
    if len(count) > 1 or programme.step_s <= 0.0:
        raise RequestError(
            f"a programme's rows must be equally long (={sorted(count)}), and its step "
            f"(={programme.step_s:g} s) above 0 s",
            cure="give each row one number per step",
        )
    for name, row in rows.items():
        if not np.isfinite(row).all():
            raise RequestError(
                f"{name} of a programme must be finite", cure="fill what is not known"
            )
    return {name: row if row.ndim == 2 else row[:, None] for name, row in rows.items()}


def _sets(fitted: Fitted, sets: int, rng: np.random.Generator) -> Array:
    if sets == 1:
        return np.array(fitted.mean)[None, :]
    root = square_root(fitted.covariance)
    return np.asarray(fitted.mean + rng.standard_normal((sets, len(fitted.mean))) @ root.T)


def _run(F: Array, G: Array, Q: Array, level: NDArray[np.intp], inputs: Array, first: Array,
         rng: np.random.Generator | None) -> Array:  # fmt: skip
    """Step all members: F of shape (k, m, s, s), inputs (n, k, i); gives (n + 1, k, s)."""
    root = None if rng is None else square_root(Q)
    x, found = first, [first]
    for row, held in zip(level, inputs, strict=True):
        x = (F[:, row] @ x[..., None] + G[:, row] @ held[..., None])[..., 0]
        if root is not None and rng is not None:
            x = x + (root[:, row] @ rng.standard_normal((*x.shape, 1)))[..., 0]
        found.append(x)
    return np.array(found)


def run_under(
    warmup: WarmUp,
    programme: Programme,
    begins: Soaked,
    *,
    cell_heat_per_kW2: float = 0.0,
    usual_heat_kW: float | None = None,
    sets: int = 64,
    with_noise: bool = True,
    seed: int | None = None,
) -> Course:
    """Run a fitted model under a programme.

    Parameters
    ----------
    warmup : WarmUp
        The model.
    programme : Programme
        What is done.
    begins : Soaked
        Where it begins.
    cell_heat_per_kW2 : float
        Heat in the cells per square of the pack's power, at the prior resistance [1/kW].
    usual_heat_kW : float, optional
        Scale of the wandering heat; the programme's mean while heating if it is not given [kW].
    sets : int
        Cars to draw from the fit; 1: the most probable one [1].
    with_noise : bool
        Whether what the model misses is drawn too.
    seed : int, optional
        Start of the random numbers; the forecast's own if it is not given [1].

    Returns
    -------
    Course
        Temperatures, member by member.

    Raises
    ------
    RequestError
        If the programme's rows differ in length, hold what is not finite, or the step is not
        above zero.
    """
    rng = np.random.default_rng(int(setting("seed")) if seed is None else seed)
    rows, structure = _columns(programme), warmup.structure
    p = to_values(structure.parameters, _sets(warmup.pack, sets, rng))
    heat = (rows["drive_kW"] + rows["heater_kW"]).mean(axis=1)
    busy = heat[heat > setting("on_kW")]
    usual = usual_heat_kW or (float(busy.mean()) if len(busy) else 1.0)
    count = len(heat)
    inputs = np.zeros((count, sets, len(INPUTS)))
    for name, row in (
        ("drive", rows["drive_kW"]),
        ("heater", rows["heater_kW"]),
        ("cells", cell_heat_per_kW2 * rows["pack_kW"] ** 2),
        ("cabin", rows["cabin_kW"]),
        ("outside", rows["outside_degC"]),
    ):
        inputs[..., INPUTS.index(name)] = row
    grains = np.round(rows["flow_share"].mean(axis=1) / FLOW_GRAIN).astype(int)
    shares, level = np.unique(grains, return_inverse=True)
    steps = steps_of(structure, p, np.maximum(shares, 0) * FLOW_GRAIN, usual, programme.step_s)
    first = np.zeros((sets, len(structure.states)))
    for i, lump in enumerate(structure.lumps):
        hot = begins.pack_degC if begins.hot_degC is None else begins.hot_degC
        first[:, i] = hot if lump in structure.hot else begins.pack_degC
    drawn = rng if with_noise else None
    x = _run(steps.F, steps.G, steps.Q, level, inputs, first, drawn)
    mean = [structure.states.index(lump) for lump in structure.pack]
    coolant = structure.states.index(structure.hot[-1]) if structure.hot else None
    return Course(
        np.asarray(programme.step_s * np.arange(count + 1), dtype=np.float64),
        x @ target_weights(structure),
        np.asarray(x[..., mean].mean(axis=-1)),
        None if coolant is None else x[..., coolant],
        _cabin(warmup.cabin, programme.step_s, inputs, begins, drawn, rng),
    )


def _cabin(
    fitted: Fitted | None,
    step_s: float,
    inputs: Array,
    begins: Soaked,
    drawn: np.random.Generator | None,
    rng: np.random.Generator,
) -> Array | None:
    if fitted is None:
        return None
    power = inputs[..., INPUTS.index("cabin")].mean(axis=1)
    busy = power[power > setting("on_kW")]
    p = to_values(fitted.names, _sets(fitted, inputs.shape[1], rng))
    steps = cabin_steps(p, float(busy.mean()) if len(busy) else 1.0, step_s)
    begin = begins.pack_degC if begins.cabin_degC is None else begins.cabin_degC
    first = np.zeros((inputs.shape[1], steps.F.shape[-1]))
    first[:, :2] = begin  # air and inner surfaces; the third state wanders about zero
    still = np.zeros(len(inputs), dtype=np.intp)
    return _run(steps.F, steps.G, steps.Q, still, inputs, first, drawn)[..., 0]
