"""Leave only JSON's own types in a document."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

#: Times are given to the millisecond, other values to this many significant digits [1].
DIGITS = 6


def tidy(value: Any, digits: int = DIGITS, key: str = "") -> Any:
    """Leave only JSON's own types, without NaN, with digits that mean something.

    Parameters
    ----------
    value : object
        Anything made of mappings, sequences, arrays, numbers and text.
    digits : int
        Significant digits of values that are no times [1].
    key : str
        Its name: those that end in ``_s`` are times.

    Returns
    -------
    object
        The same in JSON's types; what is not finite is None.
    """
    if isinstance(value, dict):
        return {str(name): tidy(inner, digits, str(name)) for name, inner in value.items()}
    if isinstance(value, np.ndarray):
        return [tidy(inner, digits, key) for inner in value.tolist()]
    if isinstance(value, (list, tuple)):
        return [tidy(inner, digits, key) for inner in value]
    if isinstance(value, (bool, np.bool_)):
        return bool(value)
    if isinstance(value, np.integer):
        return int(value)
    if isinstance(value, (float, np.floating)):
        if not math.isfinite(value):
            return None
        return round(float(value), 3) if key.endswith("_s") else float(f"{value:.{digits}g}")
    return value
