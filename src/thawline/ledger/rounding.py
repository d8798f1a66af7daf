"""Round a value with its uncertainty, as the Particle Data Group does.

References
----------
.. [1] Particle Data Group, Review of Particle Physics, Introduction, section "Rounding": if
   the three highest digits of the error lie between 100 and 354, round it to two digits;
   between 355 and 949 to one; from 950 round up to 1000 and keep two.
"""

from __future__ import annotations

import math

#: Up to these three digits two are kept, up to the next one is [1].
TWO_DIGITS_TO, ONE_DIGIT_TO = 354, 949
#: Forgives a binary float that stands just below its decimal [1].
FLOAT = 1e-9


def decimals(sigma: float) -> int:
    """Find to how many decimals an uncertainty is worth writing.

    Parameters
    ----------
    sigma : float
        A standard uncertainty above zero [unit].

    Returns
    -------
    int
        Decimals; negative for tens and more.
    """
    exponent = math.floor(math.log10(sigma))
    digits = math.floor(sigma / 10.0 ** (exponent - 2) + FLOAT)
    if digits > ONE_DIGIT_TO:
        return -exponent  # 950 becomes 1000: its two digits end one place higher
    return 1 - exponent if digits <= TWO_DIGITS_TO else -exponent


def rounded(value: float, sigma: float) -> tuple[str, str]:
    """Write a value and its uncertainty to the digits that they are worth.

    Parameters
    ----------
    value : float
        The value [unit].
    sigma : float
        Its standard uncertainty [unit].

    Returns
    -------
    tuple of str
        Both, with the same number of decimals; two decimals where there is no uncertainty.
    """
    if not math.isfinite(sigma) or sigma <= 0.0:
        return _written(value, 2), "0"
    places = decimals(sigma)
    return _written(value, places), _written(sigma, places)


def _written(value: float, places: int) -> str:
    text = f"{round(value, places):.{max(places, 0)}f}"
    # a rounded zero has no sign
    return text.removeprefix("-") if float(text) == 0.0 else text.replace("-", "−")


def plus_minus(value: float, sigma: float, unit: str = "kWh") -> str:
    """Write a value with its uncertainty for people.

    Parameters
    ----------
    value : float
        The value [unit].
    sigma : float
        Its standard uncertainty [unit].
    unit : str
        The unit.

    Returns
    -------
    str
        For instance ``1.93 ± 0.06 kWh``.
    """
    number, error = rounded(value, sigma)
    return f"{number} {unit}" if error == "0" else f"{number} ± {error} {unit}"
