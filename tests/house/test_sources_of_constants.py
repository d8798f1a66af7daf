"""Every constant says where it comes from, every ignore why, and no forbidden word is there."""

import csv
import re
import subprocess
import tomllib

import pytest

from tests.house.reading import ROOT, SOURCE

TABLES = [path for path in sorted(SOURCE.rglob("*.csv")) if "demo" not in path.parts]


@pytest.mark.parametrize("path", TABLES, ids=lambda p: p.stem)
def test_tables_name_a_source_in_every_row(path):
    """A table in the package has a source, origin or reason for each row."""
    with path.open(encoding="utf-8") as file:
        lines = [line for line in file if not line.startswith("#")]
    rows = list(csv.DictReader(lines))
    assert rows
    keys = [k for k in rows[0] if k and k.lower() in ("source", "origin", "reason", "meaning")]
    assert keys, f"{path.name} has no column that says where its rows come from"
    for row in rows:
        assert any((row[key] or "").strip() for key in keys), row


def test_toml_tables_are_valid():
    """Every TOML file in the package can be read."""
    found = [tomllib.loads(p.read_text("utf-8")) for p in sorted(SOURCE.rglob("*.toml"))]
    assert all(isinstance(table, dict) for table in found)


def tracked():
    listed = subprocess.run(
        ["git", "ls-files", "-co", "--exclude-standard"], cwd=ROOT, capture_output=True, text=True
    )
    if listed.returncode:
        pytest.skip("not a git checkout")
    return [ROOT / name for name in listed.stdout.splitlines()]


def test_every_lint_ignore_has_a_reason():
    """`noqa` and `type: ignore` are followed by a comment that says why."""
    bad = []
    for path in tracked():
        if path.suffix == ".py" and path.exists():
            for number, line in enumerate(path.read_text("utf-8").splitlines(), 1):
                if (
                    re.search(r"#\s*(noqa|type:\s*ignore)", line)
                    and not re.search(
                        r"#\s*(noqa:[ A-Z0-9,]+|type:\s*ignore\[[^\]]+\])\s*#\s*\S+", line
                    )
                    and "house" not in path.parts
                ):
                    bad.append(f"{path.name}:{number}")
    assert not bad, bad


def test_nothing_reaches_out_of_the_project():
    """No committed text names a folder outside the project."""
    outside = re.compile(
        "(" + "|".join(["/work" + "/", r"\.\./" + "shared", r"\." + "library/"]) + ")"
    )
    bad = [
        path.relative_to(ROOT)
        for path in tracked()
        if path.suffix in {".py", ".md", ".toml", ".txt", ".yml", ".csv", ""}
        and path.is_file()
        and outside.search(path.read_text("utf-8", errors="replace"))
    ]
    assert not bad, bad


def test_every_signal_is_in_the_nomenclature():
    """docs/nomenclature.md lists every path of the catalogue with its unit."""
    from thawline.signals.catalogue import catalogue

    text = (ROOT / "docs" / "nomenclature.md").read_text("utf-8")
    missing = [path for path in catalogue() if f"`{path}`" not in text]
    assert not missing, missing
