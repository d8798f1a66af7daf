r"""The force that a road and the air put against a car.

.. math:: F = m g C_{rr} \cos\theta + \tfrac12 \rho C_d A v^2 + m g \sin\theta + m a

References
----------
.. [1] T. D. Gillespie, Fundamentals of Vehicle Dynamics, SAE International, 1992: road loads
   (from memory; the equation is elementary mechanics).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from thawline.physics.constants import constants


def road_load_N(
    speed_km_per_h: ArrayLike,
    mass_kg: ArrayLike,
    rolling: ArrayLike,
    drag_area_m2: ArrayLike,
    air_kg_per_m3: ArrayLike = 1.225,
    slope_rad: ArrayLike = 0.0,
    acceleration_m_per_s2: ArrayLike = 0.0,
) -> NDArray[np.float64]:
    """Find the force at the wheels.

    Parameters
    ----------
    speed_km_per_h : float or ndarray
        Speed against still air [km/h].
    mass_kg : float or ndarray
        Mass of the car [kg].
    rolling : float or ndarray
        Coefficient of rolling resistance; none acts on a standing car [1].
    drag_area_m2 : float or ndarray
        Drag coefficient times frontal area [m2].
    air_kg_per_m3 : float or ndarray
        Density of the air [kg/m3].
    slope_rad : float or ndarray
        Angle of the road, positive uphill [rad].
    acceleration_m_per_s2 : float or ndarray
        Acceleration [m/s2].

    Returns
    -------
    ndarray
        Force against the motion, negative where the car must be braked [N].
    """
    v = np.asarray(speed_km_per_h, dtype=np.float64) / 3.6
    mass = np.asarray(mass_kg, dtype=np.float64)
    slope = np.asarray(slope_rad, dtype=np.float64)
    weight = mass * constants()["gravity"]
    roll = weight * np.asarray(rolling, dtype=np.float64) * np.cos(slope) * np.sign(v)
    area, air = np.asarray(drag_area_m2, np.float64), np.asarray(air_kg_per_m3, np.float64)
    drag = 0.5 * air * area * v * np.abs(v)
    inertia = mass * np.asarray(acceleration_m_per_s2, dtype=np.float64)
    return np.asarray(roll + drag + weight * np.sin(slope) + inertia)


def road_power_kW(force_N: ArrayLike, speed_km_per_h: ArrayLike) -> NDArray[np.float64]:
    """Find the power at the wheels.

    Parameters
    ----------
    force_N : float or ndarray
        Force against the motion [N].
    speed_km_per_h : float or ndarray
        Speed [km/h].

    Returns
    -------
    ndarray
        Power, negative where it could be regenerated [kW].
    """
    v = np.asarray(speed_km_per_h, dtype=np.float64) / 3.6
    return np.asarray(np.asarray(force_N, dtype=np.float64) * v / 1e3)
