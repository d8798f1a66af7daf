"""What the pack allows by temperature and charge, and what the display shows."""

from __future__ import annotations

from dataclasses import dataclass

#: Coldest cell between which the discharge limit rises [degC], and the state of charge below
#: which it is taken back [1].
COLD_DEGC, WARM_DEGC, EMPTY_FROM = -20.0, 10.0, 0.1


@dataclass(frozen=True)
class Limits:
    """Where limits leave zero, and how they rise.

    Parameters
    ----------
    charging_from_degC, regeneration_from_degC : float
        Coldest cell at which each limit leaves zero [degC].
    charging_first_kW, regeneration_first_kW : float
        Trickle that is allowed at once [kW].
    charging_kW_per_K, regeneration_kW_per_K : float
        How each rises with the coldest cell [kW/K].
    charging_most_kW, regeneration_most_kW : float
        Where each ends [kW].
    discharge_most_kW : float
        Largest discharging power of a warm pack [kW].
    discharge_cold_share : float
        Share of it that is left at −20 °C; all is there from +10 °C [1].
    full_from : float
        State of charge from which charging and regeneration are taken back [1].
    """

    charging_from_degC: float = 0.3
    regeneration_from_degC: float = -1.0
    charging_first_kW: float = 0.6
    regeneration_first_kW: float = 0.4
    charging_kW_per_K: float = 4.0
    regeneration_kW_per_K: float = 2.6
    charging_most_kW: float = 120.0
    regeneration_most_kW: float = 70.0
    discharge_most_kW: float = 180.0
    discharge_cold_share: float = 0.4
    full_from: float = 0.92

    def _taken_back(self, charge: float) -> float:
        return min(1.0, max(0.0, (1.0 - charge) / (1.0 - self.full_from)))

    def charging_kW(self, coldest_degC: float, charge: float) -> float:
        """Find the charging power that is allowed.

        Parameters
        ----------
        coldest_degC : float
            Coldest cell [degC].
        charge : float
            State of charge, 0 to 1 [1].

        Returns
        -------
        float
            Power [kW].
        """
        above = coldest_degC - self.charging_from_degC
        if above <= 0.0:
            return 0.0
        rising = self.charging_first_kW + self.charging_kW_per_K * above
        return min(rising, self.charging_most_kW * self._taken_back(charge))

    def regeneration_kW(self, coldest_degC: float, charge: float) -> float:
        """Find the regenerative power that is allowed.

        Parameters
        ----------
        coldest_degC : float
            Coldest cell [degC].
        charge : float
            State of charge, 0 to 1 [1].

        Returns
        -------
        float
            Power [kW].
        """
        above = coldest_degC - self.regeneration_from_degC
        if above <= 0.0:
            return 0.0
        rising = self.regeneration_first_kW + self.regeneration_kW_per_K * above
        return min(rising, self.regeneration_most_kW * self._taken_back(charge))

    def discharge_kW(self, coldest_degC: float, charge: float) -> float:
        """Find the discharging power that is allowed.

        Parameters
        ----------
        coldest_degC : float
            Coldest cell [degC].
        charge : float
            State of charge, 0 to 1 [1].

        Returns
        -------
        float
            Power [kW].
        """
        span = WARM_DEGC - COLD_DEGC
        warm = min(1.0, max(0.0, (coldest_degC - COLD_DEGC) / span))
        share = self.discharge_cold_share + (1.0 - self.discharge_cold_share) * warm
        return self.discharge_most_kW * share * min(1.0, max(0.0, charge / EMPTY_FROM))


@dataclass(frozen=True)
class Display:
    """How the display hides what the cold makes unavailable.

    Parameters
    ----------
    hidden_pct_per_K : float
        Points of charge hidden per Kelvin [percent/K].
    none_from_degC : float
        Mean pack temperature from which nothing is hidden [degC].
    step_pct : float
        Step of the display [percent].
    """

    hidden_pct_per_K: float = 0.32
    none_from_degC: float = 6.0
    step_pct: float = 0.5

    def hidden_pct(self, mean_degC: float) -> float:
        """Find what the cold hides.

        Parameters
        ----------
        mean_degC : float
            Mean pack temperature [degC].

        Returns
        -------
        float
            Points of charge [percent].
        """
        return self.hidden_pct_per_K * max(0.0, self.none_from_degC - mean_degC)
