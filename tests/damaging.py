"""Damage to files, for fuzzing: bytes changed, put in, taken out, repeated; ends cut off."""

from __future__ import annotations

from hypothesis import strategies as st

place = st.floats(0, 1, exclude_max=True)
#: What is often where readers trip: zeros, ones, signs of text formats, digits.
signs = st.binary(min_size=1, max_size=8) | st.sampled_from(
    [b"\0" * 8, b"\xff" * 8, b"\n", b"#", b"(", b")", b".", b"-1", b"99999999999", b"nan", b" ",
     b'"', b"<", b">", b"|", b"@", b"0x", b"\xef\xbb\xbf", b"\r", b"\t", b","]
)  # fmt: skip
damages = st.lists(
    st.tuples(st.sampled_from(["change", "put in", "take out", "repeat", "cut"]), place, signs),
    max_size=6,
)


def damaged(content: bytes, damage: list[tuple[str, float, bytes]]) -> bytes:
    """Damage a file's content, one thing after the other."""
    for kind, where, what in damage:
        at = int(where * len(content))
        before, after = content[:at], content[at:]
        if kind == "change":
            content = before + what + after[len(what) :]
        elif kind == "put in":
            content = before + what + after
        elif kind == "take out":
            content = before + after[len(what) * 5 :]
        elif kind == "repeat":
            content = before + after[: len(what) * 9] + after
        elif at > len(content) // 2:
            content = before
    return content
