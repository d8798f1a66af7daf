"""Turn the raw samples of one source into a channel: unit, sign, what is not a value."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from thawline.errors import UnitError, VehicleFileError
from thawline.quantities import convert, converter, measures_same
from thawline.recording.recording import Channel, Gap
from thawline.recording.sensor import noise, period, resolution, stale_after
from thawline.signals.catalogue import SignalName
from thawline.vehicle.vehicle import SignalSource, Vehicle

#: Labels that say that there is no value.
NO_VALUE = re.compile(
    r"(?i)^(sna|n/?a|snv|inv(alid)?\b.*|.*\binvalid|err(or)?\b.*|.*\berror|fault.*|unknown"
    r"|undefined|init(ial.*)?|reserved.*|(signal[ _]?)?not[ _]?av.*|unavailable|no[ _]?data"
    r"|missing)$"
)
#: Labels that say false whatever their code.
FALSE = re.compile(
    r"(?i)^(off|no|none|not([ _A-Z].*)?|false|inactive|idle|disconnected|disabled|unplugged"
    r"|unconnected|unlocked|absent|open|standby|stopped|complete|completed|finished)$"
)
#: What databases write where there is no unit.
NO_UNIT = {"", "-", "--", "1", "none", "None"}
#: A code of all ones is no value if it lies this far from all others [share of the range] ...
FAR = 0.3
#: ... or at least this far [share of the range] ...
NEAR = 0.02
#: ... and is entered and left by jumps of this many usual steps [1].
JUMP = 10.0
#: Samples looked at together, and steps of which the usual one is taken, at most [1].
BLOCK, MOST_STEPS = 500_000, 2_000_000
#: Wrong units are called an error if this share of varying samples is impossible [1].
IMPOSSIBLE = 0.9
#: Samples needed before that is judged [1].
ENOUGH = 10


@dataclass(frozen=True, slots=True)
class Raw:
    """Samples as a source gave them.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Time since the recording's start, never decreasing [s].
    values : ndarray of float64, shape (n,)
        Values in the source's unit; NaN where a cell was empty [unit].
    unit : str or None
        The source's unit, if it states one.
    codes : ndarray, shape (n,), optional
        Raw codes of labelled signals [1].
    labels : mapping of float to str
        Names of codes.
    span : tuple of float, optional
        Lowest and highest value that the bits can show [unit].
    """

    t: NDArray[np.float64]
    values: NDArray[np.float64]
    unit: str | None = None
    codes: NDArray[np.float64] | None = None
    labels: Mapping[float, str] = field(default_factory=dict)
    span: tuple[float, float] | None = None


def _by_code(raw: Raw, bad: NDArray[np.bool_], is_state: bool) -> NDArray[np.bool_]:
    """Find samples whose code is of all ones, apart from all others and entered by a jump."""
    found = np.zeros_like(bad)
    if raw.span is None:
        return found
    low, high = raw.span
    signed = low < 0.0 < high and abs(low + high) < 0.01 * (high - low)
    for end in (high, low) if signed else (high,):
        near = 1e-9 * (high - low)
        at_end = (raw.values > end - near) & (raw.values < end + near) & ~bad
        others = ~bad & ~at_end & ~found
        if not at_end.any() or (is_state and not others.any()):
            continue
        if is_state or not others.any() or _apart(raw.values, at_end, others, end, high - low):
            found |= at_end
    return found


def _apart(
    values: NDArray[np.float64],
    at_end: NDArray[np.bool_],
    others: NDArray[np.bool_],
    end: float,
    width: float,
) -> bool:
    """Tell whether a code is far from the others, or is always entered and left by a jump."""
    distance, least, usual = np.inf, np.inf, []
    count, last_end, last_value = 0, False, np.nan
    for begin in range(0, len(values), BLOCK):  # so that no whole copy is made
        part = slice(begin, begin + BLOCK)
        kept = at_end[part] | others[part]
        shown, ends = values[part][kept], at_end[part][kept]
        away = np.zeros(0) if ends.all() else np.abs(shown[~ends] - end)
        distance = min(distance, float(away.min(initial=np.inf)))
        steps = np.abs(np.diff(shown, prepend=last_value))
        before = np.concatenate(([last_end], ends[:-1]))[: len(ends)]
        known = slice(0 if count else 1, None)
        crossing = (ends != before)[known]
        steps = steps[known]
        least = min(least, float(steps[crossing].min(initial=np.inf)))
        usual.append(steps[~crossing & ~ends[known]][:: 1 + len(values) // MOST_STEPS])
        count += len(shown)
        if len(shown):
            last_end, last_value = bool(ends[-1]), float(shown[-1])
    if distance > FAR * width:
        return True
    between = np.concatenate(usual)
    quick = float(np.quantile(between, 0.99)) if len(between) else 0.0
    return distance > NEAR * width and least > JUMP * max(quick, 1e-12)


def _not_a_value(raw: Raw, is_state: bool) -> NDArray[np.bool_]:
    """Find samples that say that there is no value: by label, or by a code of all ones."""
    bad = ~np.isfinite(raw.values)
    codes = raw.values if raw.codes is None else raw.codes
    for code, label in raw.labels.items():
        if NO_VALUE.match(label.strip()):
            bad |= codes == code
    return bad | _by_code(raw, bad, is_state)


def _unit_of(name: SignalName, spec: SignalSource, raw: Raw) -> tuple[str, list[str]]:
    """Decide the unit of the source's values: the vehicle file's, the source's, ours."""
    if spec.unit:
        return spec.unit, []
    if raw.unit and raw.unit.strip() not in NO_UNIT:
        try:
            if measures_same(raw.unit, name.unit):
                return raw.unit, []
        except UnitError:
            pass
        return name.unit, [
            f"{spec.path}: the source's unit {raw.unit!r} is not one of {name.unit}; "
            f"its values are taken as {name.unit}"
        ]
    return name.unit, [f"{spec.path}: no unit is stated; its values are taken as {name.unit}"]


def _as_state(spec: SignalSource, raw: Raw) -> tuple[NDArray[np.float64], list[str]]:
    codes = raw.values if raw.codes is None else raw.codes
    wanted = {str(item).strip().lower() for item in spec.true_when}
    numbers = [float(item) for item in spec.true_when if not isinstance(item, str)]
    known = {label.strip().lower() for label in raw.labels.values()}
    if numbers or wanted & known:
        true = np.isin(codes, numbers)
        for code, label in raw.labels.items():
            if label.strip().lower() in wanted:
                true |= codes == code
        return true.astype(np.float64), []
    warnings = []
    if spec.true_when:
        warnings.append(
            f"{spec.path}: {spec.from_} has no label {' or '.join(map(repr, spec.true_when))} "
            "(true_when); all but zero counts as true"
        )
    true = codes != 0.0
    for code, label in raw.labels.items():
        if FALSE.match(label.strip()):
            true &= codes != code
    kinds = np.unique(codes)
    if len(kinds[kinds != 0.0]) > 1:
        warnings.append(
            f"{spec.path}: {spec.from_} shows the codes {', '.join(f'{k:g}' for k in kinds[:6])}; "
            "all but those named as off count as true (state true_when to choose)"
        )
    return true.astype(np.float64), warnings


def _plausible(
    name: SignalName, spec: SignalSource, values: NDArray[np.float64], unit: str, vehicle: Vehicle
) -> tuple[NDArray[np.bool_], list[str]]:
    """Leave out what cannot be; call it a wrong unit if nearly all of it cannot."""
    inside = (values >= name.low) & (values <= name.high)
    outside = int((~inside).sum())
    if not outside:
        return inside, []
    worst = values[~inside]
    span = f"{worst.min():g} … {worst.max():g} {name.unit}"
    varied = len(np.unique(values)) > 2
    if outside > IMPOSSIBLE * len(values) and len(values) >= ENOUGH and varied:
        raise VehicleFileError(
            f"{spec.path} from {spec.from_!r} would be {span}; it must lie in "
            f"[{name.low:g}, {name.high:g}] {name.unit}",
            file=vehicle.file,
            place=f"line {spec.line}" if spec.line else f'[signals."{spec.path}"]',
            cure=f"is the unit {unit!r} right, and is it the right signal?",
        )
    return inside, [
        f"{spec.path}: {outside} of {len(values)} samples lay outside [{name.low:g}, "
        f"{name.high:g}] {name.unit} ({span}) and were left out"
    ]


def _kept(raw: Raw, keep: NDArray[np.bool_]) -> Raw:
    """Leave samples out, one array after the other."""
    if keep.all():
        return raw
    raw = replace(raw, t=raw.t[keep])
    raw = replace(raw, values=raw.values[keep])
    return raw if raw.codes is None else replace(raw, codes=raw.codes[keep])


def _signed(values: NDArray[np.float64], sign: float) -> NDArray[np.float64]:
    return values if sign == 1 else values * sign


def make_channel(
    name: SignalName, spec: SignalSource, raw: Raw, vehicle: Vehicle, gaps: Sequence[Gap]
) -> tuple[Channel | None, list[str]]:
    """Make a channel of one source's samples.

    Parameters
    ----------
    name : SignalName
        The catalogue's row.
    spec : SignalSource
        The vehicle file's entry.
    raw : Raw
        The samples.
    vehicle : Vehicle
        For messages.
    gaps : sequence of Gap
        Times in which the whole log is silent.

    Returns
    -------
    Channel or None
        The channel; None if no sample is left.
    list of str
        What a reader should know, in plain words.

    Raises
    ------
    VehicleFileError
        If nearly all values are impossible in the unit stated.
    """
    warnings: list[str] = []
    keep = ~_not_a_value(raw, name.is_state)
    raw = _kept(raw if name.is_state else replace(raw, codes=None), keep)
    if not len(raw.t):
        return None, [f"{spec.path}: {spec.from_} never showed a value"]
    if name.is_state:
        values, more = _as_state(spec, raw)
        t, step, sigma = raw.t, 0.0, 0.0
        warnings += more
    else:
        unit, more = _unit_of(name, spec, raw)
        warnings += more
        values = _signed(convert(raw.values, unit, name.unit), spec.sign)
        inside, more = _plausible(name, spec, values, unit, vehicle)
        warnings += more
        raw = _kept(raw, inside)
        values = values if inside.all() else values[inside]
        step = abs(converter(unit, name.unit)[0]) * resolution(raw.values)
        t, sigma = raw.t, noise(values)
    del raw  # what is converted is not held twice
    if not len(t):
        return None, warnings
    if np.any(t[1:] < t[:-1]):
        order = np.argsort(t, kind="stable")
        t, values = t[order], values[order]
    values = np.ascontiguousarray(values, dtype=np.float64)
    spans = tuple((gap.from_s, gap.to_s) for gap in gaps)
    channel = Channel(
        path=spec.path,
        unit=name.unit,
        t=t,
        values=values,
        is_state=name.is_state,
        resolution=step,
        noise=sigma,
        period_s=period(t),
        stale_after_s=stale_after(t, spans, is_state=name.is_state),
        accuracy=spec.accuracy,
        source=spec.from_,
    )
    return channel, warnings
