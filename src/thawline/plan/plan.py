"""A plan: what to do before leaving, what it costs, how surely the car is then ready."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.plan.asked import Asked
from thawline.plan.score import Wear

Array = NDArray[np.float64]
Three = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Step:
    """Something to do.

    Parameters
    ----------
    do : str
        ``plug-in``, ``heat-pack``, ``charge`` or ``warm-cabin``.
    from_s, until_s : float
        When, since 1970-01-01 UTC [s].
    kW : float
        Mean power from supply or pack meanwhile, over what the sample does [kW].
    because : str
        What for, in plain words.
    """

    do: str
    from_s: float
    until_s: float
    kW: float
    because: str


@dataclass(frozen=True, slots=True)
class Ready:
    """How surely the car is ready at a leaving time.

    Parameters
    ----------
    leave_s : float
        The leaving time, since 1970-01-01 UTC [s].
    charge, regeneration, cabin, glass : float or None
        Probability that each wish is met; None: no such wish [1].
    together : float
        That all of them are met [1].
    charge_pct : tuple of float
        State of charge: 10, 50, 90 % [percent].
    coldest_degC : tuple of float
        Coldest cell: 10, 50, 90 % [degC].
    regeneration_kW : tuple of float
        Regenerative power that is allowed: 10, 50, 90 % [kW].
    cabin_degC, glass_degC : tuple of float
        Cabin air and glass: 10, 50, 90 % [degC].
    """

    leave_s: float
    charge: float | None
    regeneration: float | None
    cabin: float | None
    glass: float | None
    together: float
    charge_pct: Three
    coldest_degC: Three
    regeneration_kW: Three
    cabin_degC: Three
    glass_degC: Three


@dataclass(frozen=True, slots=True)
class Road:
    """What the first trip takes after leaving so.

    Parameters
    ----------
    trace : str
        Name of the trip.
    km : float
        Its length [km].
    kWh : float
        Out of the cells, mean [kWh].
    range_km : float
        Range at that consumption, mean [km].
    cost : float
        To put it back, at the mean price [currency].
    """

    trace: str
    km: float
    kWh: float
    range_km: float
    cost: float


@dataclass(frozen=True, slots=True)
class Option:
    """One way of leaving, with what it takes and gives.

    Parameters
    ----------
    key, name : str
        What it is called.
    cost : float
        Money until leaving: what is paid, and what putting back would cost [currency].
    energy_kWh : float
        From the supply [kWh].
    from_pack_kWh : float
        Less in the pack than at the beginning [kWh].
    carbon_g : float or None
        Carbon dioxide of the supply; None: not told [g].
    ready : tuple of Ready
        One per leaving time.
    chance : float
        Probability that all wishes are met at all leaving times [1].
    wear : Wear
        Charging at a cold cell.
    road : Road or None
        The first trip; None without one.
    said : str
        What is to be known of it, in plain words.
    """

    key: str
    name: str
    cost: float
    energy_kWh: float
    from_pack_kWh: float
    carbon_g: float | None
    ready: tuple[Ready, ...]
    chance: float
    wear: Wear
    road: Road | None = None
    said: str = ""


@dataclass(frozen=True, slots=True)
class Course:
    """The plan over time; shape (n,) for powers, means over steps, (n + 1,) for states.

    Parameters
    ----------
    t_s : ndarray of float64, shape (n + 1,)
        Edges of the steps, since 1970-01-01 UTC [s].
    coldest, charge : ndarray of float64, shape (n + 1, 3)
        Coldest cell [degC] and state of charge [percent]: 10, 50, 90 %.
    heat_kW, cabin_kW, charge_kW, base_kW, loss_kW, helped_kW : ndarray of float64
        Heating the pack, the cabin, into the pack, other loads, lost in the charger, and what
        the pack gives towards them [kW].
    outside, price, carbon : ndarray of float64
        Air outside [degC], price [currency/kWh], carbon dioxide [g/kWh].
    ceiling_kW : float
        The most that supply and charger take [kW].
    """

    t_s: Array
    coldest: Array
    charge: Array
    heat_kW: Array
    cabin_kW: Array
    charge_kW: Array
    base_kW: Array
    loss_kW: Array
    helped_kW: Array
    outside: Array
    price: Array
    carbon: Array
    ceiling_kW: float


@dataclass(frozen=True, slots=True)
class WishCost:
    """What a wish costs, found by planning again without it or with less of it.

    Parameters
    ----------
    change : str
        What would be different, in plain words.
    saves : float
        What that would save [currency].
    chance : float
        Probability that the wishes that are left would be met [1].
    """

    change: str
    saves: float
    chance: float


@dataclass(frozen=True, slots=True)
class Nearest:
    """The nearest that can be done where a wish cannot be met.

    Parameters
    ----------
    can : tuple of str
        What is reached with the promised probability, in plain words.
    cures : tuple of str
        What would make the wishes possible, in plain words.
    """

    can: tuple[str, ...]
    cures: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Solved:
    """How the plan was found.

    Parameters
    ----------
    rounds : int
        How often the problem was solved [1].
    members : int
        Cars and mornings that it was tried on [1].
    gap : float or None
        Share of cost by which the solver's last solution may miss the least one; None: the
        solver had none [1].
    seconds : float
        Time of the solver for it [s].
    step_s : float
        Length of a step [s].
    """

    rounds: int
    members: int
    gap: float | None
    seconds: float
    step_s: float


@dataclass(frozen=True, slots=True)
class Plan:
    """A plan.

    Parameters
    ----------
    vehicle : str
        Name of the vehicle.
    asked : Asked
        What was asked for.
    is_possible : bool
        Whether all wishes are met with the promised probability.
    steps : tuple of Step
        What to do, in order of time.
    chosen : Option
        What it takes and gives.
    course : Course
        It over time.
    alternatives : tuple of Option
        Other ways of leaving.
    binding : tuple of str
        What binds, in plain words.
    wish_costs : tuple of WishCost
        What each wish costs.
    nearest : Nearest or None
        Where not all is possible.
    solved : Solved
        How it was found.
    mornings : int
        Recordings that taught the model [1].
    assumes : tuple of str
        What is taken for granted, in plain words.
    """

    vehicle: str
    asked: Asked
    is_possible: bool
    steps: tuple[Step, ...]
    chosen: Option
    course: Course
    alternatives: tuple[Option, ...]
    binding: tuple[str, ...]
    wish_costs: tuple[WishCost, ...]
    nearest: Nearest | None
    solved: Solved
    mornings: int
    assumes: tuple[str, ...]
