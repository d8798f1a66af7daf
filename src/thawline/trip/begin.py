"""How a trip begins: how cold it is, and how warm the car."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from thawline.errors import RequestError

Array = NDArray[np.float64]
Given = float | Array
#: What a person can mean [degC].
COLDEST, HOTTEST = -60.0, 70.0


@dataclass(frozen=True, slots=True)
class Begin:
    """How a trip begins; each a number, or one for each member.

    Parameters
    ----------
    outside_degC : float or ndarray of float64, shape (k,)
        Air outside [degC].
    pack_degC : float or ndarray of float64, shape (k,)
        Mean of the pack [degC].
    coldest_degC : float or ndarray of float64, shape (k,), optional
        Coldest cell; as the mean if it is not given [degC].
    cabin_degC : float or ndarray of float64, shape (k,), optional
        Cabin air and what is in it; as outside if it is not given [degC].
    cabin_wish_degC : float, optional
        What the cabin is heated to on the road; None: its heating is off [degC].
    """

    outside_degC: Given
    pack_degC: Given
    coldest_degC: Given | None = None
    cabin_degC: Given | None = None
    cabin_wish_degC: float | None = None


def check_begin(begin: Begin, members: int) -> None:
    """See that a beginning can be.

    Parameters
    ----------
    begin : Begin
        How the trip begins.
    members : int
        Cars that it is computed for [1].

    Raises
    ------
    RequestError
        If a temperature is none, or there are more or fewer of them than members.
    """
    for each in fields(begin):
        given = getattr(begin, each.name)
        if given is None:
            continue
        values = np.asarray(given, dtype=np.float64)
        bad = values[~((values >= COLDEST) & (values <= HOTTEST))]
        if bad.size:
            what = f"{each.name} (={bad.flat[0]:g}) must be in [{COLDEST:g}, {HOTTEST:g}] degC"
            raise RequestError(what, cure="give degrees Celsius")
        if values.ndim and values.shape != (members,):
            what = f"{each.name} has the shape {values.shape}, and the trip {members} members"
            raise RequestError(what, cure="give one number, or one for each member")
