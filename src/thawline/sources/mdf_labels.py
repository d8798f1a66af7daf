"""Physical values and labels of decoded MDF channels.

The parser's own conversion gives text for labelled codes and mixes text with numbers where
only some codes have labels; so the raw codes are read and the labels taken from the
conversion's table.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

#: Kinds of conversion, ASAM MDF 4.1, block CC: a table of codes and one of ranges to text.
VALUE_TO_TEXT, RANGE_TO_TEXT = 7, 8
#: Widest range of codes that gets a label for each code [1].
WIDEST = 64


def physical_and_labels(
    raw: NDArray[Any], conversion: Any
) -> tuple[NDArray[np.float64], dict[float, str]]:
    """Convert raw numbers; keep labelled codes as codes.

    Parameters
    ----------
    raw : ndarray, shape (n,)
        Raw numbers [1].
    conversion : conversion block or None
        The channel's conversion, as the parser gives it.

    Returns
    -------
    tuple of ndarray of float64 and dict of float to str
        Physical values [unit] and the names of codes.
    """
    kind = getattr(conversion, "conversion_type", None)
    numbers = raw.astype(np.float64)
    if conversion is None:
        return numbers, {}
    if kind not in (VALUE_TO_TEXT, RANGE_TO_TEXT):
        with np.errstate(all="ignore"):
            return np.asarray(conversion.convert(numbers), dtype=np.float64), {}
    labels: dict[float, str] = {}
    count = conversion.val_param_nr if kind == VALUE_TO_TEXT else conversion.val_param_nr // 2
    for i in range(count):
        name = conversion.referenced_blocks.get(f"text_{i}")
        if not isinstance(name, bytes):
            continue
        if kind == VALUE_TO_TEXT:
            codes = [float(conversion[f"val_{i}"])]
        else:
            low, high = float(conversion[f"lower_{i}"]), float(conversion[f"upper_{i}"])
            narrow = low <= high <= low + WIDEST
            codes = [float(code) for code in np.arange(np.ceil(low), high + 1)] if narrow else []
        for code in codes:
            labels.setdefault(code, _text(name))
    default = conversion.referenced_blocks.get("default_addr")
    if default is not None and not isinstance(default, bytes):  # unlabelled codes are numbers
        named = np.isin(numbers, list(labels))
        scaled, _ = physical_and_labels(raw, default)
        numbers = np.where(named, numbers, scaled)
    return numbers, labels


def _text(name: bytes) -> str:
    return name.split(b"\x00")[0].decode("utf-8", errors="replace").strip()
