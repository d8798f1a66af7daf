"""The supply as a cause: it came back, or someone unplugged."""

from __future__ import annotations

import numpy as np

from thawline.story import names
from thawline.story.figures import degrees
from thawline.story.gates import cell_name, coldest
from thawline.story.scene import Scene
from thawline.story.story import Evidence
from thawline.story.stretch import ROOT_12
from thawline.story.supply import Supplied
from thawline.story.thresholds import threshold
from thawline.story.told import Cause

#: Half the width of an even spread, over its standard deviation [1].
HALF_WIDTH = ROOT_12 / 2.0


def volts_after(scene: Scene, supplied: Supplied, t_s: float) -> tuple[Evidence, ...]:
    """Read the supply's voltage just after an instant, as evidence.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    supplied : Supplied
        When a supply was there.
    t_s : float
        The instant [s].

    Returns
    -------
    tuple of Evidence
        One, or none where no voltage is known.
    """
    if supplied.offer.volts is None:
        return ()
    path = next((p for p in scene.like(names.PHASE_VOLTAGE)), names.DIRECT_VOLTAGE)
    volts = supplied.offer.volts[scene.tick(t_s + 2.0)]
    gone = threshold("supply_gone_V")
    return () if np.isnan(volts) else (Evidence(path, float(volts), "V", gone, t_s),)


def came_back(scene: Scene, supplied: Supplied, t_s: float, slack_s: float) -> list[Cause]:
    """Tell whether a supply that had been there before came back.

    The car may heat from the pack as soon as it sees the supply, a little before its own
    contactor closes and the voltage shows.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    supplied : Supplied
        When a supply was there.
    t_s : float
        When the effect began [s].
    slack_s : float
        How late a signal may come [s].

    Returns
    -------
    list of Cause
        One, or none.
    """
    late = t_s + slack_s + threshold("cause_after_s")
    early = t_s - threshold("cause_before_s")
    back = [
        stretch.begins.t_s
        for stretch in supplied.present[1:]
        if stretch.begins is not None and early <= stretch.begins.t_s <= late
    ]
    if not back:
        return []
    cell = coldest(scene, t_s)
    at = "" if cell is None else f", with {cell_name(scene)} at {degrees(cell)}"
    return [Cause(back[-1], f"The supply came back{at}.", volts_after(scene, supplied, back[-1]))]


def unplugged_near(scene: Scene, supplied: Supplied, t_s: float, slack_s: float) -> list[Cause]:
    """Tell whether someone unplugged shortly before an instant.

    A slow signal of the cable may have turned anywhere between two of its samples: the later
    end of that time is taken, so that what the car itself ended on unplugging is not blamed.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    supplied : Supplied
        When a supply was there.
    t_s : float
        The instant [s].
    slack_s : float
        How late a signal may come [s].

    Returns
    -------
    list of Cause
        One for each unplugging; none where nobody did.
    """
    causes = []
    for stretch in supplied.cable or ():
        if stretch.ends is None:
            continue
        at, reach = stretch.ends.t_s, HALF_WIDTH * stretch.ends.plus_minus_s
        if -threshold("cause_before_s") < at - t_s <= slack_s + reach:
            when = max(at, min(at + reach, t_s))
            causes.append(Cause(when, "The car was unplugged.", volts_after(scene, supplied, at)))
    return causes
