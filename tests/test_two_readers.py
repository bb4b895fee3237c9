"""The planner and the judge read lengths and labels with code of their own; here the two are set side by side."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import assume, given
from hypothesis import strategies as st

from cutplan.check.stated.exact_lengths import read_length as judge_length
from cutplan.check.stated.match import read_match as judge_match
from cutplan.errors import LengthError, PatternError
from cutplan.lengths import read_length
from cutplan.paper.match_label import read_match

NUMBERS = st.sampled_from(
    [
        "2",
        "64",
        "32",
        "21",
        "21.3",
        "0",
        "1/2",
        "8 3/8",
        "½",
        "8½",
        "640/3",
        "53",
        "26.5",
        "13.3",
        "12-5/8",
        ".5",
        "10",
        "2,4",
        "0,530",
        "2,400",
        "1234,567",
    ]
)
UNITS = st.sampled_from(["mm", "cm", " m", " in", "ft", "yd", '"', "'", "''", "″", " in.", " ft.", "inches", ""])
TERMS = st.builds("{}{}".format, NUMBERS, UNITS)
SCRIPTS = st.sampled_from(["0123456789", "٠١٢٣٤٥٦٧٨٩", "०१२३४५६७८९", "０１２３４５６７８９"])
BARE_UNITS = st.sampled_from([None, "mm", "cm", "in"])


@given(st.lists(TERMS, min_size=1, max_size=3), BARE_UNITS, SCRIPTS)
def test_the_judge_reads_every_length_as_the_planner_does(terms: list[str], units: str | None, script: str) -> None:
    """Whatever the planner accepts, the judge reads as the same number of millimetres, in digits of any script."""
    text = " ".join(terms).translate(str.maketrans("0123456789", script))
    length = None
    try:
        length = read_length(text, units)
    except LengthError:
        assume(False)  # noqa: FBT003 - the planner refuses it, so the judge never sees it

    assert judge_length(text, units) == length


@given(
    TERMS, st.one_of(TERMS, st.sampled_from(["half", "third", "quarter"])), BARE_UNITS, st.sampled_from(["up", "down"])
)
def test_the_judge_reads_every_label_as_the_planner_does(
    repeat: str, offset: str, units: str | None, direction: str
) -> None:
    """Swapped figures, rounded thirds and shared units mean the same print to both."""
    label = f"{repeat}/{offset}"
    read = None
    try:
        read = read_match(label, units, direction).pattern
    except PatternError:
        assume(False)  # noqa: FBT003 - as above

    judged = judge_match(label, units, direction)

    assert read is not None
    assert (judged.repeat, judged.offset) == (read.repeat, read.offset)


def test_both_read_an_offset_in_abbreviated_inches() -> None:
    """The point of ``in.`` does not hide the unit that serves both figures: 25 1/4 in, and half of it."""
    label = "25 1/4/12 5/8 in."
    half_drop = (Fraction(101, 4) * Fraction("25.4"), Fraction(101, 8) * Fraction("25.4"))

    planner, judge = read_match(label, "cm", None).pattern, judge_match(label, "cm", None)

    assert (planner.repeat, planner.offset) == (judge.repeat, judge.offset) == half_drop
