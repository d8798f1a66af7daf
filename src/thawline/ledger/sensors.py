"""How wrong each sensor may be: by its file's accuracy, else by what is usual for its kind.

A sensor has two causes of error that do not change during a recording: a gain (a share of
the value) and a zero (a fixed amount). Rounding adds to the zero as far as the reading
stands still; where it moves, roundings average out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fnmatch import fnmatchcase

import numpy as np

from thawline.ledger.uncertain import UFloat, cause
from thawline.physics.constants import read_table
from thawline.quantities import Accuracy
from thawline.recording.recording import Channel, Recording

#: Rounding to steps of q spreads evenly: its standard deviation is q over this [1].
ROOT_12 = float(np.sqrt(12.0))
#: Units of what moves slowly; a power may well have only the values on and off.
SLOW_UNITS = ("degC", "percent")
#: Steps that sensors usually show, the coarsest first [unit].
USUAL_STEPS = (1.0, 0.5, 0.25, 0.1, 0.05, 0.01)


@dataclass(frozen=True, slots=True)
class Sensors:
    """The causes of error of all sensors of a recording.

    Parameters
    ----------
    gain : mapping of str to UFloat
        Relative error by path; zero with its standard uncertainty [1].
    zero : mapping of str to UFloat
        Absolute error by path, in the channel's unit; zero with its standard uncertainty.
    by_default : frozenset of str
        Paths whose accuracy the vehicle file does not state.
    """

    gain: Mapping[str, UFloat] = field(default_factory=dict)
    zero: Mapping[str, UFloat] = field(default_factory=dict)
    by_default: frozenset[str] = frozenset()


def usual_accuracy(path: str) -> Accuracy:
    """Look up what is usual for a kind of sensor.

    Parameters
    ----------
    path : str
        Concrete catalogue path.

    Returns
    -------
    Accuracy
        The first row of ``accuracies.csv`` that fits.
    """
    for row in read_table("thawline.ledger", "accuracies.csv"):
        if fnmatchcase(path, row["pattern"]):
            return Accuracy(float(row["absolute"]), float(row["relative"]))
    raise AssertionError("the last row of accuracies.csv fits everything")


def step_of(channel: Channel) -> float:
    """Find the step of a slow sensor, also where it shows only one or two values.

    Parameters
    ----------
    channel : Channel
        The channel.

    Returns
    -------
    float
        Its resolution; where a temperature or a percentage shows too few values to tell one,
        the distance of the two that it shows, or the coarsest usual step that its one value
        is a multiple of [unit].
    """
    if channel.resolution > 0.0 or len(channel.t) < 2 or channel.unit not in SLOW_UNITS:
        return channel.resolution
    levels = np.unique(np.round(channel.values, 9))
    if len(levels) in (2, 3):
        return float(np.min(np.diff(levels)))
    if len(levels) == 1 and levels[0] != 0.0:
        for step in USUAL_STEPS:
            if abs(levels[0] / step - round(levels[0] / step)) < 1e-6:
                return step
    return 0.0


def rounding(channel: Channel) -> float:
    """Find what rounding leaves of the mean over a recording.

    Parameters
    ----------
    channel : Channel
        The channel.

    Returns
    -------
    float
        Standard uncertainty: that of one rounding, less by the number of readings that
        differ, weighted with how long each stood still [unit].
    """
    if channel.resolution <= 0.0 or len(channel.t) < 2:
        return channel.resolution / ROOT_12
    ends = np.append(np.flatnonzero(np.diff(channel.values) != 0.0), len(channel.t) - 1)
    stood = np.diff(channel.t[ends], prepend=channel.t[0])
    length = max(float(channel.t[-1] - channel.t[0]), 1e-9)
    return channel.resolution / ROOT_12 * float(np.sqrt(np.sum((stood / length) ** 2)))


def sensors_of(recording: Recording) -> Sensors:
    """Set up the causes of error of every sensor of a recording.

    Parameters
    ----------
    recording : Recording
        The recording.

    Returns
    -------
    Sensors
        One gain and one zero for each channel that is not a state.
    """
    gain, zero, by_default = {}, {}, set()
    for path, channel in recording.channels.items():
        if channel.is_state:
            continue
        accuracy = channel.accuracy
        if accuracy is None:
            accuracy = usual_accuracy(path)
            by_default.add(path)
        gain[path] = cause(accuracy.relative)
        zero[path] = cause(float(np.hypot(accuracy.absolute, rounding(channel))))
    return Sensors(gain, zero, frozenset(by_default))
