r"""Activation energies of published parameter sets, read from the sets themselves.

.. math:: E = k \ln\frac{f(T_2)}{f(T_1)} \Big/ \left(\frac1{T_1} - \frac1{T_2}\right)

A conductivity that a paper writes as :math:`\exp(-E/kT)/T` is read times the temperature, so
that *E* is the paper's; without that it would come out about 2.4 kJ/mol smaller.
"""

from __future__ import annotations

import math
import warnings

from thawline.errors import RequestError, did_you_mean
from thawline.physics.constants import constants, read_table
from thawline.plating.cell import package, setting


def energy_kJ_per_mol(process: str, parameter_set: str) -> float:
    """Read the activation energy of a process from a parameter set.

    Parameters
    ----------
    process : str
        ``electrolyte conductivity``, ``graphite kinetics`` or ``NMC kinetics``.
    parameter_set : str
        Name of the set, for instance ``Ecker2015``.

    Returns
    -------
    float
        Its activation energy [kJ/mol].

    Raises
    ------
    RequestError
        If the process is not known, or the extra is not installed.
    """
    rows = {row["process"]: row for row in read_table("thawline.plating", "processes.csv")}
    if process not in rows:
        raise RequestError(
            f"process (={process!r}) is not known",
            cure=did_you_mean(process, rows) or f"it may be {', '.join(rows)}",
        )
    pybamm = package()
    values = pybamm.ParameterValues(parameter_set)
    name = rows[process]["parameter"]
    inputs = [float(word) for word in rows[process]["arguments"].split()]
    low, high = (setting(f"{end}_degC") + constants()["zero_degC"] for end in ("low", "high"))

    def at(kelvin: float) -> float:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # what the package thinks of its own parts
            symbol = values[name](*inputs, pybamm.Scalar(kelvin))
            read = float(values.process_symbol(symbol).evaluate().item())
        return read * kelvin if rows[process]["times_kelvin"] == "1" else read

    ratio = math.log(at(high) / at(low))
    return constants()["gas_constant"] * ratio / (1.0 / low - 1.0 / high) / 1e3
