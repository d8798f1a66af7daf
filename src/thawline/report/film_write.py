"""Put a film's frames into a file, with their opacity where it is asked for.

H.264 in MP4 carries no opacity. VP9 in WebM does (a second picture beside the first, pixel
format yuva420p), and so does ProRes 4444 in MOV (yuva444p10le), which editing programs read.
"""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from pathlib import Path

import imageio_ffmpeg
import numpy as np

from thawline.errors import RequestError
from thawline.report.film_frames import Film

#: Ways to code a film, by suffix and by whether it carries opacity: codec, pixels, options.
CODINGS: dict[tuple[str, bool], tuple[str, str, list[str]]] = {
    (".mp4", False): ("libx264", "yuv420p", ["-crf", "20", "-preset", "veryfast",
                                             "-movflags", "+faststart"]),
    (".mov", False): ("libx264", "yuv420p", ["-crf", "20", "-preset", "veryfast"]),
    (".webm", False): ("libvpx-vp9", "yuv420p", ["-crf", "32", "-b:v", "0", "-row-mt", "1",
                                                 "-deadline", "realtime", "-cpu-used", "6"]),
    (".webm", True): ("libvpx-vp9", "yuva420p", ["-crf", "32", "-b:v", "0", "-row-mt", "1",
                                                 "-deadline", "realtime", "-cpu-used", "6",
                                                 "-auto-alt-ref", "0"]),
    (".mov", True): ("prores_ks", "yuva444p10le", ["-profile:v", "4444", "-alpha_bits", "16"]),
}  # fmt: skip

Progress = Callable[[int, int], None]


def check_coding(path: Path, transparent: bool) -> None:
    """Check that a file of that name can hold the film.

    Parameters
    ----------
    path : Path
        The file.
    transparent : bool
        Whether it must carry opacity.

    Raises
    ------
    RequestError
        If it cannot.
    """
    suffix = path.suffix.lower()
    if (suffix, transparent) in CODINGS:
        return
    fit = ", ".join(sorted(known for known, alpha in CODINGS if alpha == transparent))
    if transparent and (suffix, False) in CODINGS:
        raise RequestError(
            f"a film in {suffix} carries no opacity", file=path,
            cure=f"for a transparent film, end its name in one of {fit}",
        )  # fmt: skip
    raise RequestError(
        f"no film can be written with the ending {suffix!r}", file=path,
        cure=f"end its name in one of {fit}",
    )  # fmt: skip


def write_film(
    film: Film, path: Path, fps: float, transparent: bool, progress: Progress | None = None
) -> None:
    """Write all frames of a film.

    Parameters
    ----------
    film : Film
        The film.
    path : Path
        Where to; its suffix says how.
    fps : float
        Frames in a second [1/s].
    transparent : bool
        Whether opacity is kept.
    progress : callable, optional
        Called with the frames done and the frames in all.

    Raises
    ------
    RequestError
        If the film cannot be written.
    """
    check_coding(path, transparent)
    codec, pixels, options = CODINGS[path.suffix.lower(), transparent]
    command = [
        imageio_ffmpeg.get_ffmpeg_exe(), "-hide_banner", "-loglevel", "error", "-y",
        "-f", "rawvideo", "-pix_fmt", "rgba", "-s", f"{film.width}x{film.height}",
        "-r", f"{fps:g}", "-i", "pipe:0", "-an", "-c:v", codec, "-pix_fmt", pixels, *options,
        str(path.resolve()),
    ]  # fmt: skip
    with subprocess.Popen(command, stdin=subprocess.PIPE, stderr=subprocess.PIPE) as coder:
        assert coder.stdin is not None and coder.stderr is not None
        try:
            total = film.count(fps)
            for done, frame in enumerate(film.frames(fps), start=1):
                coder.stdin.write(np.ascontiguousarray(frame).data)
                if progress is not None:
                    progress(done, total)
            coder.stdin.close()
        except BrokenPipeError:
            pass  # the coder is gone; what it said is told below
        except BaseException:
            coder.kill()
            raise
        said = coder.stderr.read().decode("utf-8", "replace")
    if coder.returncode:
        raise RequestError(
            f"the film cannot be written: {' '.join(said.split())[-200:]}", file=path,
            cure="see whether the disk is full",
        )  # fmt: skip
