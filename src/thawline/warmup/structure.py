"""Which lumps a model has, and which parameters that brings.

Lumps in the order of the heat: ``metal`` (windings and iron), ``coolant``, ``bulk`` (the
pack), ``coldest`` (the coldest cell). ``hot`` stands for metal and coolant as one;
where coolant warms the pack, ``front``, ``middle`` and ``back`` stand for the bulk: the coolant
passes the cells one after another, and the last get what the first leave. The three share one
heat capacity and one conductance, so they cost no parameter but how far the coolant fades.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

ROWS = ("front", "middle", "back")
LUMPS = ("metal", "hot", "coolant", "bulk", *ROWS, "coldest")
#: States of wandering heat transfer: into the coolant, into the pack [kW].
WANDERING = ("metal_to_coolant", "into_pack")


@dataclass(frozen=True, slots=True)
class Structure:
    """What a model of a car consists of.

    Parameters
    ----------
    lumps : tuple of str
        In the order of ``LUMPS``.
    seen : tuple of str
        Which temperatures are measured: ``metal``, ``coolant``, ``outlet``,
        ``warmest``, ``bulk``, ``coldest``.
    cabin_share : bool
        Whether the cabin takes heat from (or gives it to) the pack's coolant.
    has_flow : bool
        Whether conductances follow a recorded coolant flow.
    heat : str
        ``measured``, ``derived`` or ``assumed``: where the heating power comes from.
    """

    lumps: tuple[str, ...]
    seen: tuple[str, ...]
    cabin_share: bool = False
    has_flow: bool = False
    heat: str = "measured"

    @property
    def states(self) -> tuple[str, ...]:
        """Lumps, then what wanders."""
        split = "metal" in self.lumps
        return (*self.lumps, *(WANDERING if split else WANDERING[1:]))

    @property
    def pack(self) -> tuple[str, ...]:
        """The lumps that share the pack's heat capacity."""
        return ROWS if "front" in self.lumps else ("bulk",)

    @property
    def hot(self) -> tuple[str, ...]:
        """The lumps between the heaters and the pack, in the order of the heat."""
        return tuple(lump for lump in self.lumps if lump in ("metal", "hot", "coolant"))

    @property
    def target(self) -> tuple[str, ...]:
        """The lumps whose mean stands for the coldest cell: as the pack's thermometers see it."""
        for seen in ("coldest", "bulk", "warmest"):
            if seen in self.seen:
                return self.lumps_of(seen)
        return ("coldest",) if "coldest" in self.lumps else self.pack

    def lumps_of(self, seen: str) -> tuple[str, ...]:
        """Find the lumps whose mean a thermometer sees.

        Parameters
        ----------
        seen : str
            ``metal``, ``coolant``, ``warmest``, ``bulk`` or ``coldest``; for ``outlet``, the
            lump that its coolant comes from.

        Returns
        -------
        tuple of str
            The lumps.
        """
        if seen in self.lumps:
            return (seen,)
        if seen in ("metal", "coolant", "outlet"):
            return ("coolant",) if "coolant" in self.lumps else ("hot",)
        ends = {"warmest": self.pack[:1], "bulk": self.pack, "coldest": self.pack[-1:]}
        return ends[seen]

    @property
    def parameters(self) -> tuple[str, ...]:
        """Names of the parameters."""
        names = ["pack.heat_capacity", "pack.loss", "pack.resistance", "heat.gain"]
        if "metal" in self.lumps:
            names += ["metal.heat_capacity", "metal.loss", "metal_to_coolant.conductance"]
            names.append("coolant.heat_capacity")
        elif "hot" in self.lumps:
            names += ["hot.heat_capacity", "hot.loss"]
        if self.hot:
            names += ["coolant.carries", "pack.fade"]
        if "coldest" in self.lumps:
            names.append("coldest.lag")
        if "metal" in self.seen:
            names.append("winding.rise")
        if self.cabin_share:
            names.append("cabin.share")
        names += ["noise.transfer", "noise.pack"]
        return tuple(names)


def smallest(seen: tuple[str, ...], *, has_flow: bool, heat: str) -> Structure:
    """Give the smallest model that has a lump for each thermometer.

    Parameters
    ----------
    seen : tuple of str
        Which temperatures are measured.
    has_flow : bool
        Whether a coolant flow is recorded.
    heat : str
        Where the heating power comes from.

    Returns
    -------
    Structure
        The model to begin with.
    """
    has_coolant = "coolant" in seen or "outlet" in seen
    hot = ["metal"] * ("metal" in seen) + ["coolant"] * has_coolant
    lumps = {"bulk", *(("hot",) if len(hot) == 1 else hot)}
    if "coldest" in seen and "bulk" in seen:
        lumps.add("coldest")
    return Structure(_ordered(lumps), seen, has_flow=has_flow, heat=heat)


def expected(start: Structure) -> Structure:
    """Give the model that physics expects, for when there is nothing to test it with.

    Parameters
    ----------
    start : Structure
        The smallest model.

    Returns
    -------
    Structure
        The same with heat stored on its way to the pack, and a coldest cell that lags.
    """
    lumps = set(start.lumps)
    if not lumps & {"hot", "metal"}:
        lumps.add("hot")
    if "coldest" in start.seen:
        lumps.add("coldest")
    return replace(start, lumps=_ordered(lumps))


def supported(start: Structure, lumps: tuple[str, ...]) -> Structure:
    """Add the lumps that earlier mornings asked for.

    Parameters
    ----------
    start : Structure
        The smallest model.
    lumps : tuple of str
        What earlier mornings supported; empty if there were none.

    Returns
    -------
    Structure
        The model to begin with.
    """
    now = set(start.lumps)
    if {"metal", "coolant"} <= set(lumps):
        now = {*now - {"hot"}, "metal", "coolant"}
    elif "hot" in lumps and "metal" not in now:
        now.add("hot")
    if "coldest" in lumps and "coldest" in start.seen:
        now.add("coldest")
    return replace(start, lumps=_ordered(now))


def larger(now: Structure, *, has_cabin: bool) -> dict[str, Structure]:
    """List the models that are larger by one lump or one effect.

    Parameters
    ----------
    now : Structure
        The model.
    has_cabin : bool
        Whether the cabin's heating power is recorded.

    Returns
    -------
    dict of str to Structure
        What is added, in plain words, to the larger model.
    """
    lumps = set(now.lumps)
    found: dict[str, Structure] = {}
    if not lumps & {"hot", "metal"}:
        found["heat stored between heaters and pack"] = replace(
            now, lumps=_ordered({*lumps, "hot"})
        )
    elif "hot" in lumps:
        found["metal apart from coolant"] = replace(
            now, lumps=_ordered({*lumps - {"hot"}, "metal", "coolant"})
        )
    if "coldest" not in lumps and "coldest" in now.seen:
        found["a coldest cell that lags"] = replace(now, lumps=_ordered({*lumps, "coldest"}))
    if has_cabin and not now.cabin_share and lumps & {"hot", "metal"}:
        found["cabin heat out of the same coolant"] = replace(now, cabin_share=True)
    return found


def _ordered(lumps: set[str]) -> tuple[str, ...]:
    """Put lumps in order; a pack behind coolant is laid out row by row."""
    if lumps & {"hot", "metal"}:
        lumps = {*lumps - {"bulk"}, *ROWS}
    return tuple(name for name in LUMPS if name in lumps)
