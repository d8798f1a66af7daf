"""`thawline film` as a person runs it."""

import struct
import sys

import pytest

from tests.cli.running import thawline
from thawline.cli.film import film
from thawline.errors import RequestError
from thawline.library.library import open_library


@pytest.fixture(scope="module")
def library(tmp_path_factory):
    from thawline.simulator.demo import make
    from thawline.walk import add

    folder = tmp_path_factory.mktemp("film")
    first = make(folder / "logs")[0]
    add([first.log], [first.database], first.vehicle_file, open_library(folder / "library"))
    return folder / "library"


def test_a_morning_becomes_a_film_and_stills(library, tmp_path):
    """The file is there, a still for each turning point with the size asked for, nothing else."""
    done = thawline(
        "film", "gannet", tmp_path / "out.mp4", "--seconds", 2, "--fps", 5, "--size", "320x180",
        "--stills", tmp_path / "stills", library=library,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert done.stdout == ""
    assert sorted(path.name for path in tmp_path.iterdir()) == ["out.mp4", "stills"]
    stills = sorted((tmp_path / "stills").iterdir())
    assert stills[0].name == "01_plugged-in.png" and len(stills) > 5
    # PNG (ISO/IEC 15948): signature, then IHDR with width and height as big-endian 32 bits
    assert struct.unpack(">II", stills[0].read_bytes()[16:24]) == (320, 180)


def test_an_interrupt_leaves_no_half_file(library, tmp_path, monkeypatch):
    """Nothing stands where the film should, and what was there stays."""
    from thawline.report import film_frames

    out = tmp_path / "out.mp4"
    out.write_bytes(b"an earlier film")
    original = film_frames.Film.frames

    def stopped(self, fps):
        for index, frame in enumerate(original(self, fps)):
            if index == 3:
                raise KeyboardInterrupt
            yield frame

    monkeypatch.setattr(film_frames.Film, "frames", stopped)
    with pytest.raises(KeyboardInterrupt):
        film("gannet", out, seconds=2.0, size="320x180", fps=5.0, library=library)
    assert [path.name for path in tmp_path.iterdir()] == ["out.mp4"]
    assert out.read_bytes() == b"an earlier film"


def test_without_the_extra_the_error_names_it(tmp_path, monkeypatch):
    """Who lacks the extra is told what to install."""
    for name in [each for each in sys.modules if each.startswith("thawline.report.film")]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setitem(sys.modules, "imageio_ffmpeg", None)
    with pytest.raises(RequestError, match=r"imageio_ffmpeg is not installed.*thawline\[film\]"):
        film("gannet", tmp_path / "out.mp4", library=tmp_path)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--size", "big"), "is no size"),
        (("--size", "321x180"), "even"),
        (("--seconds", "0"), "--seconds"),
        (("--fps", "0"), "--fps"),
        (("--transparent",), "carries no opacity"),
    ],
)
def test_what_cannot_be_filmed_is_refused(words, said, library, tmp_path):
    """The error names the option, its value and the cure."""
    done = thawline("film", "gannet", tmp_path / "out.mp4", *words, library=library)
    assert done.returncode == 2 and said in done.stderr
    assert not list(tmp_path.iterdir())
