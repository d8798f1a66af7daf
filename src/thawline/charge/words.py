"""The split of the display's gain, in plain words."""

from __future__ import annotations

from thawline.charge.charge import Gain
from thawline.charge.settings import setting

#: Less than this is said to be nothing [percent].
LEAST_PCT = 0.05


def points(number: float) -> str:
    """Write points of charge without a sign.

    Parameters
    ----------
    number : float
        Points of charge [percent].

    Returns
    -------
    str
        For instance ``4 points`` or ``0.3 points``.
    """
    size = round(abs(number), 1)
    text = f"{size:.0f}" if size == round(size) else f"{size:.1f}"
    return f"{text} point" if text == "1" else f"{text} points"


def _were(number: float) -> str:
    return f"{points(number)} {'was' if points(number) == '1 point' else 'were'}"


def _shown(gain: float) -> str:
    if abs(gain) < LEAST_PCT:
        return "The display did not move"
    return f"The display {'rose' if gain > 0.0 else 'fell'} by {points(gain)}"


def _charged(gain: float) -> str:
    if abs(gain) < LEAST_PCT:
        return "nothing was charged"
    return f"{_were(gain)} {'charged' if gain > 0.0 else 'drawn from the pack'}"


def _warmed(gain: Gain) -> str:
    assert gain.pct is not None  # the caller has seen to it
    if abs(gain.pct) < LEAST_PCT:
        return "nothing came back by warming"
    if gain.plus_minus_pct is not None and abs(gain.pct) < gain.plus_minus_pct:
        return (
            "what came back by warming is too small to tell "
            f"({gain.pct:+.1f} ± {gain.plus_minus_pct:.1f} points)".replace("(-", "(−")
        )
    unsure = gain.plus_minus_pct or 0.0
    tail = f" (± {unsure:.1f}: cannot be told to 0.3)" if unsure > setting("tells_pct") else ""
    if gain.pct > 0.0:
        return f"{points(gain.pct)} came back by warming alone{tail}"
    return f"{points(gain.pct)} went into hiding by cooling alone{tail}"


def sentence(shown: Gain, charged: Gain, warmed_back: Gain) -> str:
    """Say what the display gained and why.

    Parameters
    ----------
    shown, charged, warmed_back : Gain
        The split.

    Returns
    -------
    str
        One sentence; what cannot be told is said to be so.
    """
    if shown.pct is None and charged.pct is None:
        return "Neither the displayed charge nor the pack's current is recorded."
    if shown.pct is None:
        assert charged.pct is not None  # the line above has seen to it
        text = _charged(charged.pct)
        return f"What the display showed is not recorded; {text}."
    if charged.pct is None or warmed_back.pct is None:
        return f"{_shown(shown.pct)}; how much of it was charged cannot be told."
    return f"{_shown(shown.pct)}; {_charged(charged.pct)}; {_warmed(warmed_back)}."
