from __future__ import annotations

import tomllib
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING

import pytest

from cutplan.faults import Fault
from cutplan.paper.pattern import FREE, Pattern
from cutplan.scenario.tables import MOST, Reading, Table, describe, reject_repeats

if TYPE_CHECKING:
    from collections.abc import Callable

KEYS = ("label", "height", "count", "price", "batch", "way", "is_open", "units", "first_motif", "wall", "roll")
HALF_DROP = Pattern(Fraction(640), Fraction(320))


def opened(text: str, keys: tuple[str, ...] = KEYS, units: str | None = "mm") -> Table:
    """Return the root table of a TOML text, decimals exact, as a scenario opens it."""
    return Reading(units).root(tomllib.loads(text, parse_float=Decimal), keys)


def lines_of(text: str, table: Table) -> list[str]:
    """Return the faults found in ``table`` as ``line:column where: what``."""
    return [f"{fault.line}:{fault.column} {fault.where}: {fault.what}" for fault in table.reading.faults(text)]


def shown(value: object) -> str:
    """Return how a parameter is named in a test's name: the same on every run."""
    return "read" if callable(value) else str(value)


# What is right is returned.


@pytest.mark.parametrize(
    ("text", "read", "expected"),
    [
        ('label = " north "', lambda table: table.text("label"), "north"),
        ("label = 1", lambda table: table.label(), "1"),
        ('label = "1a"', lambda table: table.label(), "1a"),
        ("batch = 2207", lambda table: table.code("batch"), "2207"),
        ('batch = "007"', lambda table: table.code("batch"), "007"),
        ("height = 2400", lambda table: table.length("height"), Fraction(2400)),
        ("height = 2400.5", lambda table: table.length("height"), Fraction(4801, 2)),
        ("height = 0", lambda table: table.length("height", zero=True), Fraction(0)),
        ("count = 3", lambda table: table.whole("count"), 3),
        ("price = 84.00", lambda table: table.price("price"), Fraction(84)),
        ("price = 0", lambda table: table.price("price"), Fraction(0)),
        ('way = "up"', lambda table: table.choice("way", ("down", "up")), "up"),
        ("is_open = true", lambda table: table.flag("is_open"), True),
        ('units = "inches"', lambda table: table.read_units(), "in"),
        ("first_motif = 639", lambda table: table.first_motif("first_motif", HALF_DROP), Fraction(639)),
        ("first_motif = 0", lambda table: table.first_motif("first_motif", FREE), Fraction(0)),
        ("", lambda table: table.first_motif("first_motif", FREE), Fraction(0)),
        ("", lambda table: table.first_motif("first_motif", FREE, required=False), None),
    ],
    ids=shown,
)
def test_a_right_value_is_returned_and_no_fault_found(
    text: str, read: Callable[[Table], object], expected: object
) -> None:
    """Each reader returns the value in its own exact type."""
    table = opened(text)

    assert read(table) == expected
    assert not table.reading.has_faults
    assert table.reading.faults(text) == ()


def test_a_key_that_may_be_left_out_is_none_without_a_fault() -> None:
    """What is not required and not there is None."""
    table = opened("")
    readers = (table.text, table.code, table.label, table.length, table.whole, table.price)

    assert [read("label", required=False) for read in readers] == [None] * len(readers)
    assert table.choice("way", ("down", "up"), required=False) is None
    assert table.flag("is_open") is None
    assert table.table("wall", (), required=False) is None
    assert table.entries("roll", (), required=False) == []
    assert not table.reading.has_faults


# What is wrong is reported, at its place, and None returned.


@pytest.mark.parametrize(
    ("text", "read", "what"),
    [
        ("label = 1.5", lambda table: table.text("label"), 'must be text in quotes, not 1.5; write label = "…"'),
        ("label = 3", lambda table: table.text("label"), 'must be text in quotes, not 3; write label = "…"'),
        (
            "label = 99999999999999999999999",
            lambda table: table.label(),
            'must be text in quotes, not a number of very many digits; write label = "…"',
        ),
        ("label = true", lambda table: table.label(), 'must be text in quotes, not true; write label = "…"'),
        (
            'label = " "',
            lambda table: table.label(),
            "is empty; write what is printed or written there, or leave label out",
        ),
        (
            'label = "a\\nb"',
            lambda table: table.label(),
            'must be one line of plain text, not "a\\nb"',
        ),
        (
            'label = "1 (2 of 3)"',
            lambda table: table.label(),
            '"1 (2 of 3)" has " (" in it, which plans use to count alike pieces',
        ),
        (
            "height = [2400]",
            lambda table: table.length("height"),
            'must be a length, not a list; write for example "2.4 m"',
        ),
        (
            "height = 1979-05-27",
            lambda table: table.length("height"),
            'must be a length, not the date or time 1979-05-27; write for example "2.4 m"',
        ),
        (
            "height = nan",
            lambda table: table.length("height"),
            'must be a length, not NaN; write for example "2.4 m"',
        ),
        (
            "height = false",
            lambda table: table.length("height"),
            'must be a length, not false; write for example "2.4 m"',
        ),
        (
            'height = "2,400"',
            lambda table: table.length("height"),
            "'2,400' has a comma; if it parts thousands write '2400', if decimals a point",
        ),
        (
            "height = 0",
            lambda table: table.length("height"),
            "must be more than 0, not 0; a length is measured forwards",
        ),
        (
            "height = -0.5",
            lambda table: table.length("height", zero=True),
            "cannot be less than 0, not -0.5; a length is measured forwards",
        ),
        (
            "first_motif = 700",
            lambda table: table.first_motif("first_motif", HALF_DROP),
            "must be less than the repeat of 640 mm, not 700; the first motif is then at 60 mm",
        ),
        (
            "first_motif = 1",
            lambda table: table.first_motif("first_motif", FREE),
            "a free match has no motif to measure; leave first_motif out, or mend the match",
        ),
        ("count = 0", lambda table: table.whole("count"), "must be 1 or more, not 0"),
        ("count = -2", lambda table: table.whole("count"), "must be 1 or more, not -2"),
        ("count = 10000001", lambda table: table.whole("count"), f"must be {MOST} or less, not 10000001"),
        (
            f"count = 0x{'f' * 400}",  # far more digits than Python is willing to print
            lambda table: table.whole("count"),
            f"must be {MOST} or less, not a number of very many digits",
        ),
        (
            "count = 6.0",
            lambda table: table.whole("count"),
            "must be a whole number, not 6.0; write for example count = 6",
        ),
        (
            'count = "six"',
            lambda table: table.whole("count"),
            'must be a whole number, not "six"; write for example count = 6',
        ),
        (
            "count = true",
            lambda table: table.whole("count"),
            "must be a whole number, not true; write for example count = 6",
        ),
        (
            'price = "€ 84"',
            lambda table: table.price("price"),
            'must be a number, not "€ 84"; write it without currency: price = 84.00',
        ),
        ("price = -1", lambda table: table.price("price"), f"must be from 0 to {MOST}, not -1"),
        (
            "price = inf",
            lambda table: table.price("price"),
            "must be a number, not Infinity; write it without currency: price = 84.00",
        ),
        ("price = 1e99999", lambda table: table.price("price"), f"must be from 0 to {MOST}, not 1E+99999"),
        (
            "price = 0.33333",
            lambda table: table.price("price"),
            "has more than 4 decimal places: 0.33333; round it",
        ),
        (
            'way = "dwon"',
            lambda table: table.choice("way", ("down", "up")),
            'must be "down" or "up", not "dwon"; did you mean "down"?',
        ),
        (
            "way = 1",
            lambda table: table.choice("way", ("left", "right", "both")),
            'must be "left", "right" or "both", not 1',
        ),
        (
            'is_open = "yes"',
            lambda table: table.flag("is_open"),
            'must be true or false without quotes, not "yes"',
        ),
        (
            'units = "km"',
            lambda table: table.read_units(),
            "unknown unit 'km'; use mm, cm, m, in, ft or yd",
        ),
        (
            'wall = "north"',
            lambda table: table.table("wall", ("label",)),
            'must be a table, not "north"; write [wall] and its keys below',
        ),
        (
            "[[wall]]",
            lambda table: table.table("wall", ("label",)),
            "there is only one; write [wall] with single brackets",
        ),
    ],
    ids=shown,
)
def test_a_wrong_value_is_a_fault_with_rule_value_and_remedy(
    text: str, read: Callable[[Table], object], what: str
) -> None:
    """The value comes back as None, and the whole message says what to do."""
    table = opened(text)
    key = text.strip("[]").split(" ")[0]

    assert read(table) is None
    assert table.reading.faults(text) == (Fault(key, what, 1, 1),)


@pytest.mark.parametrize(
    ("key", "read", "what"),
    [
        ("label", lambda table: table.text("label"), 'is missing; add for example label = "…"'),
        ("label", lambda table: table.label(), 'is missing; add for example label = "1"'),
        ("height", lambda table: table.length("height"), 'is missing; add for example height = "2.4 m"'),
        (
            "height",
            lambda table: table.length("height", zero=True),
            'is missing; add for example height = "50 mm"',
        ),
        ("count", lambda table: table.whole("count"), "is missing; add for example count = 1"),
        ("price", lambda table: table.price("price"), "is missing; add for example price = 84.00"),
        (
            "way",
            lambda table: table.choice("way", ("down", "up")),
            'is missing; add for example way = "down"',
        ),
        (
            "first_motif",
            lambda table: table.first_motif("first_motif", HALF_DROP),
            'is missing; add for example first_motif = "50 mm"',
        ),
        (
            "wall",
            lambda table: table.table("wall", ("label", "length")),
            "is missing; add a [wall] table; its keys are label, length",
        ),
    ],
    ids=shown,
)
def test_a_missing_key_is_a_fault_with_an_example(key: str, read: Callable[[Table], object], what: str) -> None:
    """A missing key of the document has no place in the file; what to add is shown."""
    table = opened("")

    assert read(table) is None
    assert table.reading.faults("") == (Fault(key, what),)


def test_missing_entries_are_a_fault_and_none_are_returned() -> None:
    """A list of tables that must be there is asked for, with its keys."""
    table = opened("")

    assert table.entries("wall", ("label",)) == []
    assert table.reading.faults("") == (Fault("wall", "is missing; add a [[wall]] for each; its keys are label"),)


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ('[roll]\nlabel = "A"', ["1:1 roll: there may be several; write [[roll]] with double brackets"]),
        ("roll = 6", ["1:1 roll: must be a list of tables, not 6; write [[roll]] for each"]),
        (
            'roll = [{ label = "A" }, "B"]',
            ['1:26 roll[2]: must be a table, not "B"; write [[roll]] for each'],
        ),
    ],
)
def test_entries_must_be_a_list_of_tables(text: str, lines: list[str]) -> None:
    """Single brackets, values and lists of other things are told apart."""
    table = opened(text)

    table.entries("roll", ("label",))

    assert lines_of(text, table) == lines


def test_entries_are_named_by_their_labels_and_by_number_without() -> None:
    """A reader knows ``wall["north"]`` better than the second wall; number 3 has no label to go by."""
    text = '[[wall]]\nlabel = 1\n[[wall]]\nlabel = "north"\n[[wall]]\n[[wall.roll]]\nlabel = "A"\n'
    walls = opened(text).entries("wall", ("label", "roll"))

    assert [wall.name for wall in walls] == ['wall["1"]', 'wall["north"]', "wall[3]"]
    assert [inner.name for inner in walls[2].entries("roll", ("label",))] == ['wall[3].roll["A"]']


# Unknown keys.


def test_an_unknown_key_names_the_nearest_known_one_which_is_then_not_missing() -> None:
    """One slip is one fault: ``heigth`` is not also a missing height."""
    text = "heigth = 2400\n"
    table = opened(text)

    assert table.length("height") is None
    assert table.has("height")
    assert lines_of(text, table) == ["1:1 heigth: unknown key; did you mean height?"]


@pytest.mark.parametrize("written", ["Height", "HEIGHT", "heights", "hight"])
def test_case_plural_and_spelling_are_seen_through(written: str) -> None:
    """The nearest key is found as a person would find it."""
    table = opened(f"{written} = 1")

    assert lines_of(f"{written} = 1", table) == [f"1:1 {written}: unknown key; did you mean height?"]


def test_a_key_written_with_a_hyphen_means_the_one_with_an_underscore() -> None:
    """``first-motif`` is ``first_motif``."""
    table = opened("first-motif = 95")

    assert table.first_motif("first_motif", HALF_DROP) is None
    assert lines_of("first-motif = 95", table) == ["1:1 first-motif: unknown key; did you mean first_motif?"]


def test_an_unknown_key_near_nothing_lists_what_may_stand_there() -> None:
    """A key that is there already is not suggested a second time."""
    text = 'height = 2\nheights = 3\n"col\\nour" = 4\n'
    table = opened(text, keys=("label", "height"))

    assert lines_of(text, table) == [
        "2:1 heights: unknown key; keys allowed here: label, height",
        '3:1 "col\\nour": unknown key; keys allowed here: label, height',
    ]


def test_reading_a_key_that_the_table_does_not_know_is_our_own_mistake() -> None:
    """A misspelt key in the program must not pass for a missing key in the file."""
    with pytest.raises(KeyError) as caught:
        opened("").length("hieght")

    assert caught.value.args == ("hieght is not among the keys of the document",)


# Faults together.


def test_all_faults_are_reported_in_the_order_of_the_file() -> None:
    """Faults come sorted by line and column, whichever was found first; a missing key stands at its table."""
    text = '[[wall]]\nlabel = "north"\ncount = 0\n[[wall]]\nheight = "tall"\n'
    table = opened(text)
    walls = table.entries("wall", ("label", "height", "count"))
    for wall in reversed(walls):
        wall.label()
        wall.length("height")
        wall.whole("count")

    assert lines_of(text, table) == [
        '1:1 wall["north"].height: is missing; add for example height = "2.4 m"',
        '3:1 wall["north"].count: must be 1 or more, not 0',
        '4:1 wall[2].label: is missing; add for example label = "1"',
        "4:1 wall[2].count: is missing; add for example count = 1",
        (
            "5:1 wall[2].height: cannot read 'tall' as a length; "
            'write for example "2.4 m", "2400 mm" or "7 ft 10 1/2 in"'
        ),
    ]


def test_every_repeated_label_is_a_fault_at_the_later_entry() -> None:
    """The first of a name keeps it; entries without a label are passed over."""
    text = '[[wall]]\nlabel = 1\n[[wall]]\nlabel = "1"\n[[wall]]\nlabel = "1"\n[[wall]]\nlabel = 1.5\n'
    table = opened(text)

    reject_repeats([(wall, wall.label()) for wall in table.entries("wall", ("label",))])

    assert lines_of(text, table)[:2] == [
        '4:1 wall["1"].label: "1" is used by an earlier entry too; give each its own',
        '6:1 wall["1"].label: "1" is used by an earlier entry too; give each its own',
    ]


def test_notes_name_their_key() -> None:
    """A note is for the user to look at and is no fault."""
    table = opened("[wall]\nheight = 2\n").table("wall", ("height",))

    assert table is not None
    table.note("height", "2 mm is low")
    assert table.reading.notes == ["wall.height: 2 mm is low"]
    assert not table.reading.has_faults


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (True, "true"),
        ("x" * 61, '"' + "x" * 60 + '…"'),
        (["a"], "a list"),
        ({"a": 1}, "a table"),
        (Decimal("2.40"), "2.40"),
        (Decimal("1." + "1" * 99), "a number of very many digits"),
        (2**64, "a number of very many digits"),
    ],
    ids=str,
)
def test_a_found_value_is_shown_as_written_and_short(value: object, expected: str) -> None:
    """Messages quote what was found, never more of it than fits a line."""
    assert describe(value) == expected
