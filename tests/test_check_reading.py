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
from cutplan.check.stated.document import read_order
from cutplan.check.stated.echo import read_wanted
from cutplan.check.stated.exact_lengths import exact_number, read_length, simplest_near
from cutplan.check.stated.fields import Table
from cutplan.check.stated.json_text import parsed_json
from cutplan.check.stated.match import Match, read_match, says_reverse
from cutplan.check.stated.sold import lost_across, read_sold
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
        ("0,380 m", None, Fraction(380)),  # nobody parts thousands behind a 0
        ("1234,380 m", None, Fraction(1_234_380)),  # nor behind four figures
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


def test_numbers_of_absurd_size_are_none() -> None:
    """The places of a number and how far it is from 1 may be 60 together."""
    kept = [Decimal("1e59"), Decimal("1.23e57"), Decimal("1e-59")]
    assert [exact_number(number) for number in kept] == [Fraction(number) for number in kept]
    assert [exact_number(Decimal(number)) for number in ("1e60", "1.23e58", "1e-60", "inf", "nan")] == [None] * 5


def test_a_shown_length_stands_for_the_simplest_fraction_of_ten_thousandths_or_more() -> None:
    """213.33333333333334 stands for 640/3; a ten-thousandth is kept, and one part of 10 001 is none."""
    assert simplest_near(Fraction(213.33333333333334)) == Fraction(640, 3)
    assert simplest_near(Fraction(1, 10_000)) == Fraction(1, 10_000)
    assert simplest_near(Fraction(5000, 10_001)) == Fraction(4999, 9_999)


def test_width_is_lost_at_both_selvedges_and_half_the_lap_at_either_edge() -> None:
    """Of 10 mm, 6 mm and a lap of 4 mm: 12 mm before the strip begins, and 20 mm in all."""
    faults: list[str] = []
    paper = Table("paper", {"selvedge_left": "10 mm", "selvedge_right": "6 mm", "overlap": "4 mm"}, faults)

    assert lost_across(paper) == (Fraction(12), Fraction(20))
    assert faults == []


def test_strip_is_as_wide_as_the_roll_less_all_that_is_lost() -> None:
    """Of 560 mm, 530 hang between selvedges of 10 and 20 mm."""
    paper = {"roll_length": 10000, "roll_width": 560, "selvedge_left": 10, "selvedge_right": 20, "match": "free"}

    assert read_wanted(Table("scenario", {"units": "mm", "paper": paper, "drop": []}, [])).strip == 530


def test_a_packet_holds_a_roll_at_least_and_an_order_a_strip() -> None:
    """One may be told; none is a fault."""
    faults: list[str] = []
    sold = [read_sold(Table("paper", {"packet": packet}, faults)) for packet in (1, 0)]
    read_sold(Table("paper", {"sold_by": "m", "across": 0}, faults))

    assert [each.packet for each in sold] == [1, 1]
    assert faults == [f"paper.{key}: must be a whole number of at least 1, not 0" for key in ("packet", "across")]


def test_order_keeps_pace_with_hanging_unless_it_says_otherwise() -> None:
    """It opens one roll at least."""
    faults: list[str] = []
    order = read_order(Table("order", {"cuts": ["1"], "open_rolls": 0}, faults))

    assert order.follow == "follow"
    assert faults == ["order.open_rolls: must be a whole number of at least 1, not 0"]


def test_every_second_length_is_turned_where_a_key_says_so_or_the_match() -> None:
    """Either is enough."""
    papers: list[dict[str, object]] = [
        {"match": "free", "reverse": True},
        {"match": "free, reverse"},
        {"match": "free", "reverse": False},
        {},
    ]

    assert [says_reverse(paper) for paper in papers] == [True, True, False, False]


def test_a_price_by_the_single_is_as_many_times_that_of_a_roll() -> None:
    """A double roll at 20 the single costs 40; a packet of two at 20 costs 10 the roll."""
    double = {"roll_length": "10 m", "singles": 2, "price": 20, "price_per": "single"}
    packet = {"roll_length": "10 m", "packet": 2, "price": 20, "price_per": "packet"}

    assert [read_sold(Table("paper", paper, [])).price for paper in (double, packet)] == [40, 10]


def test_orders_are_the_least_and_whole_steps_beyond() -> None:
    """A least order of 3 m in steps of 1 mm: 1 m takes 3 m, and 3000.5 mm take 3001; one across may be told."""
    told = {"sold_by": "m", "order_least": "3 m", "order_step": "1 mm", "across": 1, "roll_length": "50 m"}
    faults: list[str] = []
    sold = read_sold(Table("paper", told, faults))

    assert [sold.orderable(Fraction(length)) for length in ("1000", "2999.5", "3000.5")] == [3000, 3000, 3001]
    assert faults == []


@pytest.mark.parametrize(
    ("written", "message"),
    [
        (2400, "2400 has no unit, and the scenario names none"),
        ("24.5", "24.5 has no unit, and the scenario names none"),
        ("", "cannot read '' as a length"),
        ("2,400 m", "cannot read '2,400 m' as a length"),  # thousands or decimals?
        ("120,080 m", "cannot read '120,080 m' as a length"),
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
        # Quarters, fifths, sixths and eighths are printed rounded too, the quarter here by the half millimetre.
        ("53/13.3 cm", None, "down", 530, Fraction(265, 2)),
        ("53.1/10.6 cm", None, "down", 531, Fraction(531, 5)),
        ("64/10.7 cm", None, "down", 640, Fraction(320, 3)),
        ("53/6.6 cm", None, "down", 530, Fraction(265, 4)),
        # 3 mm may round a third or a quarter of 10 mm, 4 mm a quarter or a fifth of 18 mm: the larger part is meant.
        ("10/3 mm", None, "down", 10, Fraction(10, 3)),
        ("18/4 mm", None, "down", 18, Fraction(9, 2)),
        # No label means a seventh or a ninth.
        ("64/9.1 cm", None, "down", 640, 91),
        ("64/7.1 cm", None, "down", 640, 71),
        # A third is 2/3 mm from 20 cm here, a quarter 3/8 mm from 15 cm, whether or not its millimetres are printed.
        ("60.2/20 cm", None, "down", 602, 200),
        ("60.15/15 cm", None, "down", Fraction("601.5"), Fraction("150.375")),
        ("60.15/15.0 cm", None, "down", Fraction("601.5"), Fraction("150.375")),
        # Of tenths of a millimetre no more than half a tenth is undone: 0.05, but not 0.06 or 0.07.
        ("60.1/15.03 cm", None, "down", 601, Fraction("150.25")),
        ("60.12/12.03 cm", None, "down", Fraction("601.2"), Fraction("120.3")),
        ("60.2/20.06 cm", None, "down", 602, Fraction("200.6")),
        ("3/0 mm", None, None, 3, 0),  # an eighth of it would be no more than half a millimetre from 0
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


def test_naught_is_a_number_and_a_missing_one_counts_as_naught() -> None:
    """Of counts that may be negative, of whole numbers by label, and of what is told exactly."""
    table = Table("", {"column": 0, "prices": {"1": 0}, "at": 0}, [])

    assert table.count("column", -5) == 0
    assert table.whole_numbers("prices") == {"1": 0}
    assert all(number == 0 for number in table.exact("at", "nowhere"))
    assert table.faults == ["nowhere: is missing"]


def test_the_key_that_stands_twice_in_an_object_is_named() -> None:
    """Not the one before it."""
    with pytest.raises(ValueError, match="the key 'twin' stands twice in one object"):
        parsed_json('{"once": 1, "twin": 1, "twin": 2}')
