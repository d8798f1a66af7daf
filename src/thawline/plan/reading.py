"""Read leaving times and tables by time from what a person writes.

A table by time is CSV (a time and a value per line, with a heading) or TOML::

    currency = "crowns"
    unit = "per kWh"
    [[band]]
    from = "22:00"
    value = 0.11
    [[band]]
    from = "06:00"
    value = 0.29

A time is ``HH:MM`` (every day, local) or a date and time (ISO 8601; local without an offset).
"""

from __future__ import annotations

import csv
import re
import tomllib
from datetime import datetime, timedelta, tzinfo
from pathlib import Path

import numpy as np

from thawline.errors import RequestError, SourceError
from thawline.plan.asked import Supply
from thawline.plan.by_time import ByTime, constant
from thawline.plan.settings import HOUR_S

#: Daily tables are repeated for so many days from the day before [days].
DAYS = 4
#: Volts, amps, and perhaps phases: ``230V32A``, ``230 V 16 A x 3``.
SUPPLY = re.compile(r"^\s*([\d.]+)\s*V\s*([\d.]+)\s*A\s*(?:[x×*]\s*([1-3]))?\s*$", re.IGNORECASE)


def read_supply(text: str, breaker_A: float | None = None) -> Supply:
    """Read what a car is plugged into.

    Parameters
    ----------
    text : str
        Volts and amps, and phases if not one: ``230V32A``, ``230V16Ax3``.
    breaker_A : float, optional
        Rating of the branch circuit [A].

    Returns
    -------
    Supply
        The supply.

    Raises
    ------
    RequestError
        If it is not written so.
    """
    found = SUPPLY.match(text)
    if found is None:
        raise RequestError(
            f"--supply (={text!r}) is not volts and amps", cure="write 230V32A, or 230V16Ax3"
        )
    try:
        volts, amps = float(found[1]), float(found[2])
    except ValueError as error:
        raise RequestError(
            f"--supply (={text!r}) holds no number", cure="write 230V32A, or 230V16Ax3"
        ) from error
    if breaker_A is not None and not 6.0 <= breaker_A <= 200.0:
        raise RequestError(
            f"--breaker (={breaker_A:g} A) must be in [6, 200] A", cure="give its rating in A"
        )
    return Supply(volts, amps, int(found[3] or 1), breaker_A)


def read_moment(text: str, now_s: float, zone: tzinfo, what: str = "--leave") -> float:
    """Read a time that a person gave.

    Parameters
    ----------
    text : str
        ``HH:MM`` (the next such time) or ISO 8601; local without an offset.
    now_s : float
        Now, since 1970-01-01 UTC [s].
    zone : tzinfo
        What local means.
    what : str
        The option, for messages.

    Returns
    -------
    float
        The time, since 1970-01-01 UTC [s].

    Raises
    ------
    RequestError
        If it is no time.
    """
    clock = _clock(text)
    if clock is not None:
        now = datetime.fromtimestamp(now_s, zone)
        moment = now.replace(hour=clock[0], minute=clock[1], second=0, microsecond=0)
        if moment.timestamp() <= now_s:
            moment += timedelta(days=1)
        return moment.timestamp()
    try:
        moment = datetime.fromisoformat(text)
    except ValueError as error:
        raise RequestError(
            f"{what} (={text!r}) is no time", cure="write 07:45 or 2026-01-17T07:45:00Z"
        ) from error
    return (moment if moment.tzinfo else moment.replace(tzinfo=zone)).timestamp()


def _clock(text: str) -> tuple[int, int] | None:
    parts = text.strip().split(":")
    if len(parts) != 2 or not all(part.isdigit() and len(part) <= 2 for part in parts):
        return None
    hour, minute = int(parts[0]), int(parts[1])
    return (hour, minute) if hour < 24 and minute < 60 else None


def read_by_time(
    text: str, what: str, now_s: float, zone: tzinfo, *, is_line: bool
) -> tuple[ByTime, str]:
    """Read a constant, or a table by time.

    Parameters
    ----------
    text : str
        A number, or the path of a CSV or TOML file.
    what : str
        The option, for messages.
    now_s : float
        Now, since 1970-01-01 UTC: daily tables are laid out about it [s].
    zone : tzinfo
        What local times mean.
    is_line : bool
        Whether straight lines join the values; else each holds until the next.

    Returns
    -------
    ByTime
        The quantity.
    str
        Its currency or unit where the file names one; empty otherwise.

    Raises
    ------
    RequestError
        If there is neither such a number nor such a file.
    SourceError
        If the file is at fault.
    """
    try:
        value = float(text)
    except ValueError:
        pass
    else:
        if not np.isfinite(value):
            raise RequestError(f"{what} (={text!r}) must be finite", cure="give a number or a file")
        return constant(value), ""
    path = Path(text)
    if not path.is_file():
        raise RequestError(
            f"{what} (={text!r}) is neither a number nor a file",
            cure="give a number, or the path of a CSV or TOML table by time",
        )
    rows, unit = _toml(path) if path.suffix.lower() == ".toml" else (_csv(path), "")
    if not rows:
        raise SourceError("the table has no row", file=path, cure="add a time and a value")
    daily = [_clock(moment) for moment, _, _ in rows]
    if all(clock is not None for clock in daily):
        found = [(clock, value) for clock, (_, value, _) in zip(daily, rows, strict=True) if clock]
        return _every_day(found, path, now_s, zone, is_line=is_line), unit
    times = [_moment(moment, path, place, zone) for moment, _, place in rows]
    for before, after, (_, _, place) in zip(times, times[1:], rows[1:], strict=False):
        if after <= before:
            raise SourceError(
                "times must rise", file=path, place=place, cure="put the rows in order of time"
            )
    return ByTime(tuple(times), tuple(row[1] for row in rows), is_line, path.name), unit


def _every_day(
    rows: list[tuple[tuple[int, int], float]], path: Path, now_s: float, zone: tzinfo, *,
    is_line: bool,
) -> ByTime:  # fmt: skip
    """Repeat a daily table from the day before now on."""
    ordered = sorted(rows)
    if len({clock for clock, _ in ordered}) < len(ordered):
        raise SourceError("a time of day stands there twice", file=path, cure="keep one of them")
    today = datetime.fromtimestamp(now_s, zone).replace(hour=0, minute=0, second=0, microsecond=0)
    times, values = [], []
    for day in range(-1, DAYS):
        for (hour, minute), value in ordered:
            moment = (today + timedelta(days=day)).replace(hour=hour, minute=minute)
            times.append(moment.timestamp())
            values.append(value)
    return ByTime(tuple(times), tuple(values), is_line, f"{path.name}, every day")


def _moment(text: str, path: Path, place: str, zone: tzinfo) -> float:
    try:
        moment = datetime.fromisoformat(text.strip())
    except ValueError as error:
        raise SourceError(
            f"{text!r} is no time",
            file=path,
            place=place,
            cure="write 06:30 in every row, or 2026-01-17T06:30 in every row",
        ) from error
    return (moment if moment.tzinfo else moment.replace(tzinfo=zone)).timestamp()


def _number(text: object, path: Path, place: str) -> float:
    try:
        value = float(str(text).strip().replace(",", "."))
    except ValueError:
        value = np.nan
    if not np.isfinite(value):
        raise SourceError(f"{text!r} is no number", file=path, place=place, cure="correct it")
    return value


def _csv(path: Path) -> list[tuple[str, float, str]]:
    try:
        text = path.read_text("utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise SourceError(
            f"the file cannot be read as text ({error})", file=path, cure="save it as UTF-8"
        ) from error
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    if not lines:
        return []
    splits = {sign: lines[0].count(sign) for sign in (",", ";", "\t")}
    sign = max(splits, key=lambda each: splits[each])
    found = []
    for number, row in enumerate(csv.reader(lines, delimiter=sign), 1):
        place = f"row {number}"
        if len(row) < 2:
            raise SourceError(
                "a row needs a time and a value", file=path, place=place, cure="add what is missing"
            )
        if number == 1 and _clock(row[0]) is None and not row[0][:1].isdigit():
            continue  # the heading
        found.append((row[0], _number(row[1], path, place), place))
    return found


def _toml(path: Path) -> tuple[list[tuple[str, float, str]], str]:
    try:
        table = tomllib.loads(path.read_text("utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise SourceError(
            f"the file is not valid TOML ({error})", file=path, cure="correct it there"
        ) from error
    bands = table.get("band")
    if not isinstance(bands, list) or not all(isinstance(band, dict) for band in bands):
        raise SourceError(
            "there is no [[band]]", file=path, cure="add [[band]] with from and value"
        )
    found = []
    for number, band in enumerate(bands, 1):
        place = f"[[band]] {number}"
        if "from" not in band or "value" not in band:
            raise SourceError(
                "a band needs from and value", file=path, place=place, cure="add what is missing"
            )
        found.append((str(band["from"]), _number(band["value"], path, place), place))
    return found, str(table.get("currency", table.get("unit", "")))


def hours_text(seconds: float) -> str:
    """Write a length of time.

    Parameters
    ----------
    seconds : float
        The time [s].

    Returns
    -------
    str
        For instance ``7 h 35 min``.
    """
    minutes = round(seconds / 60.0)
    hours, rest = divmod(minutes, int(HOUR_S / 60.0))
    return f"{hours} h {rest:02d} min" if hours else f"{rest} min"
