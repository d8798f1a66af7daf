"""Text files in blocks of whole lines: plain, packed, in several members, broken off."""

from __future__ import annotations

import gzip
from pathlib import Path

import pytest
import zstd
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from thawline.errors import SourceError
from thawline.sources import chunks
from thawline.sources.chunks import read_chunks

PACK = {
    "plain": lambda content: content,
    "gz": lambda content: gzip.compress(content, mtime=0),
    "zst": lambda content: bytes(zstd.compress(content)) if content else b"",
}
LINES = [f"({i}.5) can0 1A2#{i * 7919 % 65536:04X}\n".encode() for i in range(4000)]


@pytest.mark.parametrize("kind", PACK)
@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.sampled_from([b"", b"a", b"bc" * 40, b"\r"]), max_size=30), st.booleans())
def test_blocks_are_whole_lines_and_make_the_whole(tmp_path: Path, kind, lines, is_ended):
    """However the file is packed, wherever its blocks end, and with or without a last end."""
    content = b"\n".join(lines) + b"\n" * is_ended
    path = tmp_path / "file"
    path.write_bytes(PACK[kind](content))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(chunks, "BLOCK_BYTES", 50)
        patch.setattr(chunks, "LINES_PER_BATCH", 3)
        blocks = list(read_chunks(path))
    assert b"".join(block for block, _ in blocks) == content
    assert not any(broke_off for _, broke_off in blocks)
    assert all(block.endswith(b"\n") for block, _ in blocks[:-1])
    assert all(block.count(b"\n") <= 3 for block, _ in blocks)


@pytest.mark.parametrize("kind", ["gz", "zst"])
def test_archives_of_several_members_are_one_text(tmp_path: Path, kind):
    """As loggers write them that close and open an archive; zeros may stand behind."""
    path = tmp_path / "file"
    parts = [b"".join(LINES[i : i + 1000]) for i in range(0, 4000, 1000)]
    path.write_bytes(b"".join(map(PACK[kind], parts)) + b"\0" * 512)
    assert b"".join(block for block, _ in read_chunks(path)) == b"".join(LINES)


@pytest.mark.parametrize("kind", ["gz", "zst"])
def test_an_archive_that_breaks_off_gives_what_is_whole_and_says_so(tmp_path: Path, kind):
    """Only the last block is marked."""
    path = tmp_path / "file"
    content = b"".join(LINES * 5)  # zstd packs 128 kB together
    path.write_bytes(PACK[kind](content)[:-9])
    blocks = list(read_chunks(path))
    read = b"".join(block for block, _ in blocks)
    assert content.startswith(read) and len(read) > len(content) // 3
    assert [broke_off for _, broke_off in blocks] == [False] * (len(blocks) - 1) + [True]


@pytest.mark.parametrize("kind", ["gz", "zst"])
def test_progress_of_an_archive_is_counted_in_packed_bytes(tmp_path: Path, kind, monkeypatch):
    """It grows evenly with what is read, never beyond the file's size, and ends there."""
    monkeypatch.setattr(chunks, "BLOCK_BYTES", 10_000)
    monkeypatch.setattr(chunks, "PACKED_BYTES", 256)
    path = tmp_path / "file"
    path.write_bytes(
        b"".join(PACK[kind](b"".join(LINES[i : i + 100])) for i in range(0, 4000, 100))
    )
    size, told, read = path.stat().st_size, [], 0
    for block, _ in read_chunks(path, progress=lambda *done: told.append(done)):
        read += len(block)
        share = told[-1][0] / size if told else 0.0
        assert abs(share - read / sum(map(len, LINES))) < 0.2
    done = [one for one, _ in told]
    assert {total for _, total in told} == {size} and done == sorted(done) and done[-1] == size
    assert len(set(done)) > 5


def test_a_line_without_an_end_is_refused_before_it_fills_memory(tmp_path: Path, monkeypatch):
    """Such as an archive of nothing but zeros."""
    monkeypatch.setattr(chunks, "LONGEST_LINE", 1 << 20)
    monkeypatch.setattr(chunks, "BLOCK_BYTES", 1 << 18)
    path = tmp_path / "file"
    path.write_bytes(gzip.compress(bytes(8 << 20)))
    with pytest.raises(SourceError, match="a line is longer than 1 MB"):
        list(read_chunks(path))
