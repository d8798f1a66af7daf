"""What an alternating-current supply offers by its control pilot.

References
----------
.. [1] IEC 61851-1, Annex A; SAE J1772. The offer is a ceiling, not the current drawn.
.. [2] NFPA 70, article 625: charging is a continuous load. The local code decides.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from thawline.physics.constants import constants


def offered_current_A(duty_pct: ArrayLike) -> NDArray[np.float64]:
    """Read the current that a duty cycle offers.

    Parameters
    ----------
    duty_pct : float or ndarray
        Duty cycle of the pilot, 0 to 100 [percent].

    Returns
    -------
    ndarray
        Current offered per phase [A]: 0 where none is offered, NaN from 3 to 7 %, where the
        offer is made by digital communication.
    """
    c = constants()
    duty = np.asarray(duty_pct, dtype=np.float64)
    offer = np.select(
        [
            np.isnan(duty),
            duty < c["pilot_no_offer_below_percent"],
            duty <= c["pilot_digital_to_percent"],
            duty < c["pilot_six_ampere_from_percent"],
            duty <= c["pilot_low_slope_from_percent"],
            duty <= c["pilot_low_slope_to_percent"],
            duty <= c["pilot_high_slope_to_percent"],
            duty <= c["pilot_offer_to_percent"],
        ],
        [
            np.nan,
            0.0,
            np.nan,
            0.0,
            c["pilot_lowest_current"],
            c["pilot_low_slope"] * duty,
            c["pilot_high_slope"] * (duty - c["pilot_high_offset_percent"]),
            c["pilot_highest_current"],
        ],
        default=0.0,
    )
    return np.asarray(offer, dtype=np.float64)


def duty_cycle_pct(current_A: ArrayLike) -> NDArray[np.float64]:
    """Find the duty cycle that offers a current, or the most that stays below it.

    Parameters
    ----------
    current_A : float or ndarray
        Current per phase, 6 to 80 [A].

    Returns
    -------
    ndarray
        Duty cycle; NaN outside the range of offers [percent].
    """
    c = constants()
    amps = np.asarray(current_A, dtype=np.float64)
    low = np.minimum(amps / c["pilot_low_slope"], c["pilot_low_slope_to_percent"])
    high = amps / c["pilot_high_slope"] + c["pilot_high_offset_percent"]
    duty = np.where(high > c["pilot_low_slope_to_percent"], high, low)
    outside = (amps < c["pilot_lowest_current"]) | (amps > c["pilot_highest_current"])
    return np.asarray(np.where(outside, np.nan, duty), dtype=np.float64)


def branch_circuit_A(charging_A: ArrayLike) -> NDArray[np.float64]:
    """Find the rating of the circuit that a charging current needs, by [2]_ of this file.

    Parameters
    ----------
    charging_A : float or ndarray
        Charging current, drawn for hours [A].

    Returns
    -------
    ndarray
        Smallest rating of the branch circuit; the local code decides [A].
    """
    factor = constants()["continuous_load_factor"]
    return np.asarray(np.asarray(charging_A, dtype=np.float64) * factor)
