"""Read the source as a tree, once, for all house rules."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SOURCE = ROOT / "src" / "thawline"


@cache
def modules() -> dict[str, ast.Module]:
    """Every module by its dotted name."""
    found = {}
    for path in sorted(SOURCE.rglob("*.py")):
        parts = ("thawline", *path.relative_to(SOURCE).with_suffix("").parts)
        name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        found[name] = ast.parse(path.read_text("utf-8"))
    return found


def imports_of(name: str) -> set[str]:
    """The thawline modules that a module imports, anywhere in it."""
    found = set()
    for node in ast.walk(modules()[name]):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("thawline"):
            for alias in node.names:
                deeper = f"{node.module}.{alias.name}"
                found.add(deeper if deeper in modules() else node.module)
        elif isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names if alias.name.startswith("thawline")}
    return found


def room_of(name: str) -> str:
    """The room that a module belongs to; the package's own files are their own rooms."""
    parts = name.split(".")
    return parts[1] if len(parts) > 1 else ""
