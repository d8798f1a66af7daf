"""The pack's resistance as it was learned: by temperature, by window, by morning."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ResistancePoint:
    """Resistance in one window or bin.

    Parameters
    ----------
    degC : float
        Mean temperature of the pack [degC].
    mOhm, plus_minus_mOhm : float
        Resistance and its standard uncertainty [mOhm].
    recording : int
        Which recording it comes from; -1 for several [1].
    """

    degC: float
    mOhm: float
    plus_minus_mOhm: float
    recording: int = -1


@dataclass(frozen=True, slots=True)
class MorningResistance:
    """Resistance of one recording, brought to the reference temperature.

    Parameters
    ----------
    recording_id : str
        The recording.
    starts_at : float
        Its first sample, since 1970-01-01 UTC [s].
    mOhm, plus_minus_mOhm : float
        Resistance at the reference and its standard uncertainty [mOhm].
    """

    recording_id: str
    starts_at: float
    mOhm: float
    plus_minus_mOhm: float


@dataclass(frozen=True, slots=True)
class ResistanceCurve:
    """The pack's resistance against its temperature.

    Parameters
    ----------
    reference_degC : float
        Temperature about which the recordings tell most [degC].
    mOhm, plus_minus_mOhm : float
        Resistance there and its standard uncertainty, sensors' errors included [mOhm].
    activation_kJ_per_mol, activation_plus_minus : float or None
        Arrhenius activation energy and its standard uncertainty; None where the recordings span
        too few kelvins to tell [kJ/mol].
    covariance : float
        Covariance of the logarithm of resistance and the energy [kJ/mol].
    by_steps_mOhm, by_steps_plus_minus : float or None
        Resistance at the reference from steps of the current alone [mOhm].
    table : tuple of ResistancePoint
        Resistance by bins of temperature.
    points : tuple of ResistancePoint
        The windows that it comes from.
    mornings : tuple of MorningResistance
        Each recording for itself.
    trend_pct_per_year, trend_plus_minus : float or None
        Change over time and its standard uncertainty; None where it cannot be told [percent].
    note : str
        What limits it, in plain words.
    """

    reference_degC: float
    mOhm: float
    plus_minus_mOhm: float
    activation_kJ_per_mol: float | None
    activation_plus_minus: float | None
    covariance: float
    by_steps_mOhm: float | None
    by_steps_plus_minus: float | None
    table: tuple[ResistancePoint, ...]
    points: tuple[ResistancePoint, ...]
    mornings: tuple[MorningResistance, ...]
    trend_pct_per_year: float | None
    trend_plus_minus: float | None
    note: str
