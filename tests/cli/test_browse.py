"""`thawline browse` as a person starts it: it says where, and refuses what cannot be."""

import re
import subprocess
import sys
import urllib.error
import urllib.request

import pytest

from tests.cli.running import thawline
from thawline.cli.browse import address_of, listen


def started(*words):
    return subprocess.Popen(
        [sys.executable, "-c", "from thawline.cli.app import main; main()", "browse",
         *map(str, words)],
        stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip


def ended(program):
    program.terminate()
    program.wait(30)
    program.stderr.close()


def test_it_serves_the_library_on_this_machine(tmp_path):
    """Any free port, an empty library, the first page; it ends when it is told to."""
    program = started("--port", 0, "--library", tmp_path / "library")
    try:
        address = re.match(r"pages: (http://127\.0\.0\.1:\d+/)$", program.stderr.readline())[1]
        with urllib.request.urlopen(address, timeout=60) as answer:
            assert "Nothing is kept yet" in answer.read().decode()
    finally:
        ended(program)
    assert program.returncode is not None


def test_others_get_an_address_with_a_token(tmp_path):
    """Listening for others prints a token, and warns; without it nothing is told."""
    program = started("--host", "0.0.0.0", "--port", 0, "--library", tmp_path / "library")
    try:
        line = program.stderr.readline()
        found = re.match(r"pages: http://[^/:]+:(\d+)/\?token=([\w-]{40,})$", line)
        assert "give it to nobody else" in program.stderr.readline()
        page = f"http://127.0.0.1:{found[1]}/"
        with pytest.raises(urllib.error.HTTPError) as refused:
            urllib.request.urlopen(page, timeout=60)
        assert refused.value.code == 401
        refused.value.close()
        asked = urllib.request.Request(page, headers={"Cookie": f"thawline-token={found[2]}"})
        with urllib.request.urlopen(asked, timeout=60) as answer:
            assert answer.status == 200
    finally:
        ended(program)


def test_a_taken_port_is_told(tmp_path):
    """Exit code 2, and the cure."""
    taken = listen("127.0.0.1", 0)
    try:
        port = taken.getsockname()[1]
        done = thawline("browse", "--port", port, "--library", tmp_path / "library")
        assert done.returncode == 2 and "choose another with --port" in done.stderr.lower()
    finally:
        taken.close()


@pytest.mark.parametrize(
    ("host", "token", "address"),
    [
        ("127.0.0.1", "", "http://127.0.0.1:5/"),
        ("::1", "", "http://[::1]:5/"),
        ("bench.local", "a b", "http://bench.local:5/?token=a%20b"),
    ],
)
def test_the_address_can_be_opened(host, token, address):
    """As RFC 3986 writes hosts: an IPv6 address stands in brackets."""
    assert address_of(host, 5, token) == address
