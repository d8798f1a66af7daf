"""Find when something is on: hysteresis, hold times, and what silence leaves open."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.story.stretch import ROOT_12, Edge, Stretch
from thawline.story.thresholds import threshold

UNKNOWN, OFF, ON = -1, 0, 1
#: Pulses next to an end lie within this many of their longest pauses of it [1].
CYCLES_NEAR = 6.0


@dataclass(frozen=True, slots=True)
class Rule:
    """Hold times.

    Parameters
    ----------
    blip_s : float
        What is on for less is noise [s].
    bridge_s : float
        What is off for less goes on [s].
    least_s : float
        A stretch that is shorter is left out [s].
    """

    blip_s: float
    bridge_s: float
    least_s: float


@dataclass(slots=True)
class _Run:
    state: int
    first: int
    last: int

    def ticks(self) -> int:
        return self.last - self.first + 1


def two_states(values: NDArray[np.float64], on_above: float, off_below: float) -> NDArray[np.int8]:
    """Tell on from off with hysteresis.

    Parameters
    ----------
    values : ndarray of float64, shape (n,)
        Values; NaN where unknown [unit].
    on_above : float
        On at or above this [unit].
    off_below : float
        Off at or below this; between the two the state stays [unit].

    Returns
    -------
    ndarray of int8, shape (n,)
        ``ON``, ``OFF`` or ``UNKNOWN`` [1].
    """
    unknown = np.isnan(values)
    filled = np.where(unknown, 0.0, values)
    clear = ~unknown & ((filled >= on_above) | (filled <= off_below))
    decided = np.where(filled >= on_above, ON, OFF).astype(np.int8)
    last = np.maximum.accumulate(np.where(clear, np.arange(len(values)), -1))
    state = np.where(last >= 0, decided[np.maximum(last, 0)], OFF).astype(np.int8)
    return np.asarray(np.where(unknown, UNKNOWN, state), dtype=np.int8)


def _runs(state: NDArray[np.int8]) -> list[_Run]:
    cuts = np.flatnonzero(np.diff(state)) + 1
    starts = np.concatenate(([0], cuts))
    ends = np.concatenate((cuts, [len(state)])) - 1
    return [
        _Run(int(state[a]), int(a), int(b)) for a, b in zip(starts, ends, strict=True) if b >= a
    ]


def _join(runs: list[_Run]) -> list[_Run]:
    joined: list[_Run] = []
    for run in runs:
        if joined and joined[-1].state == run.state:
            joined[-1].last = run.last
        else:
            joined.append(run)
    return joined


def _neighbour(runs: list[_Run], i: int, way: int) -> int | None:
    """Give the state of the next run that is known, looking one way."""
    j = i + way
    while 0 <= j < len(runs) and runs[j].state == UNKNOWN:
        j += way
    return runs[j].state if 0 <= j < len(runs) else None


def _wakes(runs: list[_Run], step_s: float) -> list[_Run]:
    """Disbelieve the first moments after a silence."""
    few = threshold("opening_s") / step_s
    for i, run in enumerate(runs[:-1]):
        wakes = i == 0 or runs[i - 1].state == UNKNOWN
        if wakes and run.state != UNKNOWN and run.ticks() < few and runs[i + 1].state != UNKNOWN:
            run.state = runs[i + 1].state
    return _join(runs)


def _patch(runs: list[_Run], step_s: float) -> list[_Run]:
    """Fill silences between equal states, unless they are too long to mean nothing."""
    few = threshold("longest_silence_s") / step_s
    for i, run in enumerate(runs):
        if run.state == UNKNOWN and run.ticks() <= few and 0 < i < len(runs) - 1:
            before, after = runs[i - 1].state, runs[i + 1].state
            if before == after:
                run.state = before
    return _join(runs)


def _drop(runs: list[_Run], short_s: float, step_s: float) -> list[_Run]:
    for i, run in enumerate(runs):
        if run.state == ON and run.ticks() * step_s < short_s:
            beside = {_neighbour(runs, i, -1), _neighbour(runs, i, 1)} - {None}
            if beside <= {OFF}:
                run.state = OFF
    return _join(runs)


def _bridge(
    runs: list[_Run], bridge_s: float, step_s: float, never: NDArray[np.bool_]
) -> tuple[list[_Run], list[_Run]]:
    """Join pulses; give also the pauses that were bridged."""
    bridged = []
    for i, run in enumerate(runs):
        pause = run.ticks() * step_s
        between = _neighbour(runs, i, -1) == ON and _neighbour(runs, i, 1) == ON
        if run.state == OFF and between and pause < bridge_s:
            if bool(np.any(never[run.first : run.last + 1])):
                continue
            run.state = ON
            bridged.append(_Run(OFF, run.first, run.last))
    return _join(runs), bridged


def _pulsing(pauses: list[_Run], at: int, step_s: float) -> float:
    """Give the longest pause of pulses next to a tick; 0 if nothing pulses there [s]."""
    lengths = [p.ticks() for p in pauses]
    near = [
        length
        for pause, length in zip(pauses, lengths, strict=True)
        if min(abs(pause.first - at), abs(pause.last - at)) <= CYCLES_NEAR * max(lengths)
    ]
    return max(near) * step_s if len(near) >= 2 else 0.0


def _ends_proven(
    runs: list[_Run], proof_s: float, pauses: list[_Run], step_s: float, never: NDArray[np.bool_]
) -> list[_Run]:
    """Take a short pause at either end, or before a silence, for a pause between pulses."""
    for i in range(1, len(runs)):
        last = i == len(runs) - 1 or runs[i + 1].state == UNKNOWN
        if not last or (runs[i].state, runs[i - 1].state) != (OFF, ON):
            continue
        forced = bool(np.any(never[runs[i].first : runs[i].last + 1]))
        usual = 1.2 * _pulsing(pauses, runs[i - 1].last, step_s)
        if not forced and runs[i].ticks() * step_s < max(proof_s, usual):
            runs[i].state = ON
    if len(runs) > 1 and (runs[0].state, runs[1].state) == (OFF, ON):
        forced = bool(np.any(never[: runs[0].last + 1]))
        usual = 1.2 * _pulsing(pauses, runs[1].first, step_s)
        if not forced and runs[0].ticks() * step_s < usual:
            runs[0].state = ON
    return _join(runs)


def _edge(runs: list[_Run], i: int, t: NDArray[np.float64], step_s: float, way: int) -> Edge | None:
    """Find the edge of run i, at its begin (way -1) or its end (way +1)."""
    run, j = runs[i], i + way
    if not 0 <= j < len(runs):
        return None
    here = run.first if way < 0 else run.last
    if runs[j].state != UNKNOWN:
        return Edge(float(t[here] + way * step_s / 2.0), step_s / ROOT_12)
    if _neighbour(runs, i, way) != OFF:
        return None
    there = runs[j].first - 1 if way < 0 else runs[j].last + 1
    width = abs(float(t[here] - t[there]))
    return Edge(float(t[here] + t[there]) / 2.0, width / ROOT_12, width)


def stretches(
    t: NDArray[np.float64],
    step_s: float,
    state: NDArray[np.int8],
    rule: Rule,
    never: NDArray[np.bool_] | None = None,
) -> tuple[Stretch, ...]:
    """Find when something is on.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Middles of the ticks [s].
    step_s : float
        Length of a tick [s].
    state : ndarray of int8, shape (n,)
        ``ON``, ``OFF`` or ``UNKNOWN`` [1].
    rule : Rule
        Hold times.
    never : ndarray of bool, shape (n,), optional
        Where it cannot be on, so that no pause there is bridged.

    Returns
    -------
    tuple of Stretch
        In order of time. A begin or an end that the recording does not show is None.
        A silence between two equal states belongs to the stretch.
    """
    if len(state) == 0:
        return ()
    impossible = np.zeros(len(state), dtype=np.bool_) if never is None else never
    state = np.where(impossible & (state == ON), OFF, state).astype(np.int8)
    runs = _patch(_wakes(_runs(state), step_s), step_s)
    runs = _drop(runs, rule.blip_s, step_s)
    runs, pauses = _bridge(runs, rule.bridge_s, step_s, impossible)
    proof_s = max(threshold("end_proof_share") * rule.bridge_s, min(rule.bridge_s, 2.0 * step_s))
    runs = _ends_proven(runs, proof_s, pauses, step_s, impossible)
    runs = _drop(runs, rule.least_s, step_s)
    return tuple(
        Stretch(run.first, run.last, _edge(runs, i, t, step_s, -1), _edge(runs, i, t, step_s, 1))
        for i, run in enumerate(runs)
        if run.state == ON
    )
