"""Which code made a figure: what was made by other code is made again."""

from __future__ import annotations

import hashlib
from functools import cache
from importlib.resources import files

from thawline import __version__

#: Rooms that figures, limits and warm-up fits come from; pages and commands change nothing.
ROOMS = (
    "physics", "signals", "vehicle", "recording", "story", "ledger", "charge", "warmup",
    "findings", "compare", "trends",
)  # fmt: skip
KINDS = (".py", ".csv")


@cache
def code_version() -> str:
    """Sum up the code that figures come from.

    Returns
    -------
    str
        The version's number and the first digits of a SHA-256 sum over code and tables.
    """
    total = hashlib.sha256()
    package = files("thawline")
    for room in ROOMS:
        inside = sorted(package.joinpath(room).iterdir(), key=lambda file: file.name)
        for file in inside:
            if file.name.endswith(KINDS):
                total.update(f"{room}/{file.name}\0".encode())
                total.update(hashlib.sha256(file.read_bytes()).digest())
    return f"{__version__}+{total.hexdigest()[:12]}"
