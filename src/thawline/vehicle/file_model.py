"""What a vehicle file looks like: its tables, keys and their types; private to this room."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

Text = Annotated[str, Field(min_length=1)]


class _Table(BaseModel):
    """A table of the file: types are taken as written, keys that it does not know are passed."""

    model_config = ConfigDict(strict=True, extra="ignore", frozen=True, str_strip_whitespace=True)


class VehicleTable(_Table):
    """``[vehicle]``."""

    name: Text
    model: Text | None = None


class PackTable(_Table):
    """``[pack]``."""

    usable_energy_kWh: float
    cells_in_series: int | None = None
    heat_capacity_kJ_per_K: float | None = None
    resistance_mOhm: float | None = None
    chemistry: Text | None = None
    heat_loss_W_per_K: float | None = None


class DriveUnitsTable(_Table):
    """``[drive_units]``."""

    count: int | None = None
    heat_capacity_kJ_per_K: float | None = None
    standstill_heat_kW: float | None = None


class LimitsTable(_Table):
    """``[limits]``."""

    charging_from_degC: float | None = None
    regeneration_from_degC: float | None = None


class ChargerTable(_Table):
    """``[charger]``."""

    rated_kW: float | None = None
    efficiency: float | None = None


class CabinTable(_Table):
    """``[cabin]``."""

    comfortable_from_degC: float | None = None


class CoolantTable(_Table):
    """``[coolant]``."""

    glycol_mass_fraction: float | None = None
    volume_l: float | None = None


class RoadTable(_Table):
    """``[road]``."""

    mass_kg: float | None = None
    drag_area_m2: float | None = None
    rolling: float | None = None
    drive_efficiency: float | None = None
    regeneration_kW: float | None = None


class TableTable(_Table):
    """``[table]``: how tables name their time."""

    time: Text | None = None


class SignalTable(_Table):
    """``[signals."PATH"]``."""

    from_: Text = Field(alias="from")
    unit: str | None = None
    sign: float = 1.0
    accuracy: str | None = None
    bus: Text | None = None
    true_when: float | str | list[float | str] | None = None


class FileModel(_Table):
    """All tables but the signals, which are read one by one."""

    vehicle: VehicleTable
    pack: PackTable
    drive_units: DriveUnitsTable = DriveUnitsTable()
    limits: LimitsTable = LimitsTable()
    charger: ChargerTable = ChargerTable()
    cabin: CabinTable = CabinTable()
    coolant: CoolantTable = CoolantTable()
    road: RoadTable = RoadTable()
    table: TableTable = TableTable()
