"""Thawline: what an electric car did on a freezing morning, why, and what it cost.

log or bus -> Recording -> Story -> Ledger -> (model, forecast, plan) -> report

From a notebook or a script: ``thawline.open_library`` and ``thawline.read`` (docs/api.md).
"""

from __future__ import annotations

from importlib import import_module
from importlib.metadata import version

__version__ = version("thawline")
__all__ = ["__version__", "open_library", "read"]


def __getattr__(name: str) -> object:
    """Load the notebook's door when it is first asked for, so that importing stays light."""
    if name in ("open_library", "read"):
        return getattr(import_module("thawline.notebook"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    """List what there is, loaded or not."""
    return sorted({*globals(), *__all__})
