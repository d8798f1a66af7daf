"""Thawline: what an electric car did on a freezing morning, why, and what it cost.

log or bus -> Recording -> Story -> Ledger -> (model, forecast, plan) -> report
"""

from __future__ import annotations

from importlib.metadata import version

__version__ = version("thawline")
