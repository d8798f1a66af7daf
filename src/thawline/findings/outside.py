r"""Heat lost to the outside: what is made, less what arrives at the pack and what is stored.

.. math:: a P - b\,\dot m c_p (T_{in} - T_{out} - \delta) = C_i \dot T_{in} + C_w \dot T_w
          + U (T_{out} - T_a) + U_v (T_{out} - T_a)[t \ge \tau]

fitted by weighted least squares with priors on gains, zero, capacities and the usual loss U. The
valve's U_v, with the best onset, is held against none, and against a jump of a coolant sensor.
"""

from __future__ import annotations

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


def check_outside(case: Case, path: HeatPath) -> tuple[Checked, float]:
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
    lead : float
        By how much more log-likelihood a valve explains than a sensor that jumped [1].
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
    if missing:
        return Checked(unchecked=(Unchecked(KIND, f"no {' and no '.join(missing)}"),)), 0.0
    fit = _Fit(case, path, _settled(case, path))
    if fit.count < 10:
        return Checked(unchecked=(Unchecked(KIND, "the pack was not heated long enough"),)), 0.0
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


def _judged(case: Case, path: HeatPath, fit: _Fit) -> tuple[Checked, float]:
    base = fit.solve()
    where = fit.names.index("loss")
    usually = float(base[1][where]), float(base[2][where])
    figures = {NAME: Figure(usually[0], usually[1], "kW/K")}
    valve, jump = fit.best("valve"), fit.best("jump")
    candidates: list[tuple[float, float, float, float]] = []
    expected = setting("loss_usual_W_per_K") / 1e3
    past = usual(case.before(NAME, (KIND, "coolant-sensor")), 0.005)
    spread = setting("loss_usual_sigma_W_per_K") / 1e3
    if past is not None and past.sigma < 0.05:
        expected, spread = max(expected, past.value), past.sigma
    _, values, errors = fit.solve(free_loss=True)
    loss, sigma = (float(a[fit.names.index("loss")]) for a in (values, errors))
    candidates.append(
        ((loss - expected) / float(np.hypot(sigma, spread)), loss - expected, loss, 0.0)
    )
    if valve is not None:
        gain, at, value, error, before = valve
        clearly = jump is None or gain > jump[0] - 2.0
        if clearly and gain > setting("z") ** 2 / 2.0:
            candidates.append((value / error, value, value + before, float(path.t[at])))
    least = setting("valve_least_W_per_K") / 1e3
    counted = [c for c in candidates if c[0] > setting("z") and c[1] > least]
    if not counted:
        return Checked(figures=figures), 0.0
    lead = 0.0 if valve is None or jump is None else valve[0] - jump[0]
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
    return Checked((finding(KIND, when_s or None, z, because, evidence),), figures=figures), lead


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
        """Find the onset of a valve or a jump that explains most."""
        if self.count < 2 * LEAST:
            return None
        none = self.solve()[0]
        found: tuple[float, int, float, float, float] | None = None
        for i in np.unique(np.linspace(LEAST, self.count - LEAST, TRIED).astype(int)):
            after = (np.arange(self.count) >= i).astype(np.float64)
            above, per_K = self.above[self.at], self.per_K[self.at]
            column = -after * above if what == "valve" else after * per_K
            cost, theta, sigma = self.solve(column, wide=0.3 if what == "valve" else 10.0)
            gain = none - cost
            if (found is None or gain > found[0]) and (theta[-1] > 0.0 or what == "jump"):
                tail = float(theta[-1]), float(sigma[-1]), float(theta[5])
                found = (gain, int(self.at[i]), *tail)
        return found
