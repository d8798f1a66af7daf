"""Long work: in processes of its own, with progress; faults are told, a killed worker too."""

import os
import signal
import time
from pathlib import Path

import pytest

from tests.web.conftest import filled
from thawline.errors import RequestError
from thawline.web import work
from thawline.web.jobs import Jobs


def counted(tell, until):
    """A task for the tests: count, telling the progress."""
    for number in range(until + 1):
        tell(number, until)
        time.sleep(0.05)
    return until


def refused(tell):
    raise RequestError("the jug is empty", cure="fill it")


def ours(tell):
    raise ZeroDivisionError("by us")


def ended(jobs, name, seconds=60.0):
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        job = jobs.get(name)
        if job.is_over:
            return job
        time.sleep(0.02)
    raise AssertionError(job)


@pytest.fixture(scope="module")
def apart():
    jobs = Jobs(is_apart=True)
    yield jobs
    jobs.close()


def test_progress_is_heard_from_another_process(apart):
    """How far it is comes while it is under way; the result comes at the end."""
    name, seen = apart.start("counting", counted, 20), set()
    while not (job := apart.get(name)).is_over:
        seen.add(job.done)
        time.sleep(0.02)
    assert job.state == "done" and job.result == 20 and len(seen) > 2


def test_a_fault_of_the_person_is_told_in_its_words(apart):
    """The message of the error, not its kind."""
    job = ended(apart, apart.start("asking", refused))
    assert (job.state, job.error) == ("failed", "the jug is empty. Fill it")


def test_a_fault_of_ours_says_so(apart):
    """Nothing is swallowed."""
    assert "Our fault" in ended(apart, apart.start("dividing", ours)).error


def test_a_killed_worker_is_told_and_replaced(apart):
    """The system may end a worker for want of memory; the next job has a new one."""
    name = apart.start("counting", counted, 200)
    while apart.get(name).state != "working":
        time.sleep(0.05)
    for process in list(apart._pool._processes.values()):
        os.kill(process.pid, signal.SIGKILL)
    assert "ended by the system" in ended(apart, name).error
    assert ended(apart, apart.start("counting", counted, 1)).state == "done"


def test_what_comes_after_is_done_before_the_end_is_told(apart):
    """Whoever sees that work is over finds everything in order."""
    done = []
    job = ended(apart, apart.start("counting", counted, 1, finally_do=done.append))
    assert done == [job]


def test_work_that_has_not_begun_can_be_dropped():
    """A forecast that nobody waits for any more is not made."""
    jobs = Jobs(is_apart=False)
    try:
        for _ in range(2):
            jobs.start("counting", counted, 10)
        waiting = jobs.start("counting", counted, 10)
        jobs.drop(waiting)
        assert ended(jobs, waiting).state == "failed"
        assert jobs.get("none") is None
    finally:
        jobs.close()


def test_learning_and_looking_ahead_are_tasks(tmp_path):
    """What the pages ask of the other process works there with nothing but a folder."""
    library = filled(tmp_path)
    told = []
    names = ("gannet-20310114-0640", "gannet-20310116-0640")
    learned = work.learn_vehicle(lambda a, b: told.append((a, b)), library.folder, names)
    assert learned.vehicle == "Gannet" and told[0] == (0, 3)
    assert Path(library.folder).is_dir()
