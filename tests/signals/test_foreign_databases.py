"""Databases that no one here wrote, read beside cantools, whose samples they are."""

from __future__ import annotations

import random
from pathlib import Path
from typing import Any

import cantools.database
import numpy as np
import pytest

from thawline.errors import DatabaseError
from thawline.signals.database import read_database
from thawline.signals.decode import decode
from thawline.signals.layout import SignalLayout
from thawline.sources.frames import Frames
from thawline.sources.payloads import WIDEST, width_for

FOLDER = Path(__file__).resolve().parents[1] / "data" / "foreign" / "cantools"
SAMPLES = sorted(path for path in FOLDER.iterdir() if path.name != "LICENSE")
#: Samples that we refuse, and what we say of them.
REFUSED = {
    "issue_138.sym": "length 0",
    "issue_199.dbc": "0x10630000 is more than 11 bits",
    "jopp-5.0.sym": "Only SYM version 6.0",
    "no_signals.dbc": "no signal",
    "system-missing-factor-4.2.arxml": "Expected 2 numerator values",
}
#: Samples that are wrong in some place: read all the same, with a warning.
WRONG = {
    "bad_message_length.dbc": "does not fit in message Message1",
    "incorrect-val.dbc": "unused VAL_ entries in DBC: VAL_ 99 signal1",
    "message_layout.kcd": "does not fit in message Message3",
}


def payloads(message: Any) -> list[bytes]:
    """Draw payloads: of any bytes, and of small ones, which multiplexers are likely to know."""
    rng, length = random.Random(message.frame_id), min(message.length, WIDEST)
    return [
        bytes(rng.choice((rng.randrange(256), rng.randrange(4), 0)) for _ in range(length))
        for _ in range(60)
    ]


def ours(layouts: tuple[SignalLayout, ...], payload: bytes) -> dict[str, float]:
    """Decode one payload."""
    data = np.zeros((1, width_for(len(payload))), np.uint8)
    data[0, : len(payload)] = list(payload)
    zero, length = np.zeros(1, np.uint8), np.array([len(payload)], np.uint8)
    frames = Frames(
        np.zeros(1), np.array([layouts[0].identifier], np.uint32), zero, ("a",), length, data
    )
    found = decode(frames, layouts)
    return {s.name: float(found[s.key].values[0]) for s in layouts if len(found[s.key].values)}


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.name)
def test_a_sample_is_decoded_as_its_library_decodes_it_or_refused_clearly(path: Path) -> None:
    """Every signal of every message of every sample: values, and which are present."""
    if path.name in REFUSED:
        with pytest.raises(DatabaseError, match=REFUSED[path.name]) as told:
            read_database([path])
        assert path.name in str(told.value) and "\n" not in str(told.value)
        return
    database = read_database([path])
    if path.name in WRONG:
        assert any(WRONG[path.name] in warning for warning in database.warnings)
    text = path.read_text(encoding="cp1252" if path.suffix == ".dbc" else "utf-8")
    text = text.replace("VAL_ 99 ", "// ") if path.name == "incorrect-val.dbc" else text
    oracle: Any = cantools.database.load_string(
        text, path.suffix.removeprefix("."), strict=path.name not in WRONG
    )
    compared = 0
    for message in oracle.messages:
        layouts = database.messages.get(message.name)
        if layouts is None or layouts.identifier & 0x1FFF_FFFF != message.frame_id:
            names = [other.name for other in oracle.messages]
            assert message.is_container or names.count(message.name) > 1, message.name
            continue
        known = {signal.name for signal in layouts.signals}
        assert all(s.name in known or s.length > 64 for s in message.signals)
        for payload in payloads(message) if known else []:
            try:
                right = message.decode(payload, decode_choices=False)
            except Exception:  # a multiplexer that shows no known code, or a signal beyond the end
                continue
            expected = {name: float(value) for name, value in right.items() if name in known}
            found = ours(layouts.signals, payload)
            assert found.keys() == expected.keys()
            for name, value in expected.items():
                assert found[name] == value or (np.isnan(found[name]) and np.isnan(value)), name
            compared += len(expected)
    assert compared > 0 or path.name in WRONG
