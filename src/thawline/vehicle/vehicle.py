"""The vehicle, as its file describes it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from thawline.quantities import Accuracy


@dataclass(frozen=True, slots=True)
class Pack:
    """The traction battery.

    Parameters
    ----------
    usable_energy_kWh : float
        Energy between empty and full [kWh].
    cells_in_series : int, optional
        Cells in series [1].
    heat_capacity_kJ_per_K : float, optional
        Effective heat capacity, a prior [kJ/K].
    resistance_mOhm : float, optional
        Resistance of the whole pack near 20 degC, a prior [mOhm].
    chemistry : str, optional
        For instance ``NMC`` or ``LFP``.
    heat_loss_W_per_K : float, optional
        Conductance from the pack to the air outside, a prior [W/K].
    """

    usable_energy_kWh: float
    cells_in_series: int | None = None
    heat_capacity_kJ_per_K: float | None = None
    resistance_mOhm: float | None = None
    chemistry: str | None = None
    heat_loss_W_per_K: float | None = None


@dataclass(frozen=True, slots=True)
class DriveUnits:
    """The drive units, seen as heaters.

    Parameters
    ----------
    count : int, optional
        Drive units that can heat at standstill [1].
    heat_capacity_kJ_per_K : float, optional
        Heat capacity of the metal of one, a prior [kJ/K].
    standstill_heat_kW : float, optional
        Heat that one makes at standstill, a prior [kW].
    """

    count: int | None = None
    heat_capacity_kJ_per_K: float | None = None
    standstill_heat_kW: float | None = None


@dataclass(frozen=True, slots=True)
class Limits:
    """Where limits leave zero, as priors.

    Parameters
    ----------
    charging_from_degC : float, optional
        Coldest cell from which charging is allowed [degC].
    regeneration_from_degC : float, optional
        Coldest cell from which regeneration is allowed [degC].
    """

    charging_from_degC: float | None = None
    regeneration_from_degC: float | None = None


@dataclass(frozen=True, slots=True)
class Charger:
    """The charger in the car.

    Parameters
    ----------
    rated_kW : float, optional
        Highest power on the supply side [kW].
    efficiency : float, optional
        Share of supply power that reaches the direct-current side, a prior [1].
    """

    rated_kW: float | None = None
    efficiency: float | None = None


@dataclass(frozen=True, slots=True)
class Cabin:
    """The cabin.

    Parameters
    ----------
    comfortable_from_degC : float, optional
        Cabin air from which the cabin counts as comfortable [degC].
    """

    comfortable_from_degC: float | None = None


@dataclass(frozen=True, slots=True)
class Coolant:
    """The coolant.

    Parameters
    ----------
    glycol_mass_fraction : float, optional
        Mass fraction of ethylene glycol in water [1].
    volume_l : float, optional
        Volume in the loop [l].
    """

    glycol_mass_fraction: float | None = None
    volume_l: float | None = None


@dataclass(frozen=True, slots=True)
class Road:
    """What driving takes.

    Parameters
    ----------
    mass_kg : float, optional
        Mass of the car with its driver [kg].
    drag_area_m2 : float, optional
        Drag coefficient times frontal area [m2].
    rolling : float, optional
        Coefficient of rolling resistance of its tyres at 25 degC [1].
    drive_efficiency : float, optional
        Share of power that passes from the pack to the wheels, and back [1].
    regeneration_kW : float, optional
        Highest regenerative power of a warm pack, at its terminals [kW].
    """

    mass_kg: float | None = None
    drag_area_m2: float | None = None
    rolling: float | None = None
    drive_efficiency: float | None = None
    regeneration_kW: float | None = None


@dataclass(frozen=True, slots=True)
class SignalSource:
    """Where a signal comes from.

    Parameters
    ----------
    path : str
        Concrete catalogue path.
    from_ : str
        ``Message.Signal`` of the database, or a column of a table.
    unit : str, optional
        Unit of the source's values; None: the database's or the catalogue's.
    sign : float
        Factor of +1 or -1 that turns the source's sign into the catalogue's [1].
    accuracy : Accuracy, optional
        Accuracy in the catalogue's unit.
    bus : str, optional
        Name of the bus, where a log has several.
    true_when : tuple of float or str
        For states: codes or labels that mean true; empty: anything that is not zero [1].
    line : int
        Line of the vehicle file that says so; 0 if unknown [1].
    """

    path: str
    from_: str
    unit: str | None = None
    sign: float = 1.0
    accuracy: Accuracy | None = None
    bus: str | None = None
    true_when: tuple[float | str, ...] = ()
    line: int = 0


@dataclass(frozen=True, slots=True)
class Vehicle:
    """All that the vehicle file says.

    Parameters
    ----------
    name : str
        The vehicle's name; recordings are gathered under it.
    pack : Pack
        The traction battery.
    drive_units, limits, charger, cabin, coolant, road : DriveUnits, Limits, Charger, Cabin, \
Coolant, Road
        The rest; every value in them may be None.
    signals : mapping of str to SignalSource
        Where each signal comes from, by concrete catalogue path.
    time_column : str, optional
        Name of the time column, for tables where it cannot be recognised.
    source : str
        The text of the file, kept with recordings.
    file : str
        The file's name, for messages.
    warnings : tuple of str
        What the reader noticed and went on with, in plain words.
    model : str, optional
        What vehicles that are built alike share; a fleet's vehicles learn from each other by it.
    """

    name: str
    pack: Pack
    drive_units: DriveUnits = field(default_factory=DriveUnits)
    limits: Limits = field(default_factory=Limits)
    charger: Charger = field(default_factory=Charger)
    cabin: Cabin = field(default_factory=Cabin)
    coolant: Coolant = field(default_factory=Coolant)
    road: Road = field(default_factory=Road)
    signals: Mapping[str, SignalSource] = field(default_factory=dict)
    time_column: str | None = None
    source: str = ""
    file: str = "vehicle file"
    warnings: tuple[str, ...] = ()
    model: str | None = None
