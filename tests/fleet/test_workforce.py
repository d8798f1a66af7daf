"""Work goes on whatever a task does, and errors of the cluster are told in words."""

import builtins

import pytest

from thawline.errors import RequestError
from thawline.fleet.hire import hired
from thawline.fleet.workforce import RETRIES, Failure, Here


def test_storage_that_hiccups_is_asked_again():
    """A task that fails twice with an OSError gives its result; one that always fails is told."""
    tries = []

    def task(often):
        tries.append(often)
        if tries.count(often) <= often:
            raise OSError("no answer")
        return often

    results = dict(Here().each(task, [(0,), (RETRIES,), (RETRIES + 5,)]))
    assert results[0] == 0 and results[1] == RETRIES
    assert isinstance(results[2], Failure) and "no answer" in str(results[2])


def test_any_other_error_is_told_at_once():
    """It is not tried again: the same code gives the same error."""
    tries = []

    def task(x):
        tries.append(x)
        return 1 / x

    results = dict(Here().each(task, [(0,), (1,)]))
    assert isinstance(results[0], Failure) and "ZeroDivisionError" in str(results[0])
    assert results[1] == 1 and tries == [0, 1]


def test_a_scheduler_that_is_not_there_is_named(monkeypatch):
    """The message names the address and how one is written."""
    pytest.importorskip("distributed")
    monkeypatch.setattr("thawline.fleet.hire.PATIENCE_S", 0.5)
    with pytest.raises(RequestError, match=r"tcp://127\.0\.0\.1:9.*host:port"):  # noqa: SIM117  # the error comes on entering
        with hired(0, "tcp://127.0.0.1:9"):
            pass


def test_without_the_extra_it_says_what_to_install(monkeypatch):
    """Workers need it; a single process does not."""
    real = builtins.__import__

    def no_dask(name, *rest):
        if name.split(".")[0] in ("dask", "distributed"):
            raise ImportError(name)
        return real(name, *rest)

    monkeypatch.setattr(builtins, "__import__", no_dask)
    with hired(0) as force:
        assert dict(force.each(abs, [(-1,)])) == {0: 1}
    with pytest.raises(RequestError, match=r"thawline\[fleet\]"), hired(1):
        pass
