"""Say in plain words what to think of a fit."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.warmup.case import Case
from thawline.warmup.choose import Chosen
from thawline.warmup.information import scale_told, told
from thawline.warmup.settings import setting
from thawline.warmup.warmup import Verdict
from thawline.warmup.whiteness import ljung_box

Array = NDArray[np.float64]
#: Parameters in words.
WORDS = {
    "pack.heat_capacity": "the pack's heat capacity",
    "pack.loss": "what the pack loses to the air outside",
    "pack.resistance": "the heat of the current in the cells",
    "heat.gain": "how much of the reported heat there is",
    "metal.heat_capacity": "the drive units' heat capacity",
    "metal.loss": "what the drive units lose to the air outside",
    "metal_to_coolant.conductance": "the way from metal to coolant",
    "coolant.heat_capacity": "the coolant's heat capacity",
    "hot.heat_capacity": "the heat stored between heaters and pack",
    "hot.loss": "what is lost between heaters and pack",
    "coolant.carries": "how much heat the coolant carries per kelvin",
    "pack.fade": "how far the coolant cools on its way through the pack",
    "coldest.lag": "how far the coldest cell lags behind",
    "winding.rise": "how far windings run above their metal",
    "cabin.share": "how much heat the cabin takes from the coolant",
    "noise.transfer": "how much heat transfer wanders",
    "noise.pack": "what the lumps miss of the pack",
}


def surprises_of_pack(case: Case, chosen: Chosen) -> Array:
    """Collect the surprises of the pack's best thermometer, in their own units.

    Parameters
    ----------
    case : Case
        The recording.
    chosen : Chosen
        The model.

    Returns
    -------
    ndarray of float64, shape (n,)
        Surprises over their expected standard deviation, in order of time [1].
    """
    found = chosen.peak.filtered
    best = np.zeros(0)
    for j, seen in enumerate(case.seen):
        if seen.name in ("bulk", "coldest"):
            here = (found.sensor == j) & ~found.is_bound
            scaled = found.surprise[0, here] / np.sqrt(found.variance[0, here])
            if len(scaled) >= len(best):
                best = scaled
    return best


def _warnings(case: Case, chosen: Chosen, white: bool | None, pack_seen: bool) -> list[str]:
    said: list[str] = []
    if case.sources.origin != "measured":
        said.append(f"Heating power is {case.sources.origin}: {case.sources.note}.")
    if not pack_seen:
        said.append("No temperature of the pack is recorded: all rests on priors.")
    elif not any(s.name == "coldest" for s in case.seen):
        said.append("The coldest cell is not recorded; the pack's mean stands for it.")
    if not case.grid.outside_known:
        said.append("The air outside is not recorded; the pack's first temperature stands for it.")
    if case.has_flow is False and any(s.name in ("coolant", "outlet") for s in case.seen):
        said.append("The coolant's flow is not recorded: a pump that stops shows late.")
    if not chosen.tested:
        said.append("Too little heat so far to test the model: it is what physics expects.")
    if not chosen.peak.converged:
        said.append("The fit did not settle; its uncertainties are not to be trusted.")
    if white is False:
        said.append(
            "The surprises are not random: the pack does something that the model lacks; "
            "uncertainties are wider for it."
        )
    return said


def judge(case: Case, chosen: Chosen) -> Verdict:
    """Judge a fit.

    Parameters
    ----------
    case : Case
        The recording.
    chosen : Chosen
        The model that was chosen.

    Returns
    -------
    Verdict
        Whether it settled, what it cannot tell, whether its surprises are random.
    """
    names, peak = chosen.structure.parameters, chosen.peak
    spread = np.sqrt(np.diag(chosen.covariance))
    far = np.abs(peak.z - chosen.mean) / spread
    at_bound = tuple(name for name, f in zip(names, far, strict=True) if f > setting("bound_sd"))
    shares = told(peak.information, chosen.covariance)
    physical = [(n, s) for n, s in zip(names, shares, strict=True) if not n.startswith("noise")]
    cannot = tuple(name for name, s in physical if s < setting("told_share"))
    pack_seen = any(s.name in ("bulk", "coldest", "warmest") for s in case.seen)
    surprises = surprises_of_pack(case, chosen)
    lags = min(int(setting("lags")), len(surprises) // 4)
    whiteness = ljung_box(surprises, lags) if lags >= 3 else None
    white = None if whiteness is None else whiteness >= setting("white_level")
    blind = ""
    if chosen.tested and scale_told(names, peak.information) < setting("scale_blind"):
        gain = spread[names.index("heat.gain")]
        blind = (
            "The readings alone tell P/C and UA/C, not heat, heat capacity and conductance apart; "
            f"the capacity rests on the heat being known to {100.0 * gain:.0f} % and on its prior."
        )
    warnings = _warnings(case, chosen, white, pack_seen)
    warnings += [f"{_sentence(WORDS[n])} is far from all that is believed." for n in at_bound]
    return Verdict(
        _summary(chosen, cannot, at_bound, white),
        peak.converged,
        at_bound,
        cannot,
        blind,
        whiteness,
        white,
        tuple(warnings),
    )


def _sentence(words: str) -> str:
    return words[0].upper() + words[1:]


def _summary(
    chosen: Chosen, cannot: tuple[str, ...], at_bound: tuple[str, ...], white: bool | None
) -> str:
    lumps = ", ".join(_lumps(chosen.structure.lumps))
    if not chosen.tested:
        return f"From priors: {lumps}; the recording holds too little heat to fit them."
    text = f"Fitted {lumps}; " + ("settled" if chosen.peak.converged else "did not settle")
    if at_bound:
        text += f", {len(at_bound)} parameter{'s' if len(at_bound) > 1 else ''} at a bound"
    if cannot:
        text += f"; it cannot tell {'; '.join(WORDS[name] for name in cannot)}"
    if white is not None:
        text += "; what is left is random" if white else "; what is left is not random"
    return text + "."


def _lumps(lumps: tuple[str, ...]) -> list[str]:
    words = {
        "metal": "metal of the drive units",
        "hot": "metal and coolant",
        "coolant": "coolant",
        "bulk": "pack",
        "front": "pack in three rows",
        "coldest": "coldest cell",
    }
    return [words[lump] for lump in lumps if lump in words]
