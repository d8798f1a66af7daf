"""The quick parser of candump lines gives what the parser of texts gives, or leaves the line."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.sources.test_candump import left_out
from thawline.sources import candump
from thawline.sources.candump import parse_candump, read_candump
from thawline.sources.candump_block import parse_block
from thawline.sources.digits import eight_digits
from thawline.sources.lines import as_lines
from thawline.sources.payloads import stacked

plain = st.builds(
    "({:010d}.{:06d}) {} {}#{}".format,
    st.integers(0, 2**34 // 2),
    st.integers(0, 999_999),
    st.sampled_from(["can0", "can1", "vcan10", "c", "can0000001"]),
    st.integers(0, 0x7FF).map("{:03X}".format) | st.integers(0, 2**32 - 1).map("{:08x}".format),
    st.binary(max_size=8).map(bytes.hex),
)


@st.composite
def bent(draw: st.DrawFn) -> str:
    """A plain line with one sign changed, put in or taken out."""
    line = draw(plain)
    at = draw(st.integers(0, len(line)))
    sign = draw(st.sampled_from(" #().:+-_RTgxG0f\t\r\0\u00e9") | st.just(""))
    return line[:at] + sign + line[at + draw(st.integers(0, 1)) :]


lines = st.lists(
    plain
    | bent()
    | st.sampled_from(["", " ", "(1.5) can0 1#", "(0000000001.000000) can0 7FF##000"]),
    max_size=40,
)  # fmt: skip


@settings(max_examples=300, deadline=None)
@given(lines, st.sampled_from(["\n", "\r\n", " R\n", " T\r\n"]), st.booleans(), st.integers(1, 900))
def test_a_block_gives_what_its_lines_give(tmp_path_factory, texts, end, is_ended, part):
    """Times, identifiers, buses, payloads, the order, and counts of what is left out."""
    block = end.join(texts).encode() + (end.encode() if is_ended else b"")
    expected = parse_candump(as_lines(block), {})
    path = tmp_path_factory.getbasetemp() / "block.log"
    path.write_bytes(b"(0000000000.000000) can9 000#\n" + block)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(candump, "PART_BYTES", part)
        batches = list(read_candump(path))
    for name in ("t", "identifier", "length"):
        found = np.concatenate([getattr(frames, name) for frames in batches])
        np.testing.assert_array_equal(found[1:], getattr(expected, name))
    buses = [frames.buses[i] for frames in batches for i in frames.bus]
    assert buses[1:] == [expected.buses[i] for i in expected.bus]
    data = stacked([frames.data for frames in batches])[1:]
    width = min(data.shape[1], expected.data.shape[1])
    np.testing.assert_array_equal(data[:, :width], expected.data[:, :width])
    assert not data[:, width:].any()
    assert left_out(batches) == dict(expected.left_out)


def test_the_lines_of_the_tool_are_all_read_quickly():
    """Nothing of what a log usually holds is left to the slower parser."""
    block = b"".join(
        b"(1700000000.%06d) can%d %s#%s\n"
        % (i, i % 3, b"18FEF100" if i % 2 else b"1A2", b"AB" * (i % 9))
        for i in range(5000)
    )  # fmt: skip
    found = parse_block(block)
    assert (len(found.row), found.others) == (5000, b"")
    assert found.length.tolist() == [i % 9 for i in range(5000)]


@given(st.lists(st.binary(min_size=8, max_size=8) | st.from_regex(rb"[0-9]{8}", fullmatch=True)))
def test_eight_digits_are_a_number_and_nothing_else_is(texts):
    """As Python reads digits, and only digits."""
    signs = np.frombuffer(b"".join(texts), np.uint8).reshape(-1, 8)
    number, good = eight_digits(signs)
    right = [all(48 <= sign <= 57 for sign in text) for text in texts]
    assert good.tolist() == right
    assert number[good].tolist() == [int(t) for t, r in zip(texts, right, strict=True) if r]
