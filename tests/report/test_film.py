"""The film of a morning, decoded again."""

import re
import subprocess

import imageio_ffmpeg
import numpy as np
import pytest

from tests.report.morning import bare, explained
from thawline.errors import RequestError
from thawline.report.film_caption import caption_at, shortened
from thawline.report.film_frames import make_film
from thawline.report.film_warp import warp
from thawline.report.film_write import write_film

WIDTH, HEIGHT, SECONDS, FPS = 320, 180, 4.0, 10.0


def decoded(path, codec=()):
    """What FFmpeg makes of a file: size, frames in a second, length, and all frames."""
    program = imageio_ffmpeg.get_ffmpeg_exe()
    done = subprocess.run(
        [program, *codec, "-i", path, "-f", "rawvideo", "-pix_fmt", "rgba", "-"],
        capture_output=True,
        check=True,
    )
    said = done.stderr.decode().partition("Output #")[0]
    width, height = map(int, re.search(r"Video: .*?, (\d+)x(\d+)", said).groups())
    hours, minutes, seconds = re.search(r"Duration: (\d+):(\d+):([\d.]+)", said).groups()
    meta = {
        "size": (width, height),
        "fps": float(re.search(r"([\d.]+) fps", said)[1]),
        "duration": 3600.0 * int(hours) + 60.0 * int(minutes) + float(seconds),
    }
    return meta, np.frombuffer(done.stdout, np.uint8).reshape(-1, height, width, 4)


@pytest.fixture(scope="module")
def film():
    return make_film(explained(), WIDTH, HEIGHT, SECONDS)


def test_a_film_has_the_length_size_and_frames_asked_for(film, tmp_path):
    """What a decoder finds is what was asked for, and it moves."""
    path = tmp_path / "morning.mp4"
    told = []
    write_film(film, path, FPS, False, lambda done, total: told.append((done, total)))
    meta, frames = decoded(path)
    assert meta["size"] == (WIDTH, HEIGHT)
    assert meta["fps"] == pytest.approx(FPS)
    assert meta["duration"] == pytest.approx(SECONDS, abs=0.11)
    assert len(frames) == SECONDS * FPS
    assert told[-1] == (40, 40)
    wanted = film.frame(2.0).astype(int)
    error = np.abs(frames[20][..., :3].astype(int) - wanted[..., :3]).mean()
    other = np.abs(frames[0][..., :3].astype(int) - wanted[..., :3]).mean()
    assert error < 4.0 and error < other


def test_it_hurries_through_waiting_and_slows_around_turning_points():
    """At each turning point the film is slower than the mean; in the longest wait it is faster."""
    points = [point.t_s for point in explained().story.turning_points]
    clocks = warp(3600.0, points, 90.0)
    mean = 3600.0 / 90.0
    assert all(clocks.speed(clocks.film(t_s)) < mean for t_s in points)
    assert clocks.speed(clocks.film(700.0)) > 2.0 * mean
    assert np.all(np.diff(clocks.film_s) > 0.0)
    assert clocks.film(0.0) == 0.0 and clocks.film(3600.0) == pytest.approx(90.0)
    assert clocks.morning(clocks.film(1234.5)) == pytest.approx(1234.5, abs=0.1)


def test_without_turning_points_it_runs_evenly():
    """Nothing to slow for, so one pace."""
    clocks = warp(600.0, [], 60.0)
    assert clocks.speed(1.0) == pytest.approx(10.0) == clocks.speed(59.0)


def test_captions_are_on_the_frames_and_change_with_the_story(film):
    """Before the first turning point there is none; after it there is; after the next, another."""
    points = [point.t_s for point in explained().story.turning_points]
    band = slice(round(0.86 * HEIGHT), HEIGHT)
    before, after, later = (
        film.frame(film.clocks.film(t_s))[band].astype(int)
        for t_s in (points[0] - 20.0, points[0] + 1.0, points[3] + 5.0)
    )
    assert ink(before) < 1.0 < ink(after)
    assert np.abs(after - later).max() > 100


def ink(pixels):
    return pixels.std(axis=(0, 1)).max()


def test_lines_appear_only_up_to_the_moment_shown(film):
    """The right half of the charts is empty in the middle of the morning and filled at its end."""
    half = film.frame(film.clocks.film(1000.0)).astype(int)
    whole = film.frame(SECONDS).astype(int)
    right = (slice(30, 140), slice(120, 225))
    assert np.abs(whole[right] - half[right]).mean() > 2.0 * half[right].std() / 10.0
    assert colourful(half[right]) < 60 < colourful(whole[right])


def colourful(pixels):
    return (pixels[..., :3].max(axis=-1) - pixels[..., :3].min(axis=-1)).max()


@pytest.mark.parametrize(("suffix", "codec"), [(".webm", ("-c:v", "libvpx-vp9")), (".mov", ())])
def test_a_see_through_film_has_opacity_in_the_file(suffix, codec, tmp_path):
    """Decoded again, some of a frame is clear, some veiled, some opaque."""
    film = make_film(explained(), WIDTH, HEIGHT, 1.0, transparent=True)
    path = tmp_path / f"over{suffix}"
    write_film(film, path, 5.0, True)
    _, frames = decoded(path, codec)
    alpha = frames[3][..., 3]
    wanted = film.frame(0.6)[..., 3]
    assert (alpha < 20).mean() > 0.1 and (alpha > 180).mean() > 0.3 and alpha.max() > 240
    assert np.abs(alpha.astype(int) - wanted).mean() < 8.0


def test_opacity_is_refused_where_the_format_has_none(tmp_path):
    """H.264 in MP4 carries none; the error names what does."""
    film = make_film(bare(), WIDTH, HEIGHT, 1.0, transparent=True)
    with pytest.raises(RequestError, match=r"\.mp4 carries no opacity.*\.mov, \.webm"):
        write_film(film, tmp_path / "a.mp4", 5.0, True)
    with pytest.raises(RequestError, match=r"ending '\.avi'"):
        write_film(film, tmp_path / "a.avi", 5.0, False)


@pytest.mark.parametrize("size", [(320, 180), (180, 320)])
def test_a_recording_of_almost_nothing_still_makes_a_film(size):
    """No chart, no lane, no date: a clock and a name, wide or tall."""
    frame = make_film(bare(), *size, 1.0).frame(0.5)
    assert frame.shape == (size[1], size[0], 4) and frame.std() > 1.0


def test_a_strange_name_is_drawn_as_it_is():
    """Dollar signs and letters that the font lacks neither stop the film nor mean anything."""
    film = make_film(explained("$\\frac{1}{0$ 鷗\n<b>"), WIDTH, HEIGHT, 1.0)
    assert film.frame(0.5).shape == (HEIGHT, WIDTH, 4)


def test_reasons_are_shortened_by_clauses_and_fit():
    """What does not fit loses its last clause; brackets are left out; nothing is too wide."""
    text = "The pack is warm (12 °C); it needs less heat; the supply has some to spare for now."
    assert shortened(text, 60) == (
        "The pack is warm; it needs less heat; the supply has some to",
        "spare for now.",
    )
    assert shortened(text, 22) == ("The pack is warm; it", "needs less heat.")
    clocks = warp(3600.0, [point.t_s for point in explained().story.turning_points], 90.0)
    for film_s in np.arange(0.0, 90.0, 0.5):
        said = caption_at(explained().story, clocks, float(film_s), 30)
        assert len(said.title) <= 30 and len(said.lines) <= 2
