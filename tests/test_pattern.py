from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutplan.errors import PatternError
from cutplan.lengths import read_length
from cutplan.paper.match_label import MatchLabel, read_match
from cutplan.paper.pattern import FREE, Pattern
from strategies import lengths, patterns

EXAMPLES = 'write it as the label prints it: "free", "64 cm", "64/0 cm", "64/32 cm" or "64 cm/third"'
HALF = Pattern(Fraction(640), Fraction(320))
THIRD_DOWN = Pattern(Fraction(640), Fraction(640, 3))
INCH = Fraction(254, 10)


def first_motifs(pattern: Pattern, columns: range, at_start: int = 95) -> list[Fraction]:
    """Return the first motif of each column, when column 0 has its first motif ``at_start`` mm down."""
    return [pattern.first_motif(column, Fraction(at_start)) for column in columns]


# Facts of the trade.


def test_lengths_1_3_5_of_a_64_32_label_are_alike_and_so_are_2_4_6() -> None:
    """Source: Malerblatt 2018-10. The first figure is the repeat, the second the shift of the next length."""
    pattern = read_match("64/32 cm", None, None).pattern

    one, two, three, four, five, six = first_motifs(pattern, range(6))

    assert one == three == five == 95
    assert two == four == six == 95 + 320


def test_a_drop_pattern_of_12_inches_matches_6_inches_below() -> None:
    """Source: Radford's Cyclopedia of Construction, vol. 10: 6 in below, not opposite."""
    pattern = read_match("12 in/half", None, None).pattern

    assert pattern.first_motif(1, Fraction(0)) == read_length("6 in")


def test_only_every_third_length_of_a_third_drop_is_alike() -> None:
    """Source: household manual, c. 1930s. Columns 0, 3, 6 are alike, and 0, 1, 2 are three kinds."""
    columns = first_motifs(THIRD_DOWN, range(9))

    assert columns[0:3] == columns[3:6] == columns[6:9]
    assert len(set(columns[0:3])) == 3


def test_half_a_repeat_up_is_half_a_repeat_down() -> None:
    """+R/2 and −R/2 are the same paper [derived]: a half-drop has no handedness and needs no direction."""
    up, down, unsaid = (read_match("64/32 cm", None, way).pattern for way in ("up", "down", None))

    assert up == down == unsaid == HALF
    assert not HALF.needs_direction


def test_a_third_up_is_not_a_third_down() -> None:
    """Lower to the right and higher to the right are different papers [derived]."""
    down = read_match("64 cm/third", None, "down").pattern
    up = read_match("64 cm/third", None, "up").pattern

    assert first_motifs(down, range(3)) == [95, 95 + Fraction(640, 3), 95 + Fraction(1280, 3)]
    assert first_motifs(up, range(3)) == [95, 95 + Fraction(1280, 3), 95 + Fraction(640, 3)]
    assert down.needs_direction
    assert up.needs_direction


def test_a_straight_match_has_every_column_alike() -> None:
    """Both ``64`` and ``64/0`` mean straight [practice]."""
    straight = read_match("64 cm", None, None).pattern

    assert straight == read_match("64/0 cm", None, None).pattern == Pattern(Fraction(640), Fraction(0))
    assert set(first_motifs(straight, range(-5, 6))) == {Fraction(95)}


def test_figures_printed_the_wrong_way_round_are_read_right_and_said_so() -> None:
    """``32/64`` is sometimes printed; an offset is less than its repeat [practice]."""
    note = "'32/64 cm' read as repeat 640 mm, offset 320 mm: an offset is less than its repeat"

    assert read_match("32/64 cm", None, None) == MatchLabel(HALF, note)


# Labels.


@pytest.mark.parametrize(
    ("label", "units", "repeat", "offset"),
    [
        ("free", None, 0, 0),
        ("Free match", None, 0, 0),
        ("0", None, 0, 0),
        ("0 cm", None, 0, 0),
        (0, "mm", 0, 0),
        (Decimal("0.0"), None, 0, 0),
        ("64/32", "cm", 640, 320),
        ("64 cm / 320 mm", None, 640, 320),
        ("640 mm/32 cm", None, 640, 320),
        (64, "cm", 640, 0),
        (Decimal("26.5"), "cm", 265, 0),
        ("53/26.5 cm", None, 530, 265),
        ("64 cm/half", None, 640, 320),
        ("25 1/4 in", None, Fraction(101, 4) * INCH, 0),
        ("25-1/4 in / 12-5/8 in", None, Fraction(101, 4) * INCH, Fraction(101, 8) * INCH),
        ("25¼/12⅝ in", None, Fraction(101, 4) * INCH, Fraction(101, 8) * INCH),
        ('21"/10 1/2"', None, 21 * INCH, Fraction(21, 2) * INCH),
        ("2' 1\"/half", None, 25 * INCH, Fraction(25, 2) * INCH),
    ],
)
def test_a_label_is_read_as_printed(label: object, units: str | None, repeat: Fraction, offset: Fraction) -> None:
    """Repeat and offset come out exact, each with its own unit, the last unit or the scenario's."""
    assert read_match(label, units, None) == MatchLabel(Pattern(Fraction(repeat), Fraction(offset)), None)


@pytest.mark.parametrize(
    ("label", "repeat", "offset", "note"),
    [
        (
            "64/21.3 cm",
            Fraction(640),
            Fraction(640, 3),
            "'64/21.3 cm' read as 1/3 of the repeat, 640/3 mm exactly: the label rounds it",
        ),
        (
            "53/13.3 cm",  # a quarter is 13.25 cm
            Fraction(530),
            Fraction(265, 2),
            "'53/13.3 cm' read as 1/4 of the repeat, 265/2 mm exactly: the label rounds it",
        ),
        (
            "21.3/64 cm",
            Fraction(640),
            Fraction(640, 3),
            (
                "'21.3/64 cm' read as repeat 640 mm, offset 213 mm: an offset is less than its repeat; "
                "'21.3/64 cm' read as 1/3 of the repeat, 640/3 mm exactly: the label rounds it"
            ),
        ),
        (
            "64/21 cm",  # 3.3 mm from a third: too far to undo in silence, near enough to ask
            Fraction(640),
            Fraction(210),
            "'64/21 cm' read as printed; if it rounds a third of the repeat, write \"…/third\"",
        ),
        (
            "25 1/4 in/8 3/8 in",  # a third is 8 5/12 in, and the nearest eighth is 8 3/8
            Fraction(101, 4) * INCH,
            Fraction(67, 8) * INCH,
            "'25 1/4 in/8 3/8 in' read as printed; if it rounds a third of the repeat, write \"…/third\"",
        ),
    ],
)
def test_an_offset_rounded_by_the_label_is_undone_or_noted(
    label: str, repeat: Fraction, offset: Fraction, note: str
) -> None:
    """Up to half a millimetre of the label's own rounding is undone; more is noted, and read as printed."""
    assert read_match(label, None, "down") == MatchLabel(Pattern(repeat, offset), note)


@pytest.mark.parametrize("label", ["64/20 cm", "64/25.6 cm", "53/21.2 cm", "640/213.5 mm", "64/16 cm"])
def test_an_offset_that_rounds_no_part_is_left_alone(label: str) -> None:
    """An offset that is exact, or near no half, third or quarter within its printed step, gets no note."""
    first, _, second = label.removesuffix("cm").removesuffix("mm").partition("/")
    unit = 1 if label.endswith("mm") else 10

    read = read_match(label, None, "down")

    assert read == MatchLabel(Pattern(Fraction(first) * unit, Fraction(second) * unit), None)


@pytest.mark.parametrize(
    ("label", "units", "direction", "message"),
    [
        ("", "mm", None, f"cannot read '' as a match; {EXAMPLES}"),
        (True, "mm", None, f"cannot read True as a match; {EXAMPLES}"),
        (None, "mm", None, f"cannot read None as a match; {EXAMPLES}"),
        ("strait", "mm", None, f"cannot read 'strait' as a match: cannot read 'strait' as a length; {EXAMPLES}"),
        ("64/32/2 cm", None, None, f"cannot read '64/32/2 cm' as a match; {EXAMPLES}"),
        ("64/ cm", None, None, f"cannot read '64/ cm' as a match: cannot read 'cm' as a length; {EXAMPLES}"),
        ("/32 cm", None, None, f"cannot read '/32 cm' as a match; {EXAMPLES}"),
        (
            "6,400",
            None,
            None,
            (
                "cannot read '6,400' as a match: '6,400' has a comma; if it parts thousands write '6400', "
                f"if decimals a point; {EXAMPLES}"
            ),
        ),
        (
            "64/32",
            None,
            None,
            (
                "cannot read '64/32' as a match: 64 has no unit; write it with one (\"64 mm\"), "
                f'or put units = "mm" at the top of the file; {EXAMPLES}'
            ),
        ),
        (
            "-64 cm",
            None,
            None,
            f"cannot read '-64 cm' as a match: '-64 cm' is negative; a length is measured forwards; {EXAMPLES}",
        ),
        (10**400, "mm", None, f"so large a number cannot be a match; {EXAMPLES}"),
        (Decimal("1e-999999999"), "mm", None, f"a match has at most 30 decimal places; {EXAMPLES}"),
        (Decimal("NaN"), "mm", None, f"so large a number cannot be a match; {EXAMPLES}"),
        (
            "64/64 cm",
            None,
            None,
            "'64/64 cm': the offset equals the repeat; for a straight match write the repeat alone, such as \"64 cm\"",
        ),
        ("0/32 cm", None, None, f"'0/32 cm': the repeat is 0, so there is nothing to offset; {EXAMPLES}"),
        (
            "64/16 cm",
            None,
            None,
            (
                "an offset of 160 mm in a repeat of 640 mm needs offset_direction: "
                '"down" if the print of the strip to the right sits lower, "up" if it sits higher; look at the roll'
            ),
        ),
        ("64 cm", None, "left", 'offset_direction must be "down" or "up", not \'left\''),
    ],
)
def test_a_label_that_cannot_be_read_says_why(
    label: object, units: str | None, direction: str | None, message: str
) -> None:
    """Each message quotes the label, says the rule and shows how to write it."""
    with pytest.raises(PatternError) as caught:
        read_match(label, units, direction)

    assert str(caught.value) == message


# Arithmetic.


@pytest.mark.parametrize(
    ("repeat", "offset", "message"),
    [
        (640, -1, "repeat and offset cannot be negative"),
        (-640, 0, "repeat and offset cannot be negative"),
        (640, 640, "the offset 640 mm must be less than the repeat 640 mm"),
        (0, 1, "the offset 1 mm must be less than the repeat 0 mm"),
    ],
)
def test_a_pattern_that_cannot_be_printed_is_refused(repeat: int, offset: int, message: str) -> None:
    """An offset lies in [0, repeat)."""
    with pytest.raises(PatternError) as caught:
        Pattern(Fraction(repeat), Fraction(offset))

    assert str(caught.value) == message


def test_a_third_drop_is_back_where_it_began_after_every_third_column() -> None:
    """Three thirds are one repeat exactly; with 213 mm for a third, column 12 would be 4 mm out."""
    rounded = Pattern(Fraction(640), Fraction(213))

    assert {THIRD_DOWN.first_motif(column, Fraction(95)) for column in range(0, 201, 3)} == {Fraction(95)}
    assert rounded.first_motif(12, Fraction(95)) == 95 - 4


@given(patterns(), st.integers(-200, 200), lengths)
def test_neighbours_differ_by_the_offset(pattern: Pattern, column: int, at_start: Fraction) -> None:
    """Each strip to the right has its print lower by the offset, over whole repeats, for 200 columns each way."""
    here, right = (pattern.first_motif(number, at_start) for number in (column, column + 1))

    assert pattern.within_repeat(here + pattern.offset) == right
    assert 0 <= here < pattern.repeat or here == pattern.repeat == 0


@given(patterns(), lengths)
def test_a_whole_repeat_changes_nothing(pattern: Pattern, distance: Fraction) -> None:
    """A distance and the same with a repeat more are the same place in the print; a free match has one place."""
    assert pattern.within_repeat(distance) == pattern.within_repeat(distance + pattern.repeat)
    assert FREE.within_repeat(distance) == 0
    assert pattern.is_free == (pattern.repeat == 0)
