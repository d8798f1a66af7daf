"""``thawline film``: the morning in a minute or two."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from thawline.cli.counting import counting
from thawline.cli.options import Library
from thawline.cli.speak import say
from thawline.errors import RequestError

if TYPE_CHECKING:
    from thawline.report.film_frames import Film

#: Frames smaller or larger than this are of no use to anyone [px].
LEAST, MOST = 64, 4096
#: A film must be at least so long, and at most [s].
SHORTEST_S, LONGEST_S = 1.0, 3600.0
#: Frames in a second, at most [1/s].
MOST_FPS = 120.0
#: A still is taken so long after its turning point, when the caption stands [s].
STILL_AFTER_S = 0.1


def film(
    recording: Annotated[str, typer.Argument(help="A recording's name or the beginning of it.")],
    out: Annotated[Path, typer.Argument(help="Where to: .mp4, .mov or .webm.")],
    seconds: Annotated[float, typer.Option("--seconds", help="Length of the film.")] = 90.0,
    size: Annotated[
        str, typer.Option("--size", help="Width and height of a frame in pixels.")
    ] = "1920x1080",
    portrait: Annotated[
        bool, typer.Option("--portrait", help="Turn the frame upright, 9 to 16.")
    ] = False,
    fps: Annotated[float, typer.Option("--fps", help="Frames in a second.")] = 30.0,
    stills: Annotated[
        Path | None, typer.Option("--stills", help="Also a PNG at each turning point, in there.")
    ] = None,
    transparent: Annotated[
        bool,
        typer.Option("--transparent", help="To lay over your own footage; .webm or .mov."),
    ] = False,
    library: Library = None,
) -> None:
    """Film a morning: quick through the waiting, slow around each turning point."""
    width, height = _size(size, portrait)
    if not SHORTEST_S <= seconds <= LONGEST_S:
        raise RequestError(
            f"--seconds (={seconds:g}) must be in [{SHORTEST_S:g}, {LONGEST_S:g}]",
            cure="for instance --seconds 90",
        )
    if not 1.0 <= fps <= MOST_FPS:
        raise RequestError(f"--fps (={fps:g}) must be in [1, {MOST_FPS:g}]", cure="such as 30")
    # imported here: help stays quick, and the extra need not be installed
    try:
        from thawline.report.film_frames import make_film
        from thawline.report.film_write import check_coding, write_film
    except ModuleNotFoundError as error:
        if (error.name or "").split(".")[0] not in ("matplotlib", "imageio_ffmpeg"):
            raise
        raise RequestError(
            f"films need the extra `film`, of which {error.name} is not installed",
            cure="install it: python -m pip install 'thawline[film]'",
        ) from error
    from thawline.export.whole import written_whole
    from thawline.library.library import open_library
    from thawline.walk import explain_kept

    check_coding(out, transparent)
    explained = explain_kept(open_library(library), recording)
    made = make_film(explained, width, height, seconds, transparent)
    with written_whole(out) as place, counting("frames") as progress:
        write_film(made, place, fps, transparent, progress)
    say(f"film: {out.resolve()}")
    if stills is not None:
        points = explained.story.turning_points
        _stills(made, stills, [(point.kind, point.t_s) for point in points])


def _size(text: str, portrait: bool) -> tuple[int, int]:
    found = re.fullmatch(r"(\d{1,5})\s*[x×]\s*(\d{1,5})", text.strip())
    if found is None:
        raise RequestError(f"--size (={text!r}) is no size", cure="for instance 1920x1080")
    width, height = int(found[1]), int(found[2])
    if not all(LEAST <= side <= MOST and side % 2 == 0 for side in (width, height)):
        raise RequestError(
            f"both sides of --size (={text}) must be even and in [{LEAST}, {MOST}] px",
            cure="for instance 1920x1080",
        )
    long, short = max(width, height), min(width, height)
    return (short, long) if portrait else (width, height)


def _stills(made: Film, folder: Path, points: list[tuple[str, float]]) -> None:
    from matplotlib.image import imsave

    try:
        folder.mkdir(parents=True, exist_ok=True)
        for index, (kind, t_s) in enumerate(points, start=1):
            at_s = min(made.clocks.film(t_s) + STILL_AFTER_S, made.seconds)
            imsave(folder / f"{index:02d}_{kind}.png", made.frame(at_s))
    except OSError as error:
        raise RequestError(
            f"the stills cannot be written to {folder}: {error.strerror}",
            cure="choose another place for --stills",
        ) from error
    say(f"stills: {len(points)} in {folder.resolve()}")
