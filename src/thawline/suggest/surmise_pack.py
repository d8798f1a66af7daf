"""Guess which signals without a unit are the pack's voltage and its current, or its power."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from thawline.suggest.candidate import Candidate, Scene
from thawline.suggest.curves import changes, fit
from thawline.suggest.guess import Guess, is_large, taken_as, values_of
from thawline.suggest.kinds import is_state, kind_of_unit
from thawline.suggest.pack import LAGS, is_pack_voltage
from thawline.suggest.thresholds import threshold

#: What is said of a flow that may be the pack's current or its power, and the power's units.
ANSWERED = "a voltage of a pack's level answers to it like a resistance"
POWER_UNITS = {"A": "kW", "mA": "W"}
#: A resting pack's voltage is above this [V], and keeps within this share of it [1].
RESTING_V, RESTS_WITHIN = 250.0, 0.03


def with_other_pack(guesses: Mapping[str, Guess]) -> list[dict[str, Guess]]:
    """List the guesses as they are, and with the pack's power in place of its current.

    Parameters
    ----------
    guesses : mapping of str to Guess
        Guesses by key.

    Returns
    -------
    list of dict of str to Guess
        One, or two; a balance of powers must tell which is right.
    """
    other = {
        key: replace(guess, unit=POWER_UNITS[guess.unit])
        for key, guess in guesses.items()
        if guess.because == ANSWERED
    }
    return [dict(guesses), {**guesses, **other}] if other else [dict(guesses)]


def surmise_pack(scene: Scene, bare: Sequence[Candidate]) -> dict[str, Guess]:
    """Find the pack's voltage, and the current that it answers to.

    Parameters
    ----------
    scene : Scene
        All candidates.
    bare : sequence of Candidate
        Those whose unit is open.

    Returns
    -------
    dict of str to Guess
        Guesses by key.
    """
    best: tuple[float, str, str, str] | None = None
    voltages = [
        one
        for one in scene.candidates
        if kind_of_unit(one.unit) in ("", "voltage")
        and not is_state(one)
        and is_pack_voltage(taken_as(one, "voltage", "V"))
    ]
    both_ways = [one for one in bare if _runs_both_ways(one)]
    one_way = [
        one for one in bare if one not in both_ways and one.spread > threshold("current_least")
    ]
    for flows in (both_ways, one_way):
        for voltage in voltages:
            steps = [changes(voltage.values, lag, scene.segment) for lag in LAGS]
            for flow in flows:
                if flow.key == voltage.key:
                    continue
                fits = [
                    fit(step, [changes(flow.values, lag, scene.segment)])
                    for step, lag in zip(steps, LAGS, strict=True)
                ]
                top = max(fits, key=lambda one: one.explained)
                ohm = abs(top.factors[0]) * (1000.0 if is_large(flow) else 1.0)
                if not threshold("ohmic_low") <= ohm <= threshold("ohmic_high"):
                    continue
                if best is None or top.explained > best[0]:
                    unit = "mA" if is_large(flow) else "A"
                    best = top.explained, voltage.key, flow.key, unit
        if best is not None and best[0] > threshold("ohmic_good"):
            break
    if best is None or best[0] < threshold("ohmic_good"):
        return _resting_pack(bare, both_ways)
    _, voltage_key, flow_key, unit = best
    keys = {one.key for one in bare}
    found = {
        voltage_key: Guess("V", "it answers to a current like a pack's resistance"),
        flow_key: Guess(unit, ANSWERED),
    }
    return {key: guess for key, guess in found.items() if key in keys}


def _resting_pack(bare: Sequence[Candidate], flows: Sequence[Candidate]) -> dict[str, Guess]:
    """Find the voltage of a pack that rests: high, and as good as constant."""
    found = {}
    for one in bare:
        there = values_of(one)
        if (
            len(there) < 60
            or one.spread <= 0.0
            or not is_pack_voltage(taken_as(one, "voltage", "V"))
        ):
            continue
        low, middle, high = np.percentile(there, [1, 50, 99])
        if middle > RESTING_V and high - low < RESTS_WITHIN * middle and one.step <= 1.0:
            found[one.key] = Guess("V", "it keeps to a level that only a pack's voltage has")
    if len(found) == 1 and len(flows) == 1:
        unit = "mA" if is_large(flows[0]) else "A"
        found[flows[0].key] = Guess(unit, ANSWERED)
    return found if len(found) in (1, 2) else {}


def _runs_both_ways(one: Candidate) -> bool:
    there = values_of(one)
    if len(there) < 60:
        return False
    low, high = np.percentile(there, [0.5, 99.5])
    least = max(3.0 * one.step, 0.5)
    return bool(low < -least and high > least)
