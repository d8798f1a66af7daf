r"""The force that a road and the air put against a car.

.. math:: F = m g C_{rr} \cos\theta + \tfrac12 \rho C_d A v^2 + m g \sin\theta + m a

References
----------
.. [1] T. D. Gillespie, Fundamentals of Vehicle Dynamics, SAE International, 1992: road loads
   (from memory; the equation is elementary mechanics).
.. [2] UN Global Technical Regulation 15 (WLTP), Annex 4: rolling resistance falls by 0.86 % per
   kelvin about 20 degC (from memory).
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


def rolling_at(rolling: ArrayLike, temperature_degC: ArrayLike) -> NDArray[np.float64]:
    r"""Carry a coefficient of rolling resistance from 25 degC to another temperature [2].

    .. math:: C(\vartheta) = C_{25} (1 + K_0 (25 - \vartheta))

    Stated for some 5 to 35 degC; below, the straight line is carried on. Tyres that have not
    run themselves warm resist more.

    Parameters
    ----------
    rolling : float or ndarray
        Coefficient at 25 degC [1].
    temperature_degC : float or ndarray
        Air about the tyres [degC].

    Returns
    -------
    ndarray
        Coefficient [1].
    """
    c = constants()
    below = c["rolling_reference_degC"] - np.asarray(temperature_degC, dtype=np.float64)
    return np.asarray(np.asarray(rolling, np.float64) * (1.0 + c["rolling_per_K"] * below))


def drag_work_J(
    drag_area_m2: ArrayLike,
    air_kg_per_m3: ArrayLike,
    from_m_per_s: ArrayLike,
    to_m_per_s: ArrayLike,
    seconds: ArrayLike,
) -> NDArray[np.float64]:
    r"""Find the work against the air while speed changes steadily, exactly.

    .. math:: W = \tfrac12 \rho C_d A \int v^3 dt
              = \tfrac12 \rho C_d A \tfrac{\Delta t}{4} (v_0 + v_1)(v_0^2 + v_1^2)

    Parameters
    ----------
    drag_area_m2 : float or ndarray
        Drag coefficient times frontal area [m2].
    air_kg_per_m3 : float or ndarray
        Density of the air [kg/m3].
    from_m_per_s, to_m_per_s : float or ndarray
        Speed at both ends, not negative [m/s].
    seconds : float or ndarray
        Time between them [s].

    Returns
    -------
    ndarray
        Work [J].
    """
    v, w = np.asarray(from_m_per_s, np.float64), np.asarray(to_m_per_s, np.float64)
    cubes = np.asarray(seconds, np.float64) / 4.0 * (v + w) * (v**2 + w**2)
    area, air = np.asarray(drag_area_m2, np.float64), np.asarray(air_kg_per_m3, np.float64)
    return np.asarray(0.5 * air * area * cubes)
