from __future__ import annotations

import json
import tomllib
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutplan.scenario.toml_places import place_of, places_of_keys

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cutplan.scenario.toml_places import KeyPath


def paths_in(value: object, path: KeyPath = ()) -> Iterator[KeyPath]:
    """Yield the path of everything in a parsed document: keys, tables and list entries."""
    if path:
        yield path
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from paths_in(inner, (*path, key))
    if isinstance(value, list):
        for index, inner in enumerate(value):
            yield from paths_in(inner, (*path, index))


# A strategy that writes TOML in every style: the text itself is drawn, and the standard reader is the judge.

SCALARS = st.sampled_from([
    "2400", "-3", "0x1F", "1_000", "98.5", "1e3", "inf", "nan", "true", "false",
    "1979-05-27", "07:32:00", "1979-05-27 07:32:00", "1979-05-27T07:32:00-07:00",
    '""', "''", '"a # b"', "'a # b'", r'"a \" ] } = b"', r"'a \'", '"x = [1, {y = 2}]"',
    '""""""', "''''''", '"""a\n[b]\n"c" = 1\n"""', "'''a\n# b\n[[c]]\n'''", '"""a"""""', "'''a'''''",
    '"""\\\n   a\\""" ]"""',
])  # fmt: skip
"""Values with every sign in them that could be mistaken for structure."""

PLAIN_KEYS = st.one_of(
    st.sampled_from(["label", "height", "roll", "drop", "1", "a-b", "_", "true", "1979-05-27"]),
    st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), max_size=5),
)
SPACES = st.sampled_from(["", " ", "\t", "  "])
BLANKS = st.sampled_from(["", " ", "\n", "\n  # a comment with ] } = \" ' in it\n", "\n\n"])


def written_key(draw: st.DrawFn, key: str) -> str:
    """Write a key bare where it may be, else in quotes."""
    is_bare = bool(key) and all(sign.isascii() and (sign.isalnum() or sign in "-_") for sign in key)
    styles = [json.dumps(key, ensure_ascii=False).replace("\x7f", "\\u007f")]
    styles += [key] * is_bare + ([f"'{key}'"] if "'" not in key and key.isprintable() else [])
    return draw(st.sampled_from(styles))


@st.composite
def pairs(draw: st.DrawFn, depth: int) -> list[str]:
    """Write the ``key = value`` pairs of one table, dotted keys among them."""
    keys = draw(st.lists(PLAIN_KEYS, max_size=3, unique=True))
    return [
        ".".join(written_key(draw, part) for part in (key, *draw(st.lists(PLAIN_KEYS, max_size=1))))
        + f"{draw(SPACES)}={draw(SPACES)}{draw(values(depth))}"
        for key in keys
    ]


@st.composite
def values(draw: st.DrawFn, depth: int) -> str:
    """Write a value: a scalar, or a list over several lines, or an inline table."""
    kind = draw(st.integers(0, 5)) if depth else 0
    if kind == 1:
        inner = draw(st.lists(values(depth - 1), max_size=3))
        body = f"{draw(BLANKS)},{draw(BLANKS)}".join(inner)
        return f"[{draw(BLANKS)}{body}{draw(st.sampled_from(['', ',', ' ,'])) if inner else ''}{draw(BLANKS)}]"
    if kind == 2:
        return "{" + draw(SPACES) + f"{draw(SPACES)},{draw(SPACES)}".join(draw(pairs(depth - 1))) + draw(SPACES) + "}"
    return draw(SCALARS)


@st.composite
def documents(draw: st.DrawFn) -> str:
    """Write a document: pairs, tables, lists of tables and tables inside their entries."""
    lines = list(draw(pairs(2)))
    for key in draw(st.lists(PLAIN_KEYS, max_size=3, unique=True)):
        name = f"top {key}"  # never the name of a pair above
        bracket = draw(st.sampled_from(["[", "[["]))
        for _ in range(draw(st.integers(1, 3)) if bracket == "[[" else 1):
            lines.append(header(draw, bracket, [name]))
            lines += draw(pairs(2))
            lines += draw(inner_tables(name))
    ending = draw(st.sampled_from(["\n", "\r\n"]))
    gap = draw(BLANKS)
    return (f"\n{gap}".join(lines) + draw(BLANKS)).replace("\n", ending)


@st.composite
def inner_tables(draw: st.DrawFn, name: str) -> list[str]:
    """Write tables inside the table or entry ``name``, one of them only implied by the other."""
    lines = []
    if draw(st.booleans()):
        for _ in range(draw(st.integers(1, 2))):
            lines += [header(draw, "[[", [name, "inner list"]), *draw(pairs(1))]
    if draw(st.booleans()):
        lines += [header(draw, "[", [name, "implied", "inner table"]), *draw(pairs(1))]
    return lines


def header(draw: st.DrawFn, bracket: str, names: list[str]) -> str:
    """Write a header, with space inside the brackets and round the dots."""
    inside = f"{draw(SPACES)}.{draw(SPACES)}".join(written_key(draw, name) for name in names)
    return bracket + draw(SPACES) + inside + draw(SPACES) + "]" * len(bracket) + draw(SPACES)


def is_toml(text: str) -> bool:
    """Return False for the rare text whose keys clash: two drawn alike, or a dotted key into a value."""
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return False
    return True


@given(documents().filter(is_toml))
def test_the_scanner_finds_exactly_what_the_standard_reader_finds(text: str) -> None:
    """Every key, table and entry of the parsed document has a place, and nothing else has."""
    assert set(places_of_keys(text)) == set(paths_in(tomllib.loads(text)))


@given(documents().filter(is_toml))
def test_a_key_is_written_at_its_place(text: str) -> None:
    """What stands at the place of a key is that key as written, bare or quoted, or the header of its table."""
    lines = text.replace("\r\n", "\n").split("\n")

    for path, (line, column) in places_of_keys(text).items():
        here = lines[line - 1][column - 1 :]
        key = path[-1]
        if isinstance(key, str) and not here.startswith("["):
            quoted = json.dumps(key, ensure_ascii=False).replace("\x7f", "\\u007f")
            assert here.startswith((key or quoted, quoted, f"'{key}'"))


SCENARIO = """\
units = "mm"   # a comment
trim = { top = 50, bottom = 40 }

[paper]
name = \"\"\"
[not.a.table]
key = 1 \"\"\"
  match."label" = "64/32 cm"

[[wall]]
label = "north"
[[wall.opening]]
width = 900
[[wall.opening]]
width = [
  900, # left
  { of = 2 },
]

[[wall]]
[wall.'chimney breast'.depth]
left = 350
"""


@pytest.mark.parametrize(
    ("path", "place"),
    [
        (("units",), (1, 1)),
        (("trim", "bottom"), (2, 20)),
        (("paper",), (4, 1)),
        (("paper", "name"), (5, 1)),
        (("paper", "match"), (8, 3)),
        (("paper", "match", "label"), (8, 9)),
        (("wall",), (10, 1)),
        (("wall", 0, "label"), (11, 1)),
        (("wall", 0, "opening", 1), (14, 1)),
        (("wall", 0, "opening", 1, "width", 0), (16, 3)),
        (("wall", 0, "opening", 1, "width", 1, "of"), (17, 5)),
        (("wall", 1), (20, 1)),
        (("wall", 1, "chimney breast"), (21, 1)),
        (("wall", 1, "chimney breast", "depth", "left"), (22, 1)),
    ],
    ids=str,
)
def test_a_place_is_the_line_and_column_of_the_key(path: KeyPath, place: tuple[int, int]) -> None:
    """Lines and columns count from 1, as editors do; text over several lines hides no line."""
    assert places_of_keys(SCENARIO)[path] == place


def test_what_is_missing_is_placed_at_the_table_around_it() -> None:
    """A missing key has no place, so the innermost table that has one stands for it."""
    places = places_of_keys(SCENARIO)

    assert place_of(("wall", 0, "opening", 0, "height"), places) == (12, 1)
    assert place_of(("paper", "roll_length"), places) == (4, 1)
    assert place_of(("drop",), places) is None


def test_lists_too_deep_for_the_scanner_leave_the_places_found_until_then() -> None:
    """A fault elsewhere in the file is still reported, at worst without its line."""
    deep = "a = 1\nb = " + "[" * 100_000 + "]" * 100_000

    assert place_of(("a",), places_of_keys(deep)) == (1, 1)
