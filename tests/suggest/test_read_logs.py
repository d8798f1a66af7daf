import numpy as np
import pytest

from thawline.errors import DatabaseError
from thawline.signals.database import read_database
from thawline.suggest.read_logs import read_logs

DBC = """VERSION ""
NS_ :
BS_:
BU_: Logger
BO_ 257 Pack: 8 Logger
 SG_ Volts : 7|16@0+ (0.1,0) [0|0] "V" Logger
 SG_ Amps : 23|16@0- (0.1,0) [0|0] "A" Logger
BO_ 258 Plug: 1 Logger
 SG_ Cable : 0|2@1+ (1,0) [0|3] "" Logger
BO_ 300 Silent: 1 Logger
 SG_ Nothing : 0|8@1+ (1,0) [0|0] "" Logger
CM_ SG_ 257 Volts "voltage of the traction battery";
VAL_ 258 Cable 0 "No" 1 "Yes" 3 "SNA" ;
"""


def lines(start: float, seconds: int, volts: float = 350.0) -> list[str]:
    """A log at 10 Hz: volts rising by 0.1 a second, a cable after 20 s, before it no value."""
    out = []
    for i in range(seconds * 10):
        t = i / 10.0
        raw = round((volts + t / 10.0) * 10)
        out.append(f"({start + t:.6f}) can0 101#{raw:04X}FFF600000000")
        if i % 10 == 0:
            out.append(f"({start + t + 0.01:.6f}) can0 102#{3 if t < 5 else int(t >= 20):02X}")
    return out


@pytest.fixture
def database(tmp_path):
    (tmp_path / "car.dbc").write_text(DBC)
    return read_database([tmp_path / "car.dbc"])


def write(path, text):
    path.write_text("\n".join(text) + "\n")
    return path


def test_every_signal_on_one_clock(tmp_path, database):
    """Values, unit, words, codes and silence are all there."""
    scene = read_logs([write(tmp_path / "a.log", lines(1.7e9, 60))], database)
    volts = scene.candidate("Pack.Volts")
    assert len(scene) == 60
    np.testing.assert_allclose(volts.values, 350.0 + (np.arange(60) + 0.45) / 10.0, atol=0.06)
    assert (volts.unit, volts.words[2]) == ("V", "voltage of the traction battery")
    assert np.allclose(scene.candidate("Pack.Amps").values, -1.0)
    assert scene.silent == ("Silent.Nothing",)


def test_a_code_that_means_no_value_is_none(tmp_path, database):
    """`SNA` is no third state of the cable."""
    scene = read_logs([write(tmp_path / "a.log", lines(1.7e9, 60))], database)
    assert scene.candidate("Plug.Cable").codes == (0.0, 1.0)


def test_a_gap_is_cut_out_and_divides_the_stretches(tmp_path, database):
    """Five minutes without a frame are no seconds of the scene."""
    text = lines(1.7e9, 40) + lines(1.7e9 + 340.0, 30, 320.0)
    scene = read_logs([write(tmp_path / "a.log", text)], database)
    assert len(scene) == 70
    assert list(np.bincount(scene.segment)) == [40, 30]
    volts = scene.candidate("Pack.Volts").values
    assert volts[39] - volts[40] > 30.0


def test_several_logs_are_stretches_of_one_scene(tmp_path, database):
    """Two days of one car are looked at together."""
    first = write(tmp_path / "a.log", lines(1.7e9, 40))
    second = write(tmp_path / "b.log", lines(1.8e9, 50, 330.0))
    scene = read_logs([first, second], database)
    assert list(np.bincount(scene.segment)) == [40, 50]


def test_a_table_needs_no_database(tmp_path):
    """Columns are candidates by their names, with the unit of the heading."""
    rows = [
        "Time [s],Pack current [A],Plugged",
        *(f"{t},{t / 10},{int(t > 30)}" for t in range(60)),
    ]
    scene = read_logs([write(tmp_path / "a.csv", rows)], None)
    assert scene.candidate("Pack current").unit == "A"
    assert scene.candidate("Plugged").codes == (0.0, 1.0)


def test_frames_without_a_database_are_an_error(tmp_path):
    """Nothing in a raw log can be read without one; the cure is named."""
    with pytest.raises(DatabaseError, match="Add --database"):
        read_logs([write(tmp_path / "a.log", lines(1.7e9, 5))], None)
