"""A supply's ceiling from what its label says."""

from __future__ import annotations

from thawline.errors import RequestError

PHASES = (1, 3)


def supply_ceiling(
    kW: float | None, volts: float | None, amps: float | None, phases: int = 1
) -> float | None:
    """Tell a supply's ceiling from kilowatts, or from volts and amps at unity power factor.

    Parameters
    ----------
    kW : float or None
        Its power [kW].
    volts : float or None
        Voltage of each phase [V].
    amps : float or None
        Current of each phase [A].
    phases : int
        1 or 3 [1].

    Returns
    -------
    float or None
        Its power; None where none is given [kW].

    Raises
    ------
    RequestError
        If too much or too little is given, or a value cannot be.
    """
    if phases not in PHASES:
        raise RequestError(f"phases (={phases}) must be 1 or 3", cure="give --phases 1 or 3")
    if volts is None and amps is None:
        if phases != 1:
            raise RequestError(
                "phases need volts and amps", cure="give --supply-V 230 --supply-A 16"
            )
        return kW
    if kW is not None or volts is None or amps is None:
        raise RequestError(
            "a supply is given by kilowatts, or by volts and amps together",
            cure="give --supply-kW 2.4, or --supply-V 230 --supply-A 10",
        )
    for name, value in (("volts", volts), ("amps", amps)):
        if not 0.0 < value < float("inf"):
            raise RequestError(
                f"{name} (={value:g}) must be more than 0", cure="read them off its label"
            )
    return volts * amps * phases / 1e3
