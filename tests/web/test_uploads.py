"""Uploads: bounded, streamed, safe names, nothing kept of what is refused."""

import asyncio

import pytest
from hypothesis import given
from hypothesis import strategies as st
from starlette.requests import Request

from thawline.errors import RequestError
from thawline.library.library import open_library
from thawline.web.uploads import LONGEST_NAME, TooLargeError, receive, safe_name, without_folder

EDGE = b"edge0123"


def form(*parts):
    body = b""
    for name, file, content in parts:
        shown = f'; filename="{file}"'.encode() if file is not None else b""
        body += b"--" + EDGE + b'\r\nContent-Disposition: form-data; name="' + name + b'"' + shown
        body += b"\r\n\r\n" + content + b"\r\n"
    return body + b"--" + EDGE + b"--\r\n"


def request(body, kind=b"multipart/form-data; boundary=" + EDGE, length=None, piece=7):
    headers = [(b"content-type", kind)]
    if length is not None:
        headers.append((b"content-length", str(length).encode()))
    pieces = [body[at : at + piece] for at in range(0, len(body), piece)] or [b""]

    async def read():
        part = pieces.pop(0)
        return {"type": "http.request", "body": part, "more_body": bool(pieces)}

    return Request({"type": "http", "method": "POST", "path": "/", "headers": headers}, read)


@pytest.fixture
def library(tmp_path):
    return open_library(tmp_path / "library")


def get(library, asked, limit=10_000):
    return asyncio.run(receive(asked, library, limit))


def kept(library):
    return list((library.folder / "uploads").glob("*"))


def test_files_and_fields_arrive_whole_in_any_pieces(library):
    """What was sent is what lies on the disk, with the names that it had."""
    content = bytes(range(256)) * 3 + b"\r\n--" + EDGE[:4]
    body = form((b"logs", "morning.log", content), (b"logs", "b.log", b""), (b"known", None, b"A"))
    for piece in (1, 7, 100_000):
        found = get(library, request(body, piece=piece))
        assert [path.name for path in found.files["logs"]] == ["morning.log", "b.log"]
        assert found.files["logs"][0].read_bytes() == content
        assert found.fields == {"known": "A"}


def test_nothing_is_kept_of_an_upload_that_is_too_large(library):
    """Refused by its announced size before a byte is read, or by what really comes."""
    body = form((b"logs", "a.log", b"x" * 20_000))
    for asked in (request(body, length=10**9), request(body), request(body, length=10)):
        with pytest.raises(TooLargeError, match=r"must be at most 0.0 MB; nothing was kept"):
            get(library, asked)
        assert kept(library) == [] if (library.folder / "uploads").exists() else True


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (lambda: request(b"", kind=b"text/plain"), "no form with files"),
        (lambda: request(form((b"a", None, b"x" * 5000))), "too long"),
        (lambda: request(form(*[(b"a", None, b"")] * 300)), "more than 200 parts"),
        (lambda: request(b"no form at all"), "cut off or is damaged"),
    ],
)
def test_what_is_no_proper_form_is_refused_in_words(library, asked, words):
    """Odd requests get an answer and leave nothing."""
    with pytest.raises(RequestError, match=words):
        get(library, asked())
    assert kept(library) == [] if (library.folder / "uploads").exists() else True


@given(st.text(max_size=300))
def test_names_stay_in_their_folder(name):
    """No name leads elsewhere, hides, or is longer than disks take."""
    safe = safe_name(name)
    assert safe and "/" not in safe and "\\" not in safe and not safe.startswith(".")
    assert len(safe.encode()) <= LONGEST_NAME and safe.isprintable()


@pytest.mark.parametrize(("name", "safe"), [("../../etc/passwd", "passwd"), ("C:\\b.log", "b.log"),
                                            ("Wintermorgen ä.log", "Wintermorgen ä.log"),
                                            ("..", "file"), ("", "file")])  # fmt: skip
def test_plain_names_stay_as_they_are(name, safe):
    """What a person called a file is how messages call it."""
    assert safe_name(name) == safe


def test_a_name_that_leads_elsewhere_writes_here(library):
    """A file named ../../x lands in the upload's own folder."""
    found = get(library, request(form((b"logs", "../../x.log", b"1"))))
    (path,) = found.files["logs"]
    assert path.parent.parent == found.folder and path.name == "x.log"


def test_messages_name_the_persons_own_file(tmp_path):
    """The folder of the upload is of no interest to anybody."""
    place = tmp_path / "001"
    place.mkdir()
    assert without_folder(f"{place / 'a.log'}, line 3: bad", tmp_path) == "a.log, line 3: bad"
