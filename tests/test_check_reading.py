"""The checker's own reading of lengths and labels, against values worked out by hand and against the package's."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutplan import lengths
from cutplan.check.report import exact_text
from cutplan.check.stated.exact_lengths import exact_number, read_length
from cutplan.check.stated.match import Match, read_match
from cutplan.paper import match_label

INCH = Fraction("25.4")
FREE = Match(Fraction(0), Fraction(0))


@pytest.mark.parametrize(
    ("written", "units", "expected"),
    [
        (2400, "mm", Fraction(2400)),
        (2.4, "m", Fraction(2400)),
        (Decimal("0.1"), "mm", Fraction(1, 10)),
        ("240", "cm", Fraction(2400)),
        ("2.4 m", None, Fraction(2400)),
        ("2,4 m", None, Fraction(2400)),
        ("8 ft 2", None, Fraction("2489.2")),  # 98 · 25.4
        ("2 m 40 cm", None, Fraction(2400)),
        ("2m40", None, Fraction(2400)),
        ("95 1/4 in", None, 95 * INCH + INCH / 4),
        ("95-1/4 in", None, 95 * INCH + INCH / 4),
        ('95¼"', None, 95 * INCH + INCH / 4),
        ("½ in", None, INCH / 2),
        ("8 ft 2 1/2 in", None, Fraction("2501.9")),  # 98.5 · 25.4
        ("8'2½\"", None, Fraction("2501.9")),
        ("8ft. 2.5ins.", None, Fraction("2501.9")),
        ("213 1/3 mm", None, Fraction(640, 3)),
        ("640/3", "mm", Fraction(640, 3)),
        ("5 yards", None, 180 * INCH),
        (".5 cm", None, Fraction(5)),
        (98, "inches", 98 * INCH),
    ],
)
def test_length_is_read_exactly(written: object, units: str | None, expected: Fraction) -> None:
    """A length stands for the exact millimetres that its writing says, and the planner reads it alike."""
    assert read_length(written, units) == expected
    plain = Decimal(str(written)) if isinstance(written, float) else written
    assert lengths.read_length(plain, units) == expected


@pytest.mark.parametrize(
    ("written", "message"),
    [
        (2400, "2400 has no unit, and the scenario names none"),
        ("24.5", "24.5 has no unit, and the scenario names none"),
        ("", "cannot read '' as a length"),
        ("2,400 m", "cannot read '2,400 m' as a length"),  # thousands or decimals?
        ("-2 m", "cannot read '-2 m' as a length"),
        ("1 2 ft", "cannot read '1 2 ft' as a length"),
        ("1.5 1/2 in", "cannot read '1.5 1/2 in' as a length"),
        ("1/0 in", "'1/0 in' divides by zero"),
        ("3 cubits", "unknown unit 'cubits'"),
        (True, "cannot read True as a length"),
        (None, "cannot read None as a length"),
        (-5, "cannot read -5 as a length"),
    ],
)
def test_what_is_no_length_is_refused(written: object, message: str) -> None:
    """Nothing is guessed: a text that is no length is named."""
    with pytest.raises(ValueError, match=re.escape(message)) as refused:
        read_length(written, None)

    assert str(refused.value) == message  # and no more than that


@pytest.mark.parametrize(
    ("label", "units", "direction", "repeat", "offset"),
    [
        ("64 cm", None, None, 640, 0),
        ("64/0 cm", None, None, 640, 0),
        ("64/32 cm", None, None, 640, 320),
        ("32/64 cm", None, None, 640, 320),  # since an offset is less than its repeat [practice]
        ("64 cm / 320 mm", None, None, 640, 320),
        (64, "cm", None, 640, 0),
        (26.5, "cm", None, 265, 0),
        ("64/32", "cm", "up", 640, 320),
        ("64 cm/half", None, None, 640, 320),
        ("64 cm/third", None, "down", 640, Fraction(640, 3)),
        ("64 cm/quarter", None, "down", 640, 160),
        ("64 cm/quarter", None, "up", 640, 480),
        ("64/16 cm", None, "up", 640, 480),
        ("64/21.3 cm", None, "down", 640, Fraction(640, 3)),
        ("21.3/64 cm", None, "down", 640, Fraction(640, 3)),
        ("64/21.3 cm", None, "up", 640, Fraction(1280, 3)),
        ("640/213 mm", None, "down", 640, Fraction(640, 3)),
        ("64/42.7 cm", None, "down", 640, Fraction(1280, 3)),
        # 21 cm may round a third, but is 3⅓ mm from it: more than a label's rounding that may be undone.
        ("64/21 cm", None, "down", 640, 210),
        ("25 1/4/12 5/8 in", None, None, Fraction(101, 4) * INCH, Fraction(101, 8) * INCH),
        # A third of 25 1/4 in is 8.4167 in: printed to the nearest 1/64 it is 8 27/64, 0.13 mm from it.
        ("25 1/4 / 8 27/64 in", None, "down", Fraction(101, 4) * INCH, Fraction(101, 12) * INCH),
        ('21"/10.5"', None, None, 21 * INCH, Fraction(21, 2) * INCH),
        ("2 ft 1 in / 1 ft", None, "down", 25 * INCH, 12 * INCH),
    ],
)
def test_label_is_read_as_printed(
    label: object, units: str | None, direction: str | None, repeat: Fraction, offset: Fraction
) -> None:
    """A label gives the exact repeat, and how much lower the strip to the right sits; the planner agrees."""
    assert read_match(label, units, direction) == Match(Fraction(repeat), Fraction(offset))
    plain = Decimal(str(label)) if isinstance(label, float) else label
    planned = match_label.read_match(plain, units, direction).pattern
    assert (planned.repeat, planned.offset) == (repeat, offset)


@pytest.mark.parametrize("label", ["free", "Free match", "random", 0, " 0 ", "0 cm", "0/0 mm"])
def test_label_without_match_is_free(label: object) -> None:
    """Nothing to match is a repeat of 0."""
    assert read_match(label, "mm", None) == FREE


@pytest.mark.parametrize(
    ("label", "direction", "message"),
    [
        ("64/16 cm", None, "this offset needs an offset_direction"),
        ("64/32 cm", "left", 'offset_direction must be "down" or "up", not \'left\''),
        ("64/64 cm", None, "'64/64 cm': the offset equals the repeat"),
        ("0/32 cm", None, "'0/32 cm': an offset needs a repeat"),
        ("64/32/16 cm", None, "cannot read '64/32/16 cm' as a match"),
        ("64/", None, "cannot read '64/' as a match"),
        (None, None, "cannot read None as a match"),
        (True, None, "cannot read True as a match"),
    ],
)
def test_what_is_no_match_is_refused(label: object, direction: str | None, message: str) -> None:
    """A label that says nothing clear is refused with what is unclear."""
    with pytest.raises(ValueError, match=re.escape(message)) as refused:
        read_match(label, None, direction)

    assert str(refused.value) == message  # and no more than that


decimals = st.integers(1, 9000).map(lambda tenths: f"{Decimal(tenths) / 10:f}")


@given(decimals, decimals, st.sampled_from(["mm", "cm", "in"]), st.sampled_from(["down", "up"]))
@settings(max_examples=200, deadline=None)
def test_planner_and_checker_read_every_label_alike(first: str, second: str, unit: str, direction: str) -> None:
    """Two readings that share no code agree on repeat and offset, roundings undone or not."""
    label = f"{first}/{second} {unit}"
    try:
        planned = match_label.read_match(label, None, direction).pattern
    except ValueError:
        assert Fraction(first) == Fraction(second)
        return

    assert read_match(label, None, direction) == Match(planned.repeat, planned.offset)


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (3, Fraction(3)),
        (0.1, Fraction(1, 10)),
        ("640/3", Fraction(640, 3)),
        ("588.00", Fraction(588)),
        ("-5/2", Fraction(-5, 2)),
        (True, None),
        ("1e9", None),
        ("1/0", None),
        (float("inf"), None),
        (Decimal("NaN"), None),
        (Decimal("1E+999999999"), None),
        (Decimal("1E-999999999"), None),
        ([], None),
    ],
)
def test_number_is_taken_exactly_or_not_at_all(value: object, expected: Fraction | None) -> None:
    """Numbers that could fill the memory, and what is no number, are not read."""
    assert exact_number(value) == expected


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (Fraction(5), "5"),
        (Fraction(127, 5), "25.4"),
        (Fraction(-1, 400), "−0.0025"),
        (Fraction(640, 3), "213 1/3"),
        (Fraction(-7, 3), "−2 1/3"),
        (Fraction(1, 6), "1/6"),
        (Fraction(0), "0"),
    ],
)
def test_amounts_are_shown_without_rounding(value: Fraction, expected: str) -> None:
    """A decimal where one ends, a mixed fraction where none does."""
    assert exact_text(value) == expected
