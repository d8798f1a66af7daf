r"""The textbook cell: a single-particle model with electrolyte, charged at a constant current.

The negative electrode's surface potential against lithium at the separator is where plating
begins first; lithium may plate where it falls to 0 V [1]_. The C-rate at which it just reaches
0 V within the time of charging is found by bracketing.

References
----------
.. [1] S. E. J. O'Kane et al., "Lithium-ion battery degradation: how to model it", Phys. Chem.
   Chem. Phys. 24 (2022) 7909, doi:10.1039/D2CP00417H.
.. [2] V. Sulzer et al., "Python Battery Mathematical Modelling (PyBaMM)", J. Open Research
   Software 9 (2021) 14, doi:10.5334/jors.309.
"""

from __future__ import annotations

import os
import warnings
from collections.abc import Callable
from importlib import metadata
from typing import Any

import numpy as np
from numpy.typing import NDArray

from thawline.errors import RequestError
from thawline.physics.constants import constants
from thawline.plating.plating import PlatingMap

Array = NDArray[np.float64]
PARAMETERS = "OKane2022"
PAPER = "O'Kane et al., Phys. Chem. Chem. Phys. 24 (2022) 7909: an NMC cell with graphite"
MODEL = "single-particle model with electrolyte (SPMe)"
POTENTIAL = "Negative electrode surface potential difference at separator interface [V]"
SIDES = ("negative", "positive")
MISSING = "the plating margin needs a cell model that is not installed"
CURE = "install the extra: pip install 'thawline[cell]'"
Progress = Callable[[int, int], None]


def setting(name: str) -> float:
    """Take a setting of this room.

    Parameters
    ----------
    name : str
        Name of the row of ``settings.csv``.

    Returns
    -------
    float
        Its value, in the table's unit.
    """
    return constants("thawline.plating", "settings.csv")[name]


def package() -> Any:
    """Import the cell model's package, silent and without telemetry.

    Returns
    -------
    module
        PyBaMM.

    Raises
    ------
    RequestError
        If the extra is not installed.
    """
    os.environ["PYBAMM_DISABLE_TELEMETRY"] = "true"
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # what it thinks of its own parts is not ours
            import pybamm  # it ships no types
    except ImportError as error:
        raise RequestError(MISSING, cure=CURE) from error
    return pybamm


def version() -> str:
    """Tell the version of the cell model's package, without loading it.

    Returns
    -------
    str
        Its version.

    Raises
    ------
    RequestError
        If the extra is not installed.
    """
    try:
        return metadata.version("pybamm")
    except metadata.PackageNotFoundError as error:
        raise RequestError(MISSING, cure=CURE) from error


class Cell:
    """The cell, built once and charged many times.

    Raises
    ------
    RequestError
        If the extra is not installed.
    """

    def __init__(self) -> None:
        pybamm = package()
        pybamm.set_logging_level("CRITICAL")
        self._whole = pybamm.ParameterValues(PARAMETERS)
        values = pybamm.ParameterValues(PARAMETERS)
        self._ampere_hours = float(values["Nominal cell capacity [A.h]"])
        values["Upper voltage cut-off [V]"] = setting("lifted_cutoff_V")
        for name in ("Current function [A]", "Ambient temperature [K]", "Initial temperature [K]"):
            values[name] = "[input]"
        for side in SIDES:
            values[f"Initial concentration in {side} electrode [mol.m-3]"] = "[input]"
        self._simulation = pybamm.Simulation(
            pybamm.lithium_ion.SPMe(),
            parameter_values=values,
            solver=pybamm.IDAKLUSolver(output_variables=[POTENTIAL]),
        )
        self._begin = pybamm.lithium_ion.get_initial_stoichiometries
        self._started: dict[float, dict[str, float]] = {}

    def _concentrations(self, charge_pct: float) -> dict[str, float]:
        """Give the lithium in both electrodes at a state of charge [percent]."""
        if charge_pct not in self._started:
            share = self._begin(charge_pct / 100.0, self._whole)
            self._started[charge_pct] = {
                f"Initial concentration in {side} electrode [mol.m-3]": float(x)
                * float(self._whole[f"Maximum concentration in {side} electrode [mol.m-3]"])
                for side, x in zip(SIDES, share, strict=True)
            }
        return self._started[charge_pct]

    def lowest_V(self, rate_per_h: float, degC: float, charge_pct: float) -> float:
        """Charge the cell and give the lowest potential of its negative electrode.

        Parameters
        ----------
        rate_per_h : float
            C-rate [1/h].
        degC : float
            Temperature of the cell and around it [degC].
        charge_pct : float
            State of charge at the beginning [percent].

        Returns
        -------
        float
            Potential against lithium at the separator; far below zero where the cell cannot
            take such a current at all [V].
        """
        kelvin = degC + constants()["zero_degC"]
        inputs = {
            "Current function [A]": -rate_per_h * self._ampere_hours,
            "Ambient temperature [K]": kelvin,
            "Initial temperature [K]": kelvin,
        }
        inputs |= self._concentrations(charge_pct)
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")  # an early end of the charge is an answer too
                solved = self._simulation.solve([0.0, setting("charge_s")], inputs=inputs)
            return float(np.min(solved[POTENTIAL].data))
        except Exception:  # any failure of the solver: no such charge is possible
            return -1.0

    def crossing(self, degC: float, charge_pct: float) -> float:
        """Find the C-rate at which the negative electrode just reaches 0 V.

        Parameters
        ----------
        degC : float
            Temperature [degC].
        charge_pct : float
            State of charge at the beginning [percent].

        Returns
        -------
        float
            C-rate; 0 where even the lowest reaches it, the highest looked for where none does
            [1/h].
        """
        from scipy.optimize import brentq  # loads slowly: only with a map

        low, high = setting("lowest_rate"), setting("highest_rate")
        if self.lowest_V(low, degC, charge_pct) <= 0.0:
            return 0.0
        if self.lowest_V(high, degC, charge_pct) >= 0.0:
            return high
        found = brentq(
            lambda rate: self.lowest_V(rate, degC, charge_pct),
            low,
            high,
            xtol=setting("rate_accuracy"),
        )
        return float(found)


def _steps(low: str, high: str, step: str) -> Array:
    return np.arange(setting(low), setting(high) + 1e-9, setting(step))


def grid() -> tuple[Array, Array]:
    """Give the temperatures and states of charge of the map.

    Returns
    -------
    degC, charge_pct : ndarray of float64
        Rising [degC], [percent].
    """
    return (
        _steps("coldest_degC", "warmest_degC", "step_K"),
        _steps("lowest_pct", "highest_pct", "step_pct"),
    )


def compute(degC: Array, charge_pct: Array, progress: Progress | None = None) -> PlatingMap:
    """Compute the map.

    Parameters
    ----------
    degC : ndarray of float64, shape (n,)
        Temperatures, rising [degC].
    charge_pct : ndarray of float64, shape (m,)
        States of charge, rising [percent].
    progress : callable, optional
        Called with the points done and the points in all.

    Returns
    -------
    PlatingMap
        The map.

    Raises
    ------
    RequestError
        If the extra is not installed.
    """
    cell = Cell()
    rates = np.zeros((len(degC), len(charge_pct)))
    for i, temperature in enumerate(degC):
        for j, pct in enumerate(charge_pct):
            rates[i, j] = cell.crossing(float(temperature), float(pct))
            if progress is not None:
                progress(i * len(charge_pct) + j + 1, rates.size)
    return PlatingMap(
        PARAMETERS, PAPER, MODEL, version(), setting("charge_s"), degC, charge_pct, rates
    )
