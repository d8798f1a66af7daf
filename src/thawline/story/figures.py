"""Write figures for sentences."""

from __future__ import annotations

from collections.abc import Sequence

MINUS = "\N{MINUS SIGN}"
#: A supply's voltage below this is what a sensor shows of none [V].
SOME_V = 5.0


def _signed(value: float, digits: int) -> str:
    text = f"{value:.{digits}f}"
    if float(text) == 0.0:
        text = text.lstrip("-")
    return text.replace("-", MINUS)


def kilowatt(value: float) -> str:
    """Write a power.

    Parameters
    ----------
    value : float
        The power [kW].

    Returns
    -------
    str
        For instance ``4.8 kW``.
    """
    digits = 2 if 0.0 < abs(value) < 0.095 else 1 if abs(value) < 99.5 else 0
    return f"{_signed(value, digits)} kW"


def degrees(value: float) -> str:
    """Write a temperature.

    Parameters
    ----------
    value : float
        The temperature [degC].

    Returns
    -------
    str
        For instance ``−9.0 °C``.
    """
    return f"{_signed(value, 1)} °C"


def energy(value: float) -> str:
    """Write an energy.

    Parameters
    ----------
    value : float
        The energy [kWh].

    Returns
    -------
    str
        For instance ``0.84 kWh``.
    """
    return f"{_signed(value, 2 if abs(value) < 9.95 else 1)} kWh"


def percent(value: float) -> str:
    """Write a share.

    Parameters
    ----------
    value : float
        The share [percent].

    Returns
    -------
    str
        For instance ``61.5 %``.
    """
    return f"{_signed(value, 1)} %"


def voltage(value: float) -> str:
    """Write a voltage; what is less than one is none.

    Parameters
    ----------
    value : float
        The voltage [V].

    Returns
    -------
    str
        For instance ``208 V``.
    """
    return f"{_signed(value if abs(value) >= SOME_V else 0.0, 0)} V"


def plain(value: float, unit: str) -> str:
    """Write any figure with its unit.

    Parameters
    ----------
    value : float
        The figure [unit].
    unit : str
        Its unit in the catalogue's spelling.

    Returns
    -------
    str
        For instance ``208 V``.
    """
    if unit == "degC":
        return degrees(value)
    if unit == "kW":
        return kilowatt(value)
    if unit == "percent":
        return percent(value)
    digits = 0 if abs(value) >= 99.5 or value == round(value) else 1
    return f"{_signed(value, digits)} {unit}".rstrip()


def moment(t_s: float) -> str:
    """Write an instant as time since the recording's start.

    Parameters
    ----------
    t_s : float
        The instant [s].

    Returns
    -------
    str
        ``m:ss``, or ``h:mm:ss`` from an hour on.
    """
    whole = max(0, round(t_s))
    minutes, seconds = divmod(whole, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02d}:{seconds:02d}" if hours else f"{minutes}:{seconds:02d}"


def lasting(seconds: float) -> str:
    """Write a length of time.

    Parameters
    ----------
    seconds : float
        The time [s].

    Returns
    -------
    str
        Seconds below two minutes, minutes below two hours, hours and minutes from there.
    """
    if seconds < 119.5:
        return f"{seconds:.0f} s"
    minutes = round(seconds / 60.0)
    if minutes < 120:
        return f"{minutes} min"
    return f"{minutes // 60} h {minutes % 60:02d} min"


def capital(text: str) -> str:
    """Begin a sentence.

    Parameters
    ----------
    text : str
        A part of a sentence.

    Returns
    -------
    str
        The same with a capital letter first.
    """
    return text[:1].upper() + text[1:]


def joined(parts: Sequence[str]) -> str:
    """Join parts of a sentence.

    Parameters
    ----------
    parts : sequence of str
        The parts.

    Returns
    -------
    str
        ``a``, ``a and b``, or ``a, b and c``.
    """
    if len(parts) < 2:
        return "".join(parts)
    return ", ".join(parts[:-1]) + " and " + parts[-1]
