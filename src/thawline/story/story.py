"""The story of a recording."""

from __future__ import annotations

from dataclasses import dataclass

LANES = (
    "supply",
    "pack-heating",
    "coolant",
    "charging",
    "cabin",
    "regeneration",
    "driving",
    "no-data",
)

KINDS = (
    "plugged-in",
    "pack-heating-begins",
    "pack-heating-ends",
    "regeneration-returns",
    "coldest-cell-thaws",
    "charging-begins",
    "charging-ends",
    "charger-at-full-power",
    "cabin-comfortable",
    "supply-lost",
    "supply-back",
    "unplugged",
    "drive-begins",
    "drive-ends",
)


@dataclass(frozen=True, slots=True)
class Evidence:
    """A value that something rests on.

    Parameters
    ----------
    signal : str
        Concrete catalogue path, or the name of a flow.
    value : float
        What was seen [unit].
    unit : str
        Its unit.
    threshold : float or None
        What it was held against [unit].
    at_s : float
        When it was seen [s].
    """

    signal: str
    value: float
    unit: str
    threshold: float | None
    at_s: float


@dataclass(frozen=True, slots=True)
class TurningPoint:
    """A moment at which the car began or ceased to do something.

    Parameters
    ----------
    kind : str
        One of ``KINDS``.
    t_s : float
        When [s].
    plus_minus_s : float
        Standard uncertainty of when [s].
    because : str
        Why, in one sentence with its numbers.
    evidence : tuple of Evidence
        What it rests on.
    """

    kind: str
    t_s: float
    plus_minus_s: float
    because: str
    evidence: tuple[Evidence, ...]


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of time in which a lane is busy.

    Parameters
    ----------
    lane : str
        One of ``LANES``.
    from_s, to_s : float
        Its ends [s].
    level : float or None
        Mean power, or flow for the coolant [kW or l/min].
    because : str
        What was going on, in one sentence.
    """

    lane: str
    from_s: float
    to_s: float
    level: float | None
    because: str


@dataclass(frozen=True, slots=True)
class Lost:
    """Something that the story cannot tell.

    Parameters
    ----------
    what : str
        A lane, a turning point or a quantity.
    because : str
        Which signals are missing, and what that costs.
    cure : str
        What to add to the vehicle file.
    """

    what: str
    because: str
    cure: str


@dataclass(frozen=True, slots=True)
class WhyNot:
    """What keeps something from being more at an instant.

    Parameters
    ----------
    what : str
        ``charging``, ``regeneration`` or ``pack-heating``.
    t_s : float
        The instant [s].
    limit : str
        ``coldest-cell``, ``supply``, ``charger-rating``, ``target-reached``,
        ``not-requested``, ``loads-first``, ``nothing-known``.
    now_kW : float or None
        How much it is at that instant [kW].
    because : str
        The answer in one sentence with its numbers.
    evidence : tuple of Evidence
        What it rests on.
    """

    what: str
    t_s: float
    limit: str
    now_kW: float | None
    because: str
    evidence: tuple[Evidence, ...]


@dataclass(frozen=True, slots=True)
class Story:
    """What the car did and why.

    Parameters
    ----------
    recording_id : str
        The recording's name.
    turning_points : tuple of TurningPoint
        In order of time.
    spans : tuple of Span
        In order of lane, then time.
    lost : tuple of Lost
        What could not be told, and why.
    """

    recording_id: str
    turning_points: tuple[TurningPoint, ...]
    spans: tuple[Span, ...]
    lost: tuple[Lost, ...] = ()
