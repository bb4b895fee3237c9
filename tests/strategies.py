"""Hypothesis strategies for lengths, patterns, drops, rolls and jobs, shared by all tests."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from hypothesis import strategies as st

from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.paper.pattern import FREE, Pattern
from cutplan.paper.stock import Lot, Paper

if TYPE_CHECKING:
    from cutplan.lengths import Length

INCH: Final = Fraction(127, 5)
PARTS: Final = (Fraction(0), Fraction(1, 2), Fraction(1, 3), Fraction(2, 3), Fraction(1, 4), Fraction(3, 4))

whole_millimetres = st.integers(1, 20_000).map(Fraction)
"""Lengths on a metric tape, from 1 mm to 20 m."""

sixteenths = st.integers(1, 800 * 16).map(lambda count: count * INCH / 16)
"""Lengths on an imperial tape, from a sixteenth of an inch to 66 ft 8 in."""

thirds = st.integers(1, 60_000).map(lambda count: Fraction(count, 3))
"""Lengths that no decimal number holds exactly."""

lengths = st.one_of(whole_millimetres, sixteenths, thirds)
"""Lengths of every kind that a scenario can give."""


@st.composite
def patterns(draw: st.DrawFn) -> Pattern:
    """Return a free match, or a straight, half-, third- or quarter-drop, with a repeat of 50 mm to 1 m."""
    repeat = draw(st.one_of(st.just(Fraction(0)), st.integers(50, 1000).map(Fraction), sixteenths_repeat))
    return Pattern(repeat, repeat * draw(st.sampled_from(PARTS))) if repeat else FREE


sixteenths_repeat = st.integers(2 * 16, 36 * 16).map(lambda count: count * INCH / 16)
"""Repeats of 2 to 36 inches."""


def first_motifs(pattern: Pattern) -> st.SearchStrategy[Length]:
    """Return first motifs in [0, repeat), in twelfths of the repeat; 0 alone for a free match."""
    return st.integers(0, 11).map(lambda part: part * pattern.repeat / 12)


@st.composite
def drops(draw: st.DrawFn, pattern: Pattern, label: str, highest: int = 2600, trim: int = 50) -> Drop:
    """Return one to four pieces alike, 200 mm to ``highest`` high."""
    return Drop(
        label=label,
        height=draw(st.integers(200, highest).map(Fraction)),
        first_motif=draw(first_motifs(pattern)),
        trim_top=Fraction(trim),
        trim_bottom=Fraction(trim),
        count=draw(st.integers(1, 4)),
    )


@st.composite
def lots(draw: st.DrawFn, pattern: Pattern, label: str, longest: int = 10_050) -> Lot:
    """Return a lot that holds any one drop of :func:`drops`: measured or sealed, limited or not."""
    return Lot(
        label=label,
        length=draw(st.integers(5000, longest).map(Fraction)),
        first_motif=draw(st.one_of(st.none(), first_motifs(pattern))),
        count=draw(st.one_of(st.none(), st.integers(1, 5))),
    )


@st.composite
def jobs(draw: st.DrawFn, most_drops: int = 6, most_lots: int = 3) -> Job:
    """Return a job whose first lot is bought as needed, so that some plan always exists."""
    pattern = draw(patterns())
    wanted = [draw(drops(pattern, str(number))) for number in range(1, draw(st.integers(1, most_drops)) + 1)]
    stock = [Lot("shop", Fraction(10_050), count=None)]
    stock += [draw(lots(pattern, f"lot {number}")) for number in range(1, draw(st.integers(0, most_lots - 1)) + 1)]
    return Job(Paper("invented", pattern, Fraction(10_050)), tuple(stock), tuple(wanted))
