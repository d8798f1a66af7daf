"""Finding the lines of tables and keys in TOML texts."""

import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thawline.vehicle.places import find_places, line_of

TEXT = '''\
# [not.a.table] key = 1
title = "a # no comment, [no.table]"
"quoted.key" = 1
'single "quoted"' = 2
a.b . "c.d" = 3

[first]   # a comment with = and "quotes"
text = """
[second]
key = "no key"
"""
literal = \'\'\'
[third]
it's = 1\'\'\'
list = [
  1, # [fourth]
  "w = 1",
  { inner = 1, other = [2] },
]
after = 1e-3

[ first . "sub.table" ]
time = 2026-01-17T06:12:00Z
inline = { x = 1, "y.z" = { deep = true } }

[[array]]
n = 1
[[array]]
n = 2
\t[indented]
\tk = "\\"\\u00e9\\\\"
"\\u00e9" = 1
'''


def test_the_text_is_toml():
    """The text that the other tests look through is right itself."""
    assert tomllib.loads(TEXT)["first"]["after"] == 0.001


@pytest.mark.parametrize(
    ("names", "line"),
    [
        (("title",), 2),
        (("quoted.key",), 3),
        (('single "quoted"',), 4),
        (("a", "b", "c.d"), 5),
        (("a", "b"), 5),
        (("first",), 7),
        (("first", "text"), 8),
        (("first", "literal"), 12),
        (("first", "list"), 15),
        (("first", "list", "inner"), 18),
        (("first", "after"), 20),
        (("first", "sub.table"), 22),
        (("first", "sub.table", "time"), 23),
        (("first", "sub.table", "inline", "y.z", "deep"), 24),
        (("array", "n"), 27),
        (("indented",), 30),
        (("indented", "k"), 31),
        (("indented", "é"), 32),
    ],
)
def test_every_name_is_found(names, line):
    """Whatever quotes, comments, lists and texts of several lines stand about it."""
    assert find_places(TEXT)[names] == line


@pytest.mark.parametrize("name", ["second", "third", "fourth", "not", "key", "w", "it's"])
def test_nothing_in_texts_or_comments_is_a_name(name):
    """What looks like a table or a key there is none."""
    assert all(name not in names for names in find_places(TEXT))


def test_a_missing_name_gets_the_line_of_what_it_should_lie_in():
    """The table, or nothing at all."""
    places = find_places("\n[pack]\nx = 1\n")
    assert line_of(places, ("pack", "y")) == 2
    assert line_of(places, ("vehicle", "name")) == 0


keys = st.text("abc.'\" #[]=\\é\n", min_size=1, max_size=6)


def quoted(text):
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    return f'"{escaped}"'


@settings(max_examples=80, deadline=None)
@given(st.dictionaries(keys, st.dictionaries(keys, keys, max_size=3), max_size=4))
def test_any_name_is_found_in_its_line(tables):
    """Written out one key a line, every name is found where it was written."""
    lines, expected = [], {}
    for table, content in tables.items():
        lines.append(f"[{quoted(table)}]")
        expected[(table,)] = len(lines)
        for key, value in content.items():
            lines.append(f"{quoted(key)} = {quoted(value)} # {quoted(key)} = [")
            expected[table, key] = len(lines)
    text = "\n".join(lines)
    assert tomllib.loads(text) == tables
    assert find_places(text) == expected
