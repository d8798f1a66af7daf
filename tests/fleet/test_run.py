"""A fleet is studied alike on one machine and on many workers, and survives what happens."""

import os
import signal
from dataclasses import replace
from threading import Timer

import pytest

from tests.fleet import killing
from tests.fleet.clusters import cluster, within
from tests.fleet.made import damage, fleet
from thawline.errors import RequestError
from thawline.fleet.done import open_done
from thawline.fleet.hire import hired
from thawline.fleet.run import run
from thawline.fleet.source import open_source
from thawline.fleet.tables import tables, write_tables
from thawline.fleet.workforce import Here
from thawline.library.add import add_recording
from thawline.library.load import load
from thawline.walk import explain_kept


@pytest.fixture(scope="module")
def library(tmp_path_factory):
    made = fleet(tmp_path_factory.mktemp("fleet") / "library", 2, 5)
    damage(made, "petrel-1-02")
    return made


@pytest.fixture(scope="module")
def alone(library, tmp_path_factory):
    with open_done(tmp_path_factory.mktemp("alone")) as done:
        return run(open_source(str(library.folder)), Here(), done)


def same(one, other):
    """Every number of both, to the last digit; what a warm-up fit gives where both have it."""
    if not one.priors:
        keep = tuple(row for row in other.learned if row.kind != "warm-up")
        other = replace(other, learned=keep, priors={})
    mine, theirs = ((f.studies, f.limits, f.learned, f.priors, f.errors) for f in (one, other))
    return mine == theirs and tables(one) == tables(other)


def test_a_bad_recording_is_told_and_stops_nothing(alone):
    """One of ten is damaged: the others are studied, and the error names it."""
    assert len(alone.studies) == 9 and len(alone.trends) == 2
    assert [(name, stage) for name, stage, _ in alone.errors] == [("petrel-1-02", "look")]
    assert "damaged" in alone.errors[0][2]


def test_findings_are_those_of_explaining_one_by_one(alone, library):
    """The last morning of each vehicle shows what only earlier ones give away."""
    for name in ("petrel-0-00", "petrel-0-04", "petrel-1-04"):
        told = explain_kept(library, name).findings
        assert [(f.kind, f.from_s, f.confidence, f.because) for f in told] == [
            (f.kind, f.from_s, f.confidence, f.because) for f in alone.studies[name].findings
        ]
    kinds = [f.kind for f in alone.studies["petrel-1-04"].findings]
    assert "low-voltage-trouble" in kinds


@pytest.fixture(scope="module")
def two():
    pytest.importorskip("distributed")
    with within(120.0), hired(2) as force:
        yield force


def test_a_killed_worker_loses_nothing_and_changes_no_digit(alone, library, tmp_path, two):
    """Two workers, one of them killed in the middle: equal to one machine to the last digit."""
    killed = []
    with within(120.0), open_done(tmp_path) as done:
        pids = two.pids()
        assert len(set(pids)) == 2 and os.getpid() not in pids

        def progress(stage, number, total):
            if stage == "look" and number == total // 3 and not killed:
                killed.append(pids[0])
                os.kill(pids[0], signal.SIGKILL)

        found = run(open_source(str(library.folder)), two, done, progress)
        assert killed and two.pids() != pids
    assert same(found, alone)


def test_a_recording_that_kills_every_worker_is_told_and_stops_nothing(
    alone, library, tmp_path, two, monkeypatch
):
    """Only it is blamed, not what was under way beside it."""
    monkeypatch.setattr("thawline.fleet.work.look", killing.look)
    with within(120.0), open_done(tmp_path) as done:
        found = run(open_source(str(library.folder)), two, done, with_warm_ups=False)
    told = {name: (stage, why) for name, stage, why in found.errors}
    assert sorted(told) == [killing.KILLER, "petrel-1-02"]
    stage, why = told[killing.KILLER]
    assert stage == "look" and "every worker that took it died" in why
    assert set(found.studies) == set(alone.studies) - {killing.KILLER}
    assert all(found.studies[f"petrel-0-{n:02d}"] == alone.studies[f"petrel-0-{n:02d}"]
               for n in range(5))  # fmt: skip


def test_when_a_cluster_of_others_ends_the_run_says_so(library, tmp_path, monkeypatch):
    """First its only worker goes, then its scheduler: a cure is told, and what is done is kept."""
    pytest.importorskip("distributed")
    monkeypatch.setattr("thawline.fleet.cluster.ASK_EVERY_S", 0.2)
    monkeypatch.setattr("thawline.fleet.cluster.WITHOUT_WORKERS_S", 2.0)
    source = open_source(str(library.folder))
    with within(120.0), cluster(tmp_path, 1) as (address, processes), hired(0, address) as force:
        assert force.pids() == [processes[1].pid]

        def end(_stage, number, _total):
            if number == 2:
                processes[1].kill()

        with (
            open_done(tmp_path / "part") as done,
            pytest.raises(RequestError, match=r"lost all its workers.*run again"),
        ):
            run(source, force, done, end, with_warm_ups=False)
        Timer(0.5, processes[0].kill).start()
        with pytest.raises(RequestError, match=r"scheduler.*run again"):
            list(force.each(abs, [(-1,)]))
    with open_done(tmp_path / "part") as done:
        assert run(source, Here(), done, with_warm_ups=False).reused >= 2


def test_it_goes_on_where_it_broke_off(alone, library, tmp_path):
    """What was done before is not done again; only what failed is tried anew."""

    class BreakOffError(Exception):
        pass

    def stop(_stage, number, _total):
        if number == 7:
            raise BreakOffError

    source = open_source(str(library.folder))
    with open_done(tmp_path) as done, pytest.raises(BreakOffError):
        run(source, Here(), done, stop)
    with open_done(tmp_path) as done:
        found = run(source, Here(), done, with_warm_ups=False)
        again = run(source, Here(), done, with_warm_ups=False)
    assert found.reused == 7 and same(found, alone)
    assert again.computed == 0 and same(again, alone)


def test_a_vehicle_that_is_spelt_in_two_ways_is_one(tmp_path):
    """Upper and lower case count as the same, as everywhere: one vehicle with all mornings."""
    library = fleet(tmp_path / "library", 1, 3)
    made = load(library, "petrel-0-02")
    loud = replace(made.vehicle, name="PETREL 0")
    later = replace(made, id="loud", vehicle=loud, starts_at=made.starts_at + 86_400.0)
    add_recording(library, later, "f" * 64)
    with open_done(tmp_path / "done") as done:
        found = run(open_source(str(library.folder)), Here(), done, with_warm_ups=False)
    assert [(each.vehicle, each.mornings) for each in found.trends] == [("Petrel 0", 4)]
    assert {row.vehicle for row in found.learned} <= {"Petrel 0"} and not found.errors


def test_the_library_may_lie_on_an_object_store(alone, library, tmp_path):
    """Copied to fsspec's store in memory, folder by folder, it gives the same."""
    fsspec = pytest.importorskip("fsspec")
    files = fsspec.filesystem("memory")
    files.put(str(library.recordings), "/skerrow/library/recordings", recursive=True)
    try:
        source = open_source("memory://skerrow/library")
        assert source.library is None
        with open_done(tmp_path) as done:
            found = run(source, Here(), done, with_warm_ups=False)
    finally:
        files.rm("/skerrow", recursive=True)
    assert [error.split()[-1] for *_, error in found.errors] == ["again."]
    assert "memory://" in found.errors[0][2]
    assert same(replace(found, errors=alone.errors), alone)


def test_parquet_holds_what_columns_promise(alone, tmp_path):
    """Every file has the documented columns, with rows or without."""
    import polars as pl

    from thawline.physics.constants import read_table

    written = {path.stem: path for path in write_tables(alone, tmp_path)}
    documented = read_table("thawline.fleet", "columns.csv")
    for file in {row["file"] for row in documented}:
        frame = pl.read_parquet(written[file])
        plain = [r["column"] for r in documented if r["file"] == file and "<" not in r["column"]]
        assert set(plain) <= set(frame.columns), file
        assert len(frame) == len(tables(alone)[file])
    recordings = pl.read_parquet(written["recordings"])
    bad = recordings.filter(pl.col("error").is_not_null())
    assert bad["recording"].to_list() == ["petrel-1-02"]
