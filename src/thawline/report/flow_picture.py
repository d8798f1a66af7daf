"""An account as a picture: bands as wide as the energies that flow through them."""

from __future__ import annotations

from dataclasses import dataclass

from thawline.report.accounts import Row
from thawline.report.lines import spread

#: Height that the larger side of an account takes [px].
TALL = 190.0
#: Least distance between the middles of two labels of two lines each [px].
BETWEEN_LABELS = 36.0
#: Room above and below, and between the bands at the ends [px].
MARGIN, SPLIT = 24.0, 10.0
#: Bands thinner than this are drawn this thick, so that they can be seen [px].
HAIR = 1.0
#: Parts below this share of the largest are too small to be drawn [1].
UNSEEN_SHARE = 0.001
#: A side that falls short by less than this share of the account is not drawn as open [1].
OPEN_SHARE = 0.004


@dataclass(frozen=True, slots=True)
class Band:
    """One band between an end and the trunk.

    Parameters
    ----------
    title, short, value : str
        Its label in two lines, the first in a short form too.
    colour : str
        Name in the palette.
    is_hatched, is_open : bool
        Whether it is what is unaccounted, or what cannot be told.
    path : str
        Outline, as SVG writes it.
    leader : str
        Line from the band's end to its label.
    label_x, label_y : float
        Where the label stands [px].
    anchor : str
        ``end`` for labels on the left, ``start`` on the right.
    """

    title: str
    short: str
    value: str
    colour: str
    is_hatched: bool
    is_open: bool
    path: str
    leader: str
    label_x: float
    label_y: float
    anchor: str


@dataclass(frozen=True, slots=True)
class Picture:
    """A flow picture, ready to be written as SVG.

    Parameters
    ----------
    width, height : float
        Its size [px].
    bands : tuple of Band
        The bands on both sides.
    trunk : tuple of float
        Left, top, width and height of the trunk in which the bands meet [px].
    within : tuple of float or None
        The same of the transfer inside the account [px].
    within_label : str
        Its label.
    spoken : str
        The picture in words.
    """

    width: float
    height: float
    bands: tuple[Band, ...]
    trunk: tuple[float, float, float, float]
    within: tuple[float, float, float, float] | None
    within_label: str
    spoken: str


@dataclass(frozen=True, slots=True)
class _Part:
    title: str
    short: str
    value: str
    colour: str
    kWh: float
    is_hatched: bool = False
    is_open: bool = False


def _sides(rows: list[Row]) -> tuple[list[_Part], list[_Part]]:
    """Sort the lines to the two sides; what is negative changes sides."""
    gives: list[_Part] = []
    takes: list[_Part] = []
    for row in rows:
        if row.kWh is None or row.side == "within" or row.kWh == 0.0:
            continue
        hatched = row.side == "rest"
        is_giver = (row.side == "in") == (row.kWh > 0.0)
        part = _Part(row.title, row.short, row.value, row.colour, abs(row.kWh), hatched)
        (gives if is_giver else takes).append(part)
    least = UNSEEN_SHARE * max((part.kWh for part in gives + takes), default=0.0)
    gives, takes = (
        [part for part in side if part.kWh >= least and part.kWh > 0.0] for side in (gives, takes)
    )
    given, taken = sum(p.kWh for p in gives), sum(p.kWh for p in takes)
    lacking = abs(given - taken)
    if lacking > OPEN_SHARE * max(given, taken, 1e-12):
        part = _Part(
            "cannot be told", "not told", f"about {lacking:.2g}", "grey", lacking, is_open=True
        )
        (takes if given > taken else gives).append(part)
    return gives, takes


def _ribbon(x0: float, y0: float, x1: float, y1: float, thick: float) -> str:
    middle = (x0 + x1) / 2.0
    return (
        f"M{x0:.1f},{y0:.1f} C{middle:.1f},{y0:.1f} {middle:.1f},{y1:.1f} {x1:.1f},{y1:.1f} "
        f"L{x1:.1f},{y1 + thick:.1f} C{middle:.1f},{y1 + thick:.1f} {middle:.1f},"
        f"{y0 + thick:.1f} {x0:.1f},{y0 + thick:.1f} Z"
    )


def _bands(
    parts: list[_Part], scale: float, height: float, trunk: tuple[float, float], on_left: bool,
    width: float, label_room: float,
) -> list[Band]:  # fmt: skip
    """Lay the bands of one side from their ends to the trunk."""
    trunk_x, trunk_top = trunk
    thick = [max(part.kWh * scale, HAIR) for part in parts]
    tall = sum(thick) + SPLIT * (len(parts) - 1)
    end_x = label_room if on_left else width - label_room
    y, at_trunk, tops = (height - tall) / 2.0, trunk_top, []
    for one in thick:
        tops.append((y, at_trunk))
        y, at_trunk = y + one + SPLIT, at_trunk + one
    middles = [top + one / 2.0 for (top, _), one in zip(tops, thick, strict=True)]
    places = spread(middles, BETWEEN_LABELS, MARGIN - 4.0, height - MARGIN + 4.0)
    bands = []
    for part, one, (top, joint), middle, place in zip(
        parts, thick, tops, middles, places, strict=True
    ):
        ends = (end_x, top, trunk_x, joint) if on_left else (trunk_x, joint, end_x, top)
        out = -1.0 if on_left else 1.0
        bands.append(
            Band(
                title=part.title,
                short=part.short,
                value=part.value,
                colour=part.colour,
                is_hatched=part.is_hatched,
                is_open=part.is_open,
                path=_ribbon(*ends, one),
                leader=f"M{end_x + out * 2:.1f},{middle:.1f} L{end_x + out * 9:.1f},{place:.1f}",
                label_x=end_x + out * 12.0,
                label_y=place,
                anchor="end" if on_left else "start",
            )
        )
    return bands


def flow_picture(
    rows: list[Row], width: float, label_room: float, unit: str = "kWh"
) -> Picture | None:
    """Draw an account.

    Parameters
    ----------
    rows : list of Row
        Its lines.
    width : float
        Width of the picture [px].
    label_room : float
        Room for labels on each side [px].
    unit : str
        What the energies of the lines are in.

    Returns
    -------
    Picture or None
        The picture; None where no line has an energy.
    """
    gives, takes = _sides(rows)
    if not gives or not takes:
        return None
    total = max(sum(part.kWh for part in gives), sum(part.kWh for part in takes))
    scale = TALL / total
    most = max(len(gives), len(takes))
    height = max(TALL + SPLIT * (most - 1) + 2 * MARGIN, BETWEEN_LABELS * most + MARGIN)
    trunk_width = max(0.12 * (width - 2 * label_room), 14.0)
    left, top = (width - trunk_width) / 2.0, (height - TALL) / 2.0
    bands = (
        *_bands(gives, scale, height, (left, top), True, width, label_room),
        *_bands(takes, scale, height, (left + trunk_width, top), False, width, label_room),
    )
    inner = next((r for r in rows if r.side == "within" and r.kWh is not None and r.kWh > 0), None)
    within = None
    if inner is not None and inner.kWh is not None:
        tall = min(inner.kWh * scale, TALL)
        within = (left + trunk_width * 0.3, top + TALL - tall, trunk_width * 0.4, tall)
    words = [f"{part.title} {part.value} {unit}" for part in gives]
    goes = [f"{part.title} {part.value} {unit}" for part in takes]
    spoken = f"From {', '.join(words)}; to {', '.join(goes)}."
    label = f"{inner.title}: {inner.value} {unit}" if inner is not None else ""
    return Picture(width, height, bands, (left, top, trunk_width, TALL), within, label, spoken)
