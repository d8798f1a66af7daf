"""A fleet as tables, and the Parquet files of them; columns are told in ``columns.csv``."""

from __future__ import annotations

import json
from dataclasses import fields
from pathlib import Path
from typing import TYPE_CHECKING, Any

from thawline.errors import LibraryError
from thawline.fleet.fleet import Fleet, Learned
from thawline.fleet.share import priors_document
from thawline.physics.constants import read_table

if TYPE_CHECKING:
    import polars as pl

Rows = list[dict[str, Any]]
CONDITIONS = {"outside": "outside_degC", "coldest": "coldest_degC", "supply": "supply_kW",
              "charge": "charge_pct"}  # fmt: skip
TRENDS = ("quantity", "unit", "mornings", "days", "level", "level_sigma", "change",
          "change_sigma", "change_unit", "is_change", "sentence")  # fmt: skip


def quantities() -> list[str]:
    """Name the quantities of a recording.

    Returns
    -------
    list of str
        All but the cost, which depends on a tariff.
    """
    rows = read_table("thawline.trends", "quantities.csv")
    return [row["quantity"] for row in rows if row["quantity"] != "cost"]


def _recordings(fleet: Fleet) -> Rows:
    errors = {name: f"{stage}: {error}" for name, stage, error in reversed(fleet.errors)}
    rows = []
    for entry in fleet.entries:
        study = fleet.studies.get(entry.id)
        morning = None if study is None else study.morning
        row: dict[str, Any] = {
            "recording": entry.id,
            "vehicle": entry.vehicle,
            "model": None if morning is None else morning.model,
            "starts_at_s": entry.starts_at,
            "duration_s": None if morning is None else morning.duration_s,
            "error": errors.get(entry.id),
            "plugged_in": None if morning is None else morning.plugged_in,
            "findings": None if study is None or study.findings is None else len(study.findings),
        }
        for name, column in CONDITIONS.items():
            row[column] = None if morning is None else morning.conditions.get(name)
        for name in quantities():
            value = None if morning is None else morning.values.get(name)
            row[name] = None if value is None else value.value
            row[f"{name}.sigma"] = None if value is None else value.sigma
        rows.append(row)
    return rows


def tables(fleet: Fleet) -> dict[str, Rows]:
    """Lay a fleet out as tables.

    Parameters
    ----------
    fleet : Fleet
        The fleet.

    Returns
    -------
    dict of str to list of dict
        Rows by name of the file, in the order of recordings or vehicles.
    """
    findings = [
        {"recording": entry.id, "vehicle": entry.vehicle, "kind": one.kind, "from_s": one.from_s,
         "confidence": one.confidence, "because": one.because}
        for entry in fleet.entries
        if (study := fleet.studies.get(entry.id)) is not None
        for one in study.findings or ()
    ]  # fmt: skip
    trends = [
        {"vehicle": each.vehicle, "model": each.model}
        | {name: getattr(one, name) for name in TRENDS}
        for each in fleet.trends
        for one in each.trends
    ]  # fmt: skip
    limits = [
        {"vehicle": vehicle, "what": what, "origin": limit["origin"], "degC": degC, "kW": kW,
         "sigma_kW": sigma}
        for vehicle, both in fleet.limits.items()
        for what, limit in both.items()
        if limit is not None
        for degC, kW, sigma in zip(limit["degC"], limit["kW"], limit["sigma_kW"], strict=True)
    ]  # fmt: skip
    return {
        "recordings": _recordings(fleet),
        "findings": findings,
        "trends": trends,
        "learned": [
            {field.name: getattr(one, field.name) for field in fields(Learned)}
            for one in fleet.learned
        ],
        "limits": limits,
        "errors": [
            {"name": name, "stage": stage, "error": error} for name, stage, error in fleet.errors
        ],
    }


def _schema(file: str) -> dict[str, pl.DataType]:
    """Give the type of each column: a table without rows has them as well."""
    import polars as pl  # heavy; only those who write tables pay for it

    kinds: dict[str, pl.DataType] = {}
    words = {"is_change", "is_log", "plugged_in"}
    for row in read_table("thawline.fleet", "columns.csv"):
        if row["file"] != file:
            continue
        name = row["column"]
        names = [name.replace("<quantity>", one) for one in quantities()] if "<" in name else [name]
        for each in names:
            if each in words:
                kinds[each] = pl.Boolean()
            elif each in ("mornings", "findings"):
                kinds[each] = pl.Int64()
            else:
                kinds[each] = pl.Float64() if row["unit"] else pl.String()
    return kinds


def write_tables(fleet: Fleet, folder: Path) -> list[Path]:
    """Write a fleet as Parquet, one file for each table, and the priors as JSON.

    Parameters
    ----------
    fleet : Fleet
        The fleet.
    folder : Path
        Where to; it exists.

    Returns
    -------
    list of Path
        The files; each is replaced in one step.

    Raises
    ------
    LibraryError
        If they cannot be written.
    """
    import polars as pl  # heavy; only those who write tables pay for it

    written = []
    try:
        for name, rows in tables(fleet).items():
            schema = _schema(name)
            frame = pl.DataFrame(rows, schema=schema, orient="row") if rows else pl.DataFrame(
                schema=schema
            )  # fmt: skip
            path = folder / f"{name}.parquet"
            part = path.with_suffix(".part")
            frame.select(list(schema)).write_parquet(part)
            written.append(part.replace(path))
        part = folder / "priors.part"
        part.write_text(json.dumps(priors_document(fleet), allow_nan=False), encoding="utf-8")
        written.append(part.replace(folder / "priors.json"))
    except OSError as error:
        raise LibraryError(f"{folder} cannot be written: {error}. Choose another --out.") from error
    return written
