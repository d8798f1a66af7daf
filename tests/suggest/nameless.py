"""Take the names out of a database, and score what is proposed all the same."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from thawline.errors import UnitError
from thawline.quantities import converter
from thawline.signals.catalogue import find_signal
from thawline.suggest.suggestion import Suggestion


def take_names_out(database: str, seed: int, *, units: bool) -> tuple[str, dict[str, str]]:
    """Rename every message and signal of a DBC at random; give old keys by new ones."""
    random = np.random.default_rng(seed)
    messages = re.findall(r"^BO_ (\d+) (\w+):", database, re.M)
    numbers = random.permutation(900)[: len(messages)] + 100
    renamed = {old: f"M{number}" for (_, old), number in zip(messages, numbers, strict=True)}
    by_number = dict(messages)
    keys: dict[str, str] = {}
    signals: dict[tuple[str, str], str] = {}
    lines, message = [], ""
    for line in database.splitlines():
        head = re.match(r"^BO_ (\d+) (\w+):", line)
        signal = re.match(r"^ SG_ (\w+)", line)
        if head:
            message = head[2]
            line = line.replace(f" {message}:", f" {renamed[message]}:", 1)
        elif signal:
            new = f"S{len(signals) + 1:03d}"
            signals[message, signal[1]] = new
            keys[f"{renamed[message]}.{new}"] = f"{message}.{signal[1]}"
            line = line.replace(f" {signal[1]}", f" {new}", 1)
            line = line if units else re.sub(r'\] "[^"]*"', '] ""', line)
        elif line.startswith("VAL_ "):
            continue  # labels are names too
        elif line.startswith("SIG_VALTYPE_ "):
            _, number, name, *rest = line.split(" ")
            line = " ".join(["SIG_VALTYPE_", number, signals[by_number[number], name], *rest])
        lines.append(line)
    return "\n".join(lines) + "\n", keys


@dataclass(frozen=True, slots=True)
class Score:
    """How right a suggestion is."""

    proposed: int
    right: int
    needed: int
    wrong: tuple[str, ...]

    @property
    def precision(self) -> float:
        return self.right / max(1, self.proposed)

    @property
    def recall(self) -> float:
        return self.right / max(1, self.needed)


def _pattern(path: str, units: int) -> str:
    """The path without what no signal tells: which phase, and which of the drive units.

    A car with one drive unit has the same signal as that of all.
    """
    row = find_signal(path)
    assert row is not None
    open_path = re.sub(r"Phase\d", "Phase", row.path)
    return (
        open_path if units > 1 else open_path.replace("ElectricMotor.<Position>.", "ElectricMotor.")
    )


def score(suggestion: Suggestion, vehicle: Path, keys: dict[str, str], still: set[str]) -> Score:
    """Hold proposals against a vehicle file; words for positions are of anybody's choice.

    What never moved in the log (``still``) is not needed: nothing but its name could tell it.
    """
    mapped = tomllib.loads(vehicle.read_text())["signals"]
    truth = {entry["from"]: (path, entry) for path, entry in mapped.items()}
    motors = [path.split(".") for path in mapped if path.startswith("Powertrain.ElectricMotor.")]
    units = len({parts[2] for parts in motors if len(parts) == 4 and parts[2] != "EngineCoolant"})
    right, wrong = 0, []
    for one in suggestion.proposals:
        path, entry = truth.get(keys.get(one.from_, one.from_), ("", {}))
        row = find_signal(path) if path else None
        is_right = row is not None and _pattern(path, units) == _pattern(one.path, units)
        if row is not None and is_right and not row.is_state:
            is_right = one.sign == entry.get("sign", 1) and _same(one.unit, entry["unit"])
        right += is_right
        if not is_right:
            wrong.append(f"{one.path} from {one.from_} is {path or 'nothing'}")
    named = {keys.get(one, one) for one in still}
    needed = sum(source not in named for source in truth)
    return Score(len(suggestion.proposals), right, needed, tuple(wrong))


def _same(unit: str, other: str) -> bool:
    try:
        return converter(unit, other) == (1.0, 0.0)
    except UnitError:
        return unit == other
