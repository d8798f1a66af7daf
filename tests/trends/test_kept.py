"""Studies of recordings are made once, and can be made again at any time."""

from dataclasses import replace

from tests.findings.made import LOW, SOUND
from tests.ledger.made import recording
from thawline.library.add import add_recording, remove
from thawline.library.catalogue import writing
from thawline.library.derived import Wanted, derived_like
from thawline.library.library import open_library
from thawline.trends.kept import is_all_studied, keep_studies, known_studies, study_all
from thawline.trends.study import study_from, study_plain
from thawline.trends.version import code_version
from thawline.walk import explain_kept


def keep(library, number, **changes):
    made = replace(
        recording({**SOUND, **changes}), id=f"petrel-{number}", starts_at=1.7e9 + 86_400.0 * number
    )
    add_recording(library, made, f"{number:064d}")
    return made


def test_findings_are_those_of_explaining(tmp_path):
    """What is kept of a recording is what `explain` tells, earlier mornings included."""
    library = open_library(tmp_path)
    for number in range(3):
        keep(library, number, **{LOW: 13.9 if number < 2 else 13.1})
    studies, errors = study_all(library)
    assert not errors and list(studies) == ["petrel-0", "petrel-1", "petrel-2"]
    for name, study in studies.items():
        told = explain_kept(library, name).findings
        assert [(f.kind, f.from_s, f.confidence, f.because) for f in told] == [
            (f.kind, f.from_s, f.confidence, f.because) for f in study.findings
        ]
    assert "low-voltage-trouble" in [f.kind for f in studies["petrel-2"].findings]
    assert "petrel-2" in derived_like(
        library, code_version(), Wanted(findings=("low-voltage-trouble",))
    )


def test_they_are_read_back_the_same_and_made_once(tmp_path):
    """A second time nothing is computed; a row of other code counts as none."""
    library = open_library(tmp_path)
    keep(library, 0)
    told = []
    first, _ = study_all(library, progress=lambda *so_far: told.append(so_far))
    assert told[-1] == (2, 2)
    again, _ = study_all(library, progress=lambda *so_far: told.append(so_far))
    assert again == first and told[-1] == (2, 2) and len(told) == 2
    assert study_from(study_plain(first["petrel-0"])) == first["petrel-0"]
    with writing(library) as rows:
        rows.execute("UPDATE figures SET made_by = 'other'")
    assert not known_studies(library)
    assert study_all(library)[0] == first


def test_rows_go_with_their_recording(tmp_path):
    """A recording that is removed leaves no figures."""
    library = open_library(tmp_path)
    keep(library, 0)
    study_all(library)
    remove(library, "petrel-0")
    assert not known_studies(library)


def test_a_damaged_recording_does_not_stop_the_others(tmp_path):
    """It is told with its error."""
    library = open_library(tmp_path)
    keep(library, 0), keep(library, 1)
    samples = sorted(library.recordings.glob("*/samples.parquet"))[0]
    samples.write_bytes(b"nothing")
    studies, errors = study_all(library)
    assert len(studies) == len(errors) == 1
    assert "damaged" in next(iter(errors.values()))


def test_an_older_recording_that_comes_or_goes_makes_findings_anew(tmp_path):
    """Only of later ones of the vehicle, and only findings; they are told anew when asked for."""
    library = open_library(tmp_path)
    keep(library, 3, **{LOW: 13.1})
    before, _ = study_all(library)
    assert is_all_studied(library)
    assert "low-voltage-trouble" not in [f.kind for f in before["petrel-3"].findings]
    keep(library, 0), keep(library, 1)
    known = known_studies(library)
    assert not is_all_studied(library)
    assert known["petrel-3"].findings is None
    assert known["petrel-3"].morning == before["petrel-3"].morning
    after, _ = study_all(library)
    assert is_all_studied(library)
    assert "low-voltage-trouble" in [f.kind for f in after["petrel-3"].findings]
    keep(library, 4)
    assert known_studies(library)["petrel-3"] == after["petrel-3"]
    remove(library, "petrel-0")
    assert known_studies(library)["petrel-3"].findings is None


def test_what_came_while_a_fleet_was_studied_makes_findings_anew(tmp_path):
    """Studies of a run that did not know a recording are kept without what was found beside."""
    library = open_library(tmp_path)
    keep(library, 1)
    studies, _ = study_all(library)
    keep(library, 0)
    keep_studies(library, list(studies.values()), listed={"petrel-1"})
    assert known_studies(library)["petrel-1"].findings is None
    keep_studies(library, list(studies.values()), listed={"petrel-0", "petrel-1"})
    assert known_studies(library)["petrel-1"].findings is not None
