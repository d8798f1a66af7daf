"""Dataclasses from TOML tables."""

from dataclasses import dataclass, field

import pytest

from thawline.errors import RequestError
from thawline.simulator.reading import build_from


@dataclass(frozen=True)
class Inner:
    """A table within a table."""

    size: float
    names: tuple[str, ...] = ()


@dataclass(frozen=True)
class Outer:
    """A table."""

    count: int
    inner: Inner
    more: dict[str, float] = field(default_factory=dict)
    pairs: tuple[tuple[float, float], ...] = ()
    maybe: float | None = None


def test_tables_lists_and_numbers_find_their_place():
    """Whole numbers become floats where floats are wanted; lists become tuples."""
    given = {
        "count": 2,
        "inner": {"size": 3, "names": ["a"]},
        "more": {"x": 1},
        "pairs": [[1, 2.5]],
        "maybe": 4,
    }
    made = build_from(Outer, given, "f.toml")
    assert made == Outer(2, Inner(3.0, ("a",)), {"x": 1.0}, ((1.0, 2.5),), 4.0)
    assert isinstance(made.inner.size, float)


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"count": 1, "inner": {"size": 1, "nams": []}}, r"inner: unknown key 'nams'.*'names'"),
        ({"count": 1, "inner": {}}, "inner: size is missing"),
        ({"count": True, "inner": {"size": 1}}, "count: must be a number"),
        ({"count": 1, "inner": 5}, "must be a table"),
        ({"count": 1, "inner": {"size": 1}, "pairs": [[1]]}, r"pairs\[0\]"),
        ({"count": 1, "inner": {"size": "big"}}, "inner.size: must be float"),
    ],
)
def test_what_is_wrong_is_named_with_its_place(given, says):
    """The error names the file, the place and the value."""
    with pytest.raises(RequestError, match=says) as caught:
        build_from(Outer, given, "f.toml")
    assert str(caught.value).startswith("f.toml")
