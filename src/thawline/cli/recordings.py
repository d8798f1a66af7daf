"""``thawline recordings``: what the library keeps, and how a vehicle fares over its mornings."""

from __future__ import annotations

from enum import Enum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from thawline.cli.options import AsJson, Library
from thawline.cli.speak import answer, answer_json, parse_utc, say, utc, write_page
from thawline.errors import RequestError, did_you_mean

if TYPE_CHECKING:
    from thawline.library.derived import Derived, Wanted
    from thawline.library.handle import Library as Opened
    from thawline.library.listing import Entry


class By(Enum):
    """What recordings are sorted by."""

    START = "start"
    DURATION = "duration"
    VEHICLE = "vehicle"
    OUTSIDE = "outside"
    SUPPLY = "supply"
    FINDINGS = "findings"


#: What takes figures, and thus one look at each recording.
LOOKED = {By.OUTSIDE, By.SUPPLY, By.FINDINGS}


def recordings(
    vehicle: Annotated[
        str | None, typer.Option("--vehicle", help="Only those of this vehicle.")
    ] = None,
    since: Annotated[
        str | None, typer.Option("--since", help="Only those that began at or after this time.")
    ] = None,
    until: Annotated[
        str | None, typer.Option("--until", help="Only those that began before this time.")
    ] = None,
    text: Annotated[
        str | None, typer.Option("--text", help="Only those with these words in name or notes.")
    ] = None,
    outside_from: Annotated[
        float | None, typer.Option("--outside-from", help="Mean outside at least this [°C].")
    ] = None,
    outside_to: Annotated[
        float | None, typer.Option("--outside-to", help="Mean outside at most this [°C].")
    ] = None,
    supply_from: Annotated[
        float | None, typer.Option("--supply-from", help="The supply gave at least this [kW].")
    ] = None,
    supply_to: Annotated[
        float | None, typer.Option("--supply-to", help="The supply gave at most this [kW].")
    ] = None,
    plugged_in: Annotated[
        bool | None,
        typer.Option("--plugged-in/--not-plugged-in", help="Only those plugged in, or not."),
    ] = None,
    with_findings: Annotated[
        bool, typer.Option("--with-findings", help="Only those with something worth looking into.")
    ] = False,
    finding: Annotated[
        list[str] | None,
        typer.Option("--finding", help="Only those with this kind of finding; repeatable."),
    ] = None,
    sort: Annotated[By, typer.Option("--sort", help="What the list is sorted by.")] = By.START,
    reverse: Annotated[bool, typer.Option("--reverse", help="The other way round.")] = False,
    trends: Annotated[
        str | None,
        typer.Option("--trends", help="Tell how this vehicle changed over its mornings."),
    ] = None,
    tariff: Annotated[
        float | None, typer.Option("--tariff", help="Price of a kilowatt-hour, for the cost.")
    ] = None,
    html: Annotated[
        Path | None, typer.Option("--html", help="Write the page of the trends there.")
    ] = None,
    library: Library = None,
    as_json: AsJson = False,
) -> None:
    """List the recordings in the library, or tell the trends of a vehicle."""
    # imported here: help stays quick
    from thawline.library.derived import Wanted
    from thawline.library.library import open_library
    from thawline.library.listing import listing

    opened = open_library(library)
    if trends is not None:
        _tell_trends(opened, trends, tariff, html, as_json)
        return
    if html is not None or tariff is not None:
        raise RequestError("--html and --tariff go with --trends", cure="add --trends VEHICLE")
    kinds = _kinds(finding) if finding else (() if with_findings else None)
    wanted = Wanted((outside_from, outside_to), (supply_from, supply_to), plugged_in, kinds)
    found = listing(opened, vehicle, parse_utc(since), parse_utc(until), text)
    if sort in LOOKED or not wanted.is_any:
        from thawline.trends.kept import is_all_studied

        if not is_all_studied(opened, vehicle):
            _study(opened, vehicle)
    looked = _looked(opened, wanted)
    if not wanted.is_any:
        found = [entry for entry in found if entry.id in looked]
    found = _sorted(found, looked, sort, reverse)
    if as_json:
        answer_json({"recordings": [_document(entry, looked.get(entry.id)) for entry in found]})
    else:
        _show(opened, found, looked)


def _kinds(named: list[str]) -> tuple[str, ...]:
    from thawline.findings.kinds import kinds  # imported here: help stays quick

    known = kinds()
    for kind in named:
        if kind not in known:
            cure = did_you_mean(kind, known) or f"there are {', '.join(known)}"
            raise RequestError(f"there is no finding {kind!r}", cure=cure)
    return tuple(named)


def _study(opened: Opened, vehicle: str | None) -> dict[str, Any]:
    """Look at what was not looked at before."""
    # imported here: help stays quick
    from thawline.cli.counting import counting
    from thawline.trends.kept import study_all

    with counting("looking at recordings") as told:
        studies, errors = study_all(opened, vehicle, told)
    for name, error in errors.items():
        say(f"{name} is left out: {error}")
    return studies


def _looked(opened: Opened, wanted: Wanted) -> dict[str, Derived]:
    # imported here: help stays quick
    from thawline.library.derived import derived_like
    from thawline.trends.version import code_version

    return derived_like(opened, code_version(), wanted)


def _sorted(found: list[Entry], looked: dict[str, Derived], sort: By, reverse: bool) -> list[Entry]:
    """Sort; what is not known comes last."""

    def key(entry: Entry) -> tuple[bool, Any]:
        row = looked.get(entry.id)
        value: Any = {
            By.START: entry.starts_at,
            By.DURATION: entry.duration_s,
            By.VEHICLE: entry.vehicle.casefold(),
            By.OUTSIDE: row.outside_degC if row else None,
            By.SUPPLY: row.supply_kW if row else None,
            By.FINDINGS: len(row.findings) if row else None,
        }[sort]
        return value is None, value

    known = sorted((e for e in found if not key(e)[0]), key=lambda e: key(e)[1], reverse=reverse)
    return known + [entry for entry in found if key(entry)[0]]


def _document(entry: Entry, row: Derived | None) -> dict[str, Any]:
    return {
        "id": entry.id,
        "vehicle": entry.vehicle,
        "starts_at": utc(entry.starts_at),
        "duration_s": round(entry.duration_s, 6),
        "frames": entry.frames,
        "frames_left_out": entry.frames_left_out,
        "channels": entry.channels,
        "samples": entry.samples,
        "notes": entry.notes,
        "looked_at": row is not None,
        "outside_degC": None if row is None else row.outside_degC,
        "supply_kW": None if row is None else row.supply_kW,
        "plugged_in": None if row is None else row.plugged_in,
        "findings": None if row is None else list(row.findings),
    }


def _show(opened: Opened, found: list[Entry], looked: dict[str, Derived]) -> None:
    from thawline.live.running import leftover, running  # imported here: help stays quick

    for session in running(opened):
        say(f"{session.id} is growing: `thawline watch` listens")
    for session in leftover(opened):
        say(f"{session.id} broke off: `thawline watch --recover` makes a recording of it")
    if not found:
        say("no recordings; `thawline add` keeps one, other filters may show more")
    width = max((len(entry.id) for entry in found), default=0)
    for entry in found:
        noted = f", {entry.notes} notes" if entry.notes else ""
        begin = utc(entry.starts_at)
        when = f"{begin[:16]}Z" if begin else "without a date   "
        answer(
            f"{entry.id:<{width}}  {entry.vehicle}  {when}  "
            f"{entry.duration_s / 60:6.1f} min  {entry.channels} channels{noted}"
            f"{_said(looked.get(entry.id))}"
        )


def _said(row: Derived | None) -> str:
    if row is None:
        return ""
    parts = []
    if row.outside_degC is not None:
        parts.append(f"{row.outside_degC:.0f} °C outside".replace("-", "−"))
    if row.plugged_in:
        supply = "" if row.supply_kW is None else f", {row.supply_kW:.1f} kW"
        parts.append(f"plugged in{supply}")
    parts += row.findings
    return f", {', '.join(parts)}" if parts else ""


def _tell_trends(
    opened: Opened, vehicle: str, tariff: float | None, html: Path | None, as_json: bool
) -> None:
    # imported here: help stays quick
    from thawline.cli.learn import names_of
    from thawline.trends.follow import follow

    if tariff is not None and not 0.0 < tariff < float("inf"):
        raise RequestError(f"the tariff (={tariff:g}) must be above 0", cure="give a price per kWh")
    names_of(opened, vehicle)  # tells the nearest name where there is none
    studies = _study(opened, vehicle)
    if not studies:
        raise RequestError(f"no recording of {vehicle!r} can be looked at", cure="see above")
    found = follow([one.morning for one in studies.values()], tariff)
    if html is not None:
        from thawline.trends.page import trends_page

        write_page(trends_page(found), html)
    if as_json:
        from thawline.trends.document import trends_document

        answer_json(trends_document(found))
    else:
        from thawline.trends.text import trends_text

        answer(trends_text(found))
