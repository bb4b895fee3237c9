from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutplan.errors import LengthError
from cutplan.lengths import UNITS, Rounding, exact_mm, read_length, show, to_float_mm, unit_named
from strategies import lengths, sixteenths, whole_millimetres

EXAMPLES = 'write for example "2.4 m", "2400 mm" or "7 ft 10 1/2 in"'
INCH = Fraction(254, 10)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("2.4 m", Fraction(2400)),
        ("2.4m", Fraction(2400)),
        ("2400 mm", Fraction(2400)),
        ("240 CM", Fraction(2400)),
        ("2,4m", Fraction(2400)),  # a comma with one figure behind it parts no thousands
        ("0,530 m", Fraction(530)),  # nor does one with a nought before it
        ("1234,567 m", Fraction(1234567)),  # nor one with more than three figures before it
        ("8 ft 3", 99 * INCH),  # as the trade writes it: after feet a number without a unit is inches
        ("8' 2½", Fraction(25019, 10)),
        (".5 m", Fraction(500)),
        ("2m40", Fraction(2400)),  # as it is called out on the Continent: two figures are centimetres
        ("2m405", Fraction(2405)),  # and three are millimetres
        ("8ft 2in", 98 * INCH),  # 8 × 12 + 2
        ("8 ft. 2 in.", 98 * INCH),
        ("8ft 2 1/2in", Fraction(25019, 10)),  # 98.5 × 25.4
        ("8' 2\"", 98 * INCH),
        ("8′ 2″", 98 * INCH),
        ("8' 2''", 98 * INCH),  # two single quotes typed for inches
        ('95 1/4"', Fraction(95 * 4 + 1, 4) * INCH),
        ('95-1/4"', Fraction(95 * 4 + 1, 4) * INCH),
        ('95¼"', Fraction(95 * 4 + 1, 4) * INCH),
        ("8'2½\"", Fraction(25019, 10)),
        ("1/2 in", INCH / 2),
        ("½ in", INCH / 2),
        ("308 1/3 mm", Fraction(925, 3)),
        ("640/3 mm", Fraction(640, 3)),
        ("11 yds", 11 * 36 * INCH),
        ("11 1/2 yards", Fraction(23, 2) * 36 * INCH),
        ("3 yd 1 ft 6 in", (3 * 36 + 12 + 6) * INCH),
        ("0 mm", Fraction(0)),
    ],
)
def test_a_text_with_its_own_units_is_read_exactly(text: str, expected: Fraction) -> None:
    """Every way in which a paperhanger writes a length means one exact number of millimetres."""
    assert read_length(text) == expected


@pytest.mark.parametrize(
    ("value", "units", "expected"),
    [
        (2400, "mm", Fraction(2400)),
        ("2400", "mm", Fraction(2400)),
        (Decimal("2.4"), "m", Fraction(2400)),
        (Decimal("98.5"), "in", Fraction(25019, 10)),
        ("98 1/2", "inches", Fraction(25019, 10)),
        (Fraction(640, 3), "mm", Fraction(640, 3)),
        (Decimal("0E+99999999"), "mm", Fraction(0)),  # nothing, however many noughts it is written with
    ],
)
def test_a_bare_number_takes_the_units_of_the_scenario(value: object, units: str, expected: Fraction) -> None:
    """A number without a unit is in the scenario's unit, without any rounding."""
    assert read_length(value, units) == expected


@pytest.mark.parametrize(
    ("value", "units", "message"),
    [
        (
            "2,400",
            "mm",
            "'2,400' has a comma; if it parts thousands write '2400', if decimals a point",
        ),
        ("64/32 cm", None, f"'64/32 cm' looks like a match (repeat/offset), not a length; {EXAMPLES}"),
        ("64/21 cm", None, f"'64/21 cm' looks like a match (repeat/offset), not a length; {EXAMPLES}"),
        ("2m4", None, f"'2m4' has a number without a unit; {EXAMPLES}"),
        ("2 400 mm", "m", f"'2 400 mm' has a number without a unit; {EXAMPLES}"),
        ("2 m 3 cm 4", "mm", f"'2 m 3 cm 4' has a number without a unit; {EXAMPLES}"),
        ("1,234.5 mm", None, "'1,234.5 mm' has a comma; if it parts thousands write '1234.5 mm', if decimals a point"),
        ("8ft 2m", None, f"'8ft 2m' mixes metric and imperial units; {EXAMPLES}"),
        ("2 in 8 ft", None, f"'2 in 8 ft' must name the larger unit first, each once; {EXAMPLES}"),
        ("2 m 3 m", None, f"'2 m 3 m' must name the larger unit first, each once; {EXAMPLES}"),
        ("2.5 1/2 in", None, f"'2.5 1/2 in' mixes a decimal point and a fraction; {EXAMPLES}"),
        ("1/0 in", None, f"'1/0 in' divides by zero; {EXAMPLES}"),
        ("5 1/00 in", None, f"'5 1/00 in' divides by zero; {EXAMPLES}"),
        ("", "mm", f"an empty text is not a length; {EXAMPLES}"),
        ("  ", "mm", f"an empty text is not a length; {EXAMPLES}"),
        ("tall", "mm", f"cannot read 'tall' as a length; {EXAMPLES}"),
        ("-5 mm", None, "'-5 mm' is negative; a length is measured forwards"),
        ("−5 mm", None, "'−5 mm' is negative; a length is measured forwards"),
        ("5 parsecs", None, "unknown unit 'parsecs'; use mm, cm, m, in, ft or yd"),
        ("1e3 mm", None, "unknown unit 'e'; use mm, cm, m, in, ft or yd"),
        (
            "2400",
            None,
            '2400 has no unit; write it with one ("2400 mm"), or put units = "mm" at the top of the file',
        ),
        (
            Decimal("2.4"),
            None,
            '2.4 has no unit; write it with one ("2.4 mm"), or put units = "mm" at the top of the file',
        ),
        (True, "mm", f"cannot read True as a length; {EXAMPLES}"),
        (2.4, "m", f"cannot read 2.4 as a length; {EXAMPLES}"),
        (None, "m", f"cannot read None as a length; {EXAMPLES}"),
        (Decimal("Infinity"), "mm", f"cannot read Infinity as a length; {EXAMPLES}"),
        (Decimal("NaN"), "mm", f"cannot read NaN as a length; {EXAMPLES}"),
        (10**400, "mm", f"so large a number cannot be a length; {EXAMPLES}"),
        (Decimal("1e999999999"), "mm", f"so large a number cannot be a length; {EXAMPLES}"),
        (Decimal("1e-999999999"), "mm", f"a length has at most 30 decimal places; {EXAMPLES}"),
        ("9" * 5000, "mm", f"a text of 5000 characters cannot be a length; {EXAMPLES}"),
        ("10001 m", None, f"'10001 m' is longer than any wall or roll; {EXAMPLES}"),
        (10_001, "m", f"'10001' is longer than any wall or roll; {EXAMPLES}"),
    ],
)
def test_what_is_not_a_length_is_refused_with_what_was_found(value: object, units: str | None, message: str) -> None:
    """A length that could mean two things, or nothing, is an error that quotes it and says what to write."""
    with pytest.raises(LengthError) as caught:
        read_length(value, units)

    assert str(caught.value) == message


def test_units_have_many_spellings_and_one_name() -> None:
    """Inches, marks and words in either case stand for the same unit."""
    assert {unit_named(spelling) for spelling in ("in", "Inches", '"', "″", "ins")} == {"in"}
    assert {unit_named(spelling) for spelling in ("m", "metres", "Meter")} == {"m"}


def test_the_inch_is_25_4_mm_and_the_yard_914_4() -> None:
    """The international yard is 0.9144 m exactly, in three feet of twelve inches."""
    assert UNITS["in"] == Fraction("25.4")
    assert UNITS["ft"] == 12 * UNITS["in"]
    assert UNITS["yd"] == 3 * UNITS["ft"] == Fraction("914.4")


@given(st.integers(1, 200))
def test_nothing_drifts_over_two_hundred_columns(column: int) -> None:
    """Column k lies at exactly k times a third of 640 mm, or 25 1/4 in, summed one by one or at once."""
    third = read_length("640/3 mm")
    repeat = read_length("25 1/4 in")

    assert sum([third] * column, Fraction(0)) == Fraction(640 * column, 3)
    assert sum([repeat] * column, Fraction(0)) == Fraction(101, 4) * column * INCH


@given(whole_millimetres, st.sampled_from(["mm", "cm", "m"]))
def test_whole_millimetres_are_read_back_as_shown(length: Fraction, units: str) -> None:
    """A metric tape shows whole millimetres exactly: in mm, cm to 0.1 and m to 0.001."""
    assert read_length(show(length, units)) == length


@given(sixteenths, st.sampled_from(["in", "ft", "yd"]))
def test_sixteenths_of_an_inch_are_read_back_as_shown(length: Fraction, units: str) -> None:
    """An imperial tape shows sixteenths of an inch exactly."""
    assert read_length(show(length, units)) == length


@given(lengths, st.sampled_from(["mm", "cm", "m", "in"]))
def test_a_shown_length_is_off_by_less_than_one_step_the_way_it_is_asked(length: Fraction, units: str) -> None:
    """Rounding up never shows less, rounding down never more, and nearest is within half a step."""
    step = INCH / 16 if units == "in" else Fraction(1)
    up, down, nearest = (read_length(show(length, units, way)) - length for way in (
        Rounding.UP, Rounding.DOWN, Rounding.NEAREST
    ))  # fmt: skip

    assert 0 <= up < step
    assert -step < down <= 0
    assert abs(nearest) <= step / 2


@given(lengths)
def test_exact_millimetres_are_exact(length: Fraction) -> None:
    """The exact text of a length reads back as the same fraction, and the float is the nearest one."""
    assert Fraction(exact_mm(length)) == length
    assert to_float_mm(length) == length.numerator / length.denominator


@pytest.mark.parametrize(
    ("length", "units", "rounding", "expected"),
    [
        (Fraction(640, 3), "mm", Rounding.NEAREST, "213 mm"),
        (Fraction(640, 3), "mm", Rounding.UP, "214 mm"),
        (Fraction(-1, 2), "mm", Rounding.UP, "0 mm"),
        (Fraction(-3, 2), "mm", Rounding.UP, "−1 mm"),  # up is towards more, also below nothing
        (Fraction(-3, 2), "mm", Rounding.DOWN, "−2 mm"),
        (Fraction(2405), "cm", Rounding.NEAREST, "240.5 cm"),
        (Fraction(2400), "m", Rounding.NEAREST, "2.400 m"),
        (12 * INCH, "in", Rounding.NEAREST, "1 ft"),
        (INCH / 4, "in", Rounding.NEAREST, "1/4 in"),
        (Fraction(0), "in", Rounding.NEAREST, "0 in"),
        (Fraction(-1, 100), "in", Rounding.NEAREST, "0 in"),
        (Fraction("2501.9"), "ft", Rounding.NEAREST, "8 ft 2 1/2 in"),
    ],
)
def test_a_length_is_shown_as_a_tape_reads(length: Fraction, units: str, rounding: Rounding, expected: str) -> None:
    """Figures are those on the tape, with no sign before nothing."""
    assert show(length, units, rounding) == expected
