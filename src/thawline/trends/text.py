"""Trends for a terminal."""

from __future__ import annotations

import textwrap

from thawline.trends.trends import Trends

#: Width of the page [columns].
WIDTH = 98
METHOD = (
    "Robust regression on the date and on what the car could not choose: the temperatures, what "
    "the supply gave and the charge at the start (Lange, Little and Taylor, J. Am. Stat. Assoc. 84 "
    "(1989) 881). What a few mornings cannot tell of the weather is in the uncertainty. ± is one "
    "standard deviation."
)


def trends_text(trends: Trends) -> str:
    """Set trends for a terminal.

    Parameters
    ----------
    trends : Trends
        The trends.

    Returns
    -------
    str
        Lines of at most a hundred columns.
    """
    count = f"{trends.mornings} recording{'' if trends.mornings == 1 else 's'}"
    lines = [f"{trends.vehicle}: is it still the car it was?", f"From {count}.", "=" * WIDTH]
    if changed := [one for one in trends.trends if one.is_change]:
        lines += textwrap.wrap(f"Changed: {', '.join(one.title for one in changed)}.", WIDTH)
    elif any(one.change is not None for one in trends.trends):
        lines.append("No change that the scatter could not make, in anything that was followed.")
    else:
        lines.append("Too few recordings, or too close together, to tell a change.")
    for one in trends.trends:
        lines += ["", one.title[0].upper() + one.title[1:]]
        lines += textwrap.wrap(one.sentence, WIDTH, initial_indent="  ", subsequent_indent="  ")
    if trends.not_told:
        lines += ["", *textwrap.wrap(f"Not told: {', '.join(trends.not_told)}.", WIDTH)]
    return "\n".join([*lines, "", *textwrap.wrap(METHOD, WIDTH)])
