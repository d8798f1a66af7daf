"""What is asked for: wishes, supply, weather, prices."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, tzinfo

from thawline.physics.constants import constants
from thawline.plan.by_time import ByTime, constant
from thawline.plan.settings import setting


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the car shall be like at each leaving time; None: no matter.

    Parameters
    ----------
    leave_s : tuple of float
        Leaving times, rising, since 1970-01-01 UTC: ready at each [s].
    charge_pct : float or None
        Least state of charge [percent].
    regeneration_kW : float or None
        Least regenerative power [kW].
    cabin_degC : float or None
        Least cabin temperature [degC].
    clear_glass : bool
        Whether the glass inside must be warmer than the dew point of the cabin's air.
    humidity_pct : float
        Relative humidity of the cabin's air at its wished temperature [percent].
    """

    leave_s: tuple[float, ...]
    charge_pct: float | None = None
    regeneration_kW: float | None = None
    cabin_degC: float | None = None
    clear_glass: bool = False
    humidity_pct: float = field(default_factory=lambda: setting("humidity_pct"))

    @property
    def wants_cabin(self) -> bool:
        """Whether the cabin must be heated for any wish."""
        return self.cabin_degC is not None or self.clear_glass


@dataclass(frozen=True, slots=True)
class Supply:
    """What the car is plugged into.

    Parameters
    ----------
    volts : float
        Voltage of a phase [V].
    amps : float
        Current offered per phase [A].
    phases : int
        Phases [1].
    breaker_A : float or None
        Rating of the branch circuit; None: the usual one for the current [A].
    """

    volts: float
    amps: float
    phases: int = 1
    breaker_A: float | None = None

    @property
    def allowed_A(self) -> float:
        """Current that the continuous-load rule leaves of what is offered [A]."""
        if self.breaker_A is None:
            return self.amps
        return min(self.amps, self.breaker_A / constants()["continuous_load_factor"])

    @property
    def power_kW(self) -> float:
        """Power at that current [kW]."""
        return self.phases * self.volts * self.allowed_A / 1e3

    @property
    def rule(self) -> str:
        """The continuous-load rule for this supply, in plain words."""
        factor = constants()["continuous_load_factor"]
        text = (
            f"A charging load is continuous: {self.allowed_A:g} A need a branch circuit of at "
            f"least {factor * self.allowed_A:g} A (load at most {100.0 / factor:.0f} % of the "
            "breaker, NFPA 70 article 625); the local code decides."
        )
        if self.allowed_A < self.amps:
            return (
                f"The supply offers {self.amps:g} A, but a branch circuit of {self.breaker_A:g} A "
                f"carries {self.allowed_A:g} A for hours; the plan uses that. " + text
            )
        return text


@dataclass(frozen=True, slots=True)
class Asked:
    """All that a plan is made for.

    Parameters
    ----------
    now_s : float
        When the plan may begin, since 1970-01-01 UTC [s].
    wishes : Wishes
        What is wanted.
    supply : Supply
        What the car is plugged into.
    outside : ByTime
        Air outside [degC].
    price : ByTime
        Price of energy from the supply [currency/kWh].
    currency : str
        Its currency.
    carbon : ByTime or None
        Carbon dioxide of the supply; None: not told [g/kWh].
    carbon_price : float
        What a kilogram of it counts in the choice [currency/kg].
    charge_now_pct : float or None
        State of charge now; None: as the last recording ended [percent].
    pack_degC : float or None
        Pack now; None: soaked in the air outside [degC].
    chance : float
        With which probability all wishes shall be met [1].
    pack_may_help : bool
        Whether the pack may feed heating that the supply cannot.
    heat_to_degC : float or None
        Coldest cell to heat to, where the car lets one choose; None: the car's own [degC].
    garage_degC : float or None
        Air of a garage, for an alternative [degC].
    zone : tzinfo
        For times that are shown.
    """

    now_s: float
    wishes: Wishes
    supply: Supply
    outside: ByTime
    price: ByTime = field(default_factory=lambda: constant(0.0))
    currency: str = ""
    carbon: ByTime | None = None
    carbon_price: float = 0.0
    charge_now_pct: float | None = None
    pack_degC: float | None = None
    chance: float = 0.9
    pack_may_help: bool = True
    heat_to_degC: float | None = None
    garage_degC: float | None = None
    zone: tzinfo = UTC
