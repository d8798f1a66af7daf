r"""Heat lost to the outside: what is made, less what arrives at the pack and what is stored.

.. math:: a P - b\,\dot m c_p (T_{in} - T_{out} - \delta) = C_i \dot T_{in} + C_w \dot T_w
          + U (T_{out} - T_a) + U_v (T_{out} - T_a)[t \ge \tau]

fitted by weighted least squares with priors on gains, zero, capacities and the usual loss U. The
valve's U_v, with the best onset, is held against none, and against a jump and a slow drift of a
coolant sensor.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from thawline.findings.case import Array, Case, blocks
from thawline.findings.finding import Checked, Figure, Unchecked
from thawline.findings.heat_path import FLOW, INLET, OUTLET, HeatPath
from thawline.findings.settings import setting
from thawline.findings.weigh import finding, usual
from thawline.story.story import Evidence

KIND = "heat-lost-outside"
NAME = "lost_kW_per_K"
#: Onsets that are tried [1]; blocks that each side of one must have [1].
TRIED, LEAST = 14, 4
#: Blocks in which a slow drift must show [1].
LASTS = 14


class Told(NamedTuple):
    """What the balance says of valve and sensors: gains in log-likelihood over none.

    Parameters
    ----------
    valve_gain, jump_gain, drift_gain : float
        Of an open valve, a sensor that jumped, and one that drifts [1].
    drift_K : float
        How far inlet less outlet is off at the end [K].
    drift_at : int
        Block in which the drift begins [1].
    is_valve : bool
        Whether a valve was found.
    """

    valve_gain: float = 0.0
    jump_gain: float = 0.0
    drift_gain: float = 0.0
    drift_K: float = 0.0
    drift_at: int = 0
    is_valve: bool = False

    @property
    def is_drift(self) -> bool:
        """Whether a slow drift explains much, clearly more than a valve, and is large."""
        much = self.drift_gain > setting("coolant_drift_gain")
        needed = setting("coolant_drift_lead") * max(self.valve_gain, 0.0)
        leads = self.drift_gain > needed + setting("clear_lead")
        return much and leads and abs(self.drift_K) > setting("coolant_drift_K")

    @property
    def valve_leads(self) -> float:
        """By how much more a valve that was found explains than a jump [1]."""
        return self.valve_gain - self.jump_gain if self.is_valve else 0.0


NOTHING = Told()


def check_outside(case: Case, path: HeatPath) -> tuple[Checked, Told]:
    """Check whether the heat arrives at the pack.

    Parameters
    ----------
    case : Case
        The recording.
    path : HeatPath
        Its heat path.

    Returns
    -------
    checked : Checked
        Finding, if any; figure ``lost_kW_per_K``.
    told : Told
        What the balance says of valve, jump and drift.
    """
    missing = [
        name
        for name, p in (
            ("coolant flow", FLOW),
            ("coolant inlet", INLET),
            ("coolant outlet", OUTLET),
        )
        if not case.has(p)
    ]
    if np.all(np.isnan(path.heat_kW)):
        missing.append("heat of drive units or heater")
    if missing == ["coolant flow"]:
        missing = ["coolant flow: only what changes within the morning shows"]
    if missing:
        return Checked(unchecked=(Unchecked(KIND, f"no {' and no '.join(missing)}"),)), NOTHING
    fit = _Fit(case, path, _settled(case, path))
    if fit.count < 10:
        return Checked(unchecked=(Unchecked(KIND, "the pack was not heated long enough"),)), NOTHING
    return _judged(case, path, fit)


def _settled(case: Case, path: HeatPath) -> NDArray[np.bool_]:
    """Tell where coolant flows, and heat went neither on nor off just before.

    Iron takes minutes to follow; without a thermometer in the drive units nothing tells it.
    """
    stands = blocks(np.where(case.standing(), 1.0, 0.0), int(setting("block_s"))) > 0.99
    used = stands & (path.flow > 1.0)
    used[1:] &= used[:-1]
    on = np.nan_to_num(path.heat_kW) > 0.5 * setting("heat_least_kW")
    wait = 2 if case.windings() else int(setting("iron_follows_s") / setting("block_s"))
    for at in np.flatnonzero(np.diff(on.astype(np.int8))):
        used[at + 1 : at + 1 + wait] = False
    return np.asarray(used)


def _judged(case: Case, path: HeatPath, fit: _Fit) -> tuple[Checked, Told]:
    base = fit.solve()
    where = fit.names.index("loss")
    usually = float(base[1][where]), float(base[2][where])
    figures = {NAME: Figure(usually[0], usually[1], "kW/K")}
    valve, jump, drift = (fit.best(what) for what in ("valve", "jump", "drift"))
    gains = [0.0 if one is None else one[0] for one in (valve, jump, drift)]
    whole, values, errors = fit.solve(free_loss=True)
    if values[where] > usually[0]:  # a valve that was open all the time
        gains[0] = max(gains[0], base[0] - whole)
    off, begins = (0.0, 0) if drift is None else (drift[2], drift[1])
    told = Told(gains[0], gains[1], gains[2], off, begins)
    candidates: list[tuple[float, float, float, float]] = []
    expected = setting("loss_usual_W_per_K") / 1e3
    past = usual(case.before(NAME, (KIND, "coolant-sensor")), 0.005)
    spread = setting("loss_usual_sigma_W_per_K") / 1e3
    if past is not None and past.sigma < 0.05:
        expected, spread = max(expected, past.value), past.sigma
    if told.is_drift:  # it explains more, and bends the loss
        return Checked(), told
    loss, sigma = (float(a[fit.names.index("loss")]) for a in (values, errors))
    candidates.append(
        ((loss - expected) / float(np.hypot(sigma, spread)), loss - expected, loss, 0.0)
    )
    if valve is not None:
        gain, at, value, error, before = valve
        clearly = gain > gains[1] - 2.0
        if clearly and gain > setting("z") ** 2 / 2.0:
            candidates.append((value / error, value, value + before, float(path.t[at])))
    least = setting("valve_least_W_per_K") / 1e3
    counted = [c for c in candidates if c[0] > setting("z") and c[1] > least]
    if not counted:
        return Checked(figures=figures), told
    z, _, lost, when_s = max(counted)
    heated = path.is_steady & (path.t >= when_s)
    apart = float(np.nanmean((path.outlet - path.outside)[heated])) if heated.any() else 0.0
    because = (
        f"Coolant loses {lost * 1e3:.0f} W per kelvin above the air outside on its way, about "
        f"{max(lost * apart, 0.0):.1f} kW, where {expected * 1e3:.0f} W/K are usual: the heat is "
        "made and carried, and does not arrive at the pack, as with a radiator's valve that is "
        "open."
    )
    evidence = [Evidence("heat lost between drive units and pack", lost, "kW/K", expected, when_s)]
    return Checked(
        (finding(KIND, when_s or None, z, because, evidence),), figures=figures
    ), told._replace(is_valve=True)


class _Fit:
    """Weighted least squares of the hot side's balance; columns by name."""

    names = ("heat", "carried", "zero", "inlet", "winding", "loss")

    def __init__(self, case: Case, path: HeatPath, used: NDArray[np.bool_]) -> None:
        dt = setting("block_s")
        rate = {n: np.gradient(v) / dt for n, v in (("in", path.inlet), ("w", path.winding))}
        rate["w"] = np.where(np.isnan(rate["w"]), rate["in"], rate["w"])
        per_K = path.carried_kW / np.where(np.abs(path.inlet - path.outlet) > 0.05,
                                           path.inlet - path.outlet, np.nan)  # fmt: skip
        self.per_K = np.where(np.isnan(per_K), np.nanmedian(per_K[used]) if used.any() else 0.0,
                              per_K)  # fmt: skip
        self.above = path.outlet - path.outside
        columns = [path.heat_kW, -path.carried_kW, self.per_K, -rate["in"], -rate["w"], -self.above]
        y = -(path.heat_kW - path.carried_kW)
        ok = used & ~np.isnan(np.sum(columns, axis=0)) & ~np.isnan(y)
        self.at = np.flatnonzero(ok)
        self.count = len(self.at)
        self.columns = (
            np.stack([c[ok] for c in columns], axis=1) if self.count else np.empty((0, 6))
        )
        self.y = y[ok]
        fast = np.abs(rate["w"][ok]) * 60.0
        self.sigma = np.hypot(setting("balance_sigma_kW"), 0.03 * path.heat_kW[ok]) * (1.0 + fast)
        units = max(len(case.windings()), 1)
        metal = setting("metal_kJ_per_K") * units
        zero = np.hypot(case.sigma(INLET), case.sigma(OUTLET)) / 2.0
        usual_loss = setting("loss_usual_W_per_K") / 1e3
        self.mean = np.array([0.0, 0.0, 0.0, metal * 0.7, metal * 0.3, usual_loss])
        self.spread = np.array(
            [setting("heat_gain_sigma"), setting("flow_gain_sigma"), zero,
             metal * 0.7 * setting("metal_sigma"), metal * 0.3 * setting("metal_sigma"),
             setting("loss_usual_sigma_W_per_K") / 1e3]
        )  # fmt: skip

    def solve(self, extra: Array | None = None, *, free_loss: bool = False,
              wide: float = 1.0) -> tuple[float, Array, Array]:  # fmt: skip
        X, mean, spread = self.columns, self.mean.copy(), self.spread.copy()
        if free_loss:
            spread[5] = 1.0
        if extra is not None:
            X = np.column_stack((X, extra))
            mean, spread = np.append(mean, 0.0), np.append(spread, wide)
        A = np.concatenate((X / self.sigma[:, None], np.diag(1.0 / spread)))
        b = np.concatenate((self.y / self.sigma, mean / spread))
        # y = X (theta with gains as departures from one)
        theta, *_ = np.linalg.lstsq(A, b, rcond=None)
        left = b - A @ theta
        cost = 0.5 * float(left @ left)
        freedom = max(self.count - 4, 1)
        widen = max(1.0, float(left[: self.count] @ left[: self.count]) / freedom)
        sigma = np.sqrt(np.diag(np.linalg.inv(A.T @ A)) * widen)
        return cost / widen, theta, sigma

    def best(self, what: str) -> tuple[float, int, float, float, float] | None:
        """Find the onset of a valve, a jump or a drift that explains most."""
        if self.count < 2 * LEAST:
            return None
        none = self.solve()[0]
        found: tuple[float, int, float, float, float] | None = None
        first, last = (0, self.count - LASTS) if what == "drift" else (LEAST, self.count - LEAST)
        for i in np.unique(np.linspace(first, max(first, last), TRIED).astype(int)):
            after = (np.arange(self.count) >= i).astype(np.float64)
            above, per_K = self.above[self.at], self.per_K[self.at]
            ramp = np.maximum(self.at - self.at[i], 0.0)
            shape = ramp / max(float(ramp[-1]), 1.0) if what == "drift" else after
            column = -after * above if what == "valve" else shape * per_K
            cost, theta, sigma = self.solve(column, wide=0.3 if what == "valve" else 10.0)
            gain = none - cost
            if (found is None or gain > found[0]) and (theta[-1] > 0.0 or what != "valve"):
                tail = float(theta[-1]), float(sigma[-1]), float(theta[5])
                found = (gain, int(self.at[i]), *tail)
        return found
