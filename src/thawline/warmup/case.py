"""Everything that a fit needs of a recording, made once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.recording.flows import Flows
from thawline.recording.recording import Recording
from thawline.story.story import Story
from thawline.vehicle.vehicle import Vehicle
from thawline.warmup.going_on import Kept, Task, run_anew, run_task
from thawline.warmup.grid import Grid, make_grid
from thawline.warmup.heat_sources import HeatSources, heat_sources
from thawline.warmup.kalman import Filtered
from thawline.warmup.network import at_first, readout, steps_of
from thawline.warmup.prior import to_values
from thawline.warmup.sensing import Seen, see
from thawline.warmup.settings import setting
from thawline.warmup.structure import Structure

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Case:
    """A recording as the model sees it.

    Parameters
    ----------
    recording_id : str
        The recording.
    vehicle : Vehicle
        Its vehicle.
    until_s : float
        Nothing after this is used [s].
    sources : HeatSources
        Where the heat comes from.
    grid : Grid
        Steps with their inputs.
    seen : tuple of Seen
        Thermometers of drive units, coolant and pack.
    """

    recording_id: str
    vehicle: Vehicle
    until_s: float
    sources: HeatSources
    grid: Grid
    seen: tuple[Seen, ...]

    @property
    def has_cabin(self) -> bool:
        """Whether the cabin's heating was recorded and ran."""
        cabin = self.sources.cabin_kW
        return cabin is not None and bool((cabin > setting("on_kW")).any())

    @property
    def has_flow(self) -> bool:
        """Whether conductances can follow a coolant flow."""
        return self.grid.flow_known or bool((self.grid.flows == 0.0).any())


def make_case(
    recording: Recording,
    flows: Flows,
    story: Story,
    until_s: float,
    most_steps: int | None = None,
) -> Case:
    """Prepare a recording for the model.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers.
    story : Story
        Its story.
    until_s : float
        Nothing after this is used [s].
    most_steps : int, optional
        Steps at most; as for a fit if it is not given [1].

    Returns
    -------
    Case
        Inputs and readings on the model's clock.
    """
    sources = heat_sources(recording, flows, story)
    grid = make_grid(recording, flows, sources, until_s, most_steps)
    return Case(recording.id, recording.vehicle, until_s, sources, grid, see(recording, grid))


def usual_heat_kW(case: Case) -> float:
    """Give the scale of heat: what was seen, else one kilowatt.

    Parameters
    ----------
    case : Case
        The recording.

    Returns
    -------
    float
        Heat [kW].
    """
    return case.grid.usual_heat_kW or 1.0


def _task(case: Case, structure: Structure, z: Array, noise_times: Array | None = None) -> Task:
    p, usual = to_values(structure.parameters, z), usual_heat_kW(case)
    return Task(
        (structure, usual, case.grid.step_s, tuple((s.name, s.step_K) for s in case.seen)),
        z,
        lambda shares, step_s: steps_of(structure, p, shares, usual, step_s),
        case.grid,
        case.seen,
        tuple(readout(structure, p, s.name) for s in case.seen),
        at_first(structure, case.seen, case.grid),
        noise_times,
    )


def run_case(
    case: Case, structure: Structure, z: Array, noise_times: Array | None = None
) -> Filtered:
    """Run the filter for many parameter sets.

    Parameters
    ----------
    case : Case
        The recording.
    structure : Structure
        The model's lumps.
    z : ndarray of float64, shape (k, p)
        Parameter sets, as the fit works with them [1].
    noise_times : ndarray of float64, shape (n,), optional
        Factor on the noise of each step [1].

    Returns
    -------
    Filtered
        Surprises, and the states at the end.
    """
    return run_anew(_task(case, structure, z, noise_times))


def run_case_on(
    case: Case, structure: Structure, z: Array, noise_times: Array | None, kept: Kept | None
) -> tuple[Filtered, Kept]:
    """Run the filter, going on from where an earlier run stood as far as it can.

    Parameters
    ----------
    case : Case
        The recording.
    structure : Structure
        The model's lumps.
    z : ndarray of float64, shape (k, p)
        Parameter sets, as the fit works with them [1].
    noise_times : ndarray of float64, shape (n,), or None
        Factor on the noise of each step [1].
    kept : Kept or None
        Where an earlier run stood.

    Returns
    -------
    Filtered
        Surprises, and the states at the end; the same as anew.
    Kept
        Where this run stands.
    """
    return run_task(_task(case, structure, z, noise_times), kept)
