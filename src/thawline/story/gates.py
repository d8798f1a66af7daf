"""When a limit of the pack leaves zero, and at what temperature."""

from __future__ import annotations

from dataclasses import dataclass

from thawline.story import names
from thawline.story.figures import degrees
from thawline.story.onset import Band
from thawline.story.scene import Scene
from thawline.story.stretch import Stretch
from thawline.story.switching import on_stretches, rule_of, signal_band
from thawline.story.thresholds import threshold

COLDEST_CELL = "the coldest cell"


@dataclass(frozen=True, slots=True)
class Gate:
    """A limit that keeps power out of a cold pack.

    Parameters
    ----------
    path : str
        The limit's signal.
    open : tuple of Stretch or None
        When the limit stood above zero; None if it was not recorded.
    from_degC : float
        Coldest cell from which power is let in [degC].
    origin : str
        ``seen`` in this recording, ``learned`` from others, ``vehicle file`` or
        ``common practice``.
    band : Band or None
        What counts as zero.
    """

    path: str
    open: tuple[Stretch, ...] | None
    from_degC: float
    origin: str
    band: Band | None

    @property
    def source(self) -> str:
        """Who says so, as part of a sentence."""
        return {
            "seen": "as this recording shows",
            "learned": "as other mornings of this vehicle show",
            "vehicle file": "as the vehicle file says",
            "common practice": "by common practice; no signal or vehicle file tells",
        }[self.origin]

    def wording(self, what: str) -> str:
        """Say from which temperature something is allowed, and who says so.

        Parameters
        ----------
        what : str
            What is allowed.

        Returns
        -------
        str
            For instance ``the 0.0 °C from which charging is allowed (as this recording shows)``.
        """
        return f"the {degrees(self.from_degC)} from which {what} is allowed ({self.source})"


def coldest_path(scene: Scene) -> str | None:
    """Find the signal that stands for the coldest cell.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.

    Returns
    -------
    str or None
        The coldest cell, else the pack's mean; None if neither was recorded.
    """
    for path in (names.COLDEST, names.MEAN_TEMPERATURE):
        if path in scene.signals:
            return path
    return None


def cell_name(scene: Scene) -> str:
    """Name what stands for the coldest cell.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.

    Returns
    -------
    str
        ``the coldest cell``, or ``the pack's mean`` where only that was recorded.
    """
    return "the pack's mean" if coldest_path(scene) == names.MEAN_TEMPERATURE else COLDEST_CELL


def coldest(scene: Scene, t_s: float) -> float | None:
    """Read the coldest cell at an instant.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    t_s : float
        The instant [s].

    Returns
    -------
    float or None
        Its temperature [degC]; None if it is not known.
    """
    path = coldest_path(scene)
    return None if path is None else scene.value(path, t_s)


def _read(scene: Scene, path: str, prior: float | None, usual: str) -> Gate:
    stretches: tuple[Stretch, ...] | None = None
    band = None
    if path in scene.signals:
        band = signal_band(scene, path, threshold("limit_on_kW"))
        stretches = on_stretches(scene, scene.signals[path], band, rule_of("limit"))
    expected = threshold(usual) if prior is None else prior
    for stretch in stretches or ():
        if stretch.begins is not None and not stretch.begins.silence_s:
            here = coldest(scene, stretch.begins.t_s)
            # the mean teaches nothing: the coldest cell decides, and lies somewhere below it
            is_cell = coldest_path(scene) == names.COLDEST
            near = here is not None and abs(here - expected) <= threshold("learned_within_K")
            if here is not None and near and is_cell:
                return Gate(path, stretches, here, "seen", band)
    if prior is not None:
        return Gate(path, stretches, prior, "vehicle file", band)
    return Gate(path, stretches, threshold(usual), "common practice", band)


def charge_gate(scene: Scene) -> Gate:
    """Read when charging was allowed.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.

    Returns
    -------
    Gate
        The limit of charging power.
    """
    prior = scene.recording.vehicle.limits.charging_from_degC
    return _read(scene, names.CHARGE_LIMIT, prior, "charging_from_degC")


def regeneration_gate(scene: Scene) -> Gate:
    """Read when regeneration was allowed.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.

    Returns
    -------
    Gate
        The limit of regenerative power.
    """
    prior = scene.recording.vehicle.limits.regeneration_from_degC
    return _read(scene, names.REGENERATION_LIMIT, prior, "regeneration_from_degC")
