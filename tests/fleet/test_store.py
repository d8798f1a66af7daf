"""A library on a networked object store: workers in other processes read it over S3."""

from dataclasses import replace

import pytest

from tests.fleet.clusters import within
from tests.fleet.made import damage, fleet
from tests.fleet.stores import ASKING, copy, free_port, object_store
from thawline.errors import RequestError
from thawline.fleet.done import open_done
from thawline.fleet.hire import hired
from thawline.fleet.run import run
from thawline.fleet.source import open_source
from thawline.fleet.tables import tables
from thawline.fleet.workforce import Here


@pytest.fixture
def asking(monkeypatch):
    pytest.importorskip("s3fs").S3FileSystem.clear_instance_cache()  # it keeps its connections
    for name, value in ASKING.items():
        monkeypatch.setenv(name, value)
    return monkeypatch


def test_workers_read_a_library_over_s3(tmp_path, asking):
    """Two workers study it from a server: equal to one process at the folder, to the last digit.

    One recording is damaged, one lacks its samples, one is not settled, one is no document.
    """
    library = fleet(tmp_path / "library", 2, 4)
    damage(library, "petrel-1-02")
    source = open_source(str(library.folder))
    with open_done(tmp_path / "alone") as done:
        alone = run(source, Here(), done, with_warm_ups=False)
    with object_store() as address, within(120.0):
        asking.setenv("AWS_ENDPOINT_URL", address)
        copy(library.folder, "s3://skerrow/winter/library")
        import fsspec

        files = fsspec.filesystem("s3")
        files.pipe("skerrow/winter/library/recordings/odd/recording.json", b"{no document")
        files.pipe("skerrow/winter/library/recordings/new/recording.json", b"{}")
        files.pipe("skerrow/winter/library/recordings/new/unsettled", b"")
        there = open_source("s3://skerrow/winter/library")
        assert len(there.entries) == len(source.entries)
        assert [folder.rpartition("/")[2] for folder, _ in there.errors] == ["odd"]
        with hired(2) as force, open_done(tmp_path / "there") as done:
            found = run(there, force, done, with_warm_ups=False)
    assert sorted(stage for _, stage, _ in found.errors) == ["list", "look"]
    told = next(why for name, _, why in found.errors if name == "petrel-1-02")
    assert "s3://skerrow/winter/library" in told and "damaged" in told
    assert found.studies == alone.studies and found.limits == alone.limits
    mine, theirs = (tables(replace(f, errors=())) for f in (found, alone))
    assert mine == theirs


def test_a_store_that_does_not_answer_is_named(asking):
    """Nobody listens there: the message has the address and a cure."""
    asking.setenv("AWS_ENDPOINT_URL", f"http://127.0.0.1:{free_port()}")
    with within(60.0), pytest.raises(RequestError, match=r"s3://skerrow.*cannot be listed.*See"):
        open_source("s3://skerrow/library")
