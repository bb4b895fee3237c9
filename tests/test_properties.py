from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from hypothesis import assume, given
from hypothesis import strategies as st
from msgspec.structs import replace

from cutplan.errors import NoPlanError
from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Lot, Paper
from cutplan.solve import solve

if TYPE_CHECKING:
    from cutplan.lengths import Length

TRIM = Fraction(50)
ROLL_LENGTH = Fraction(10050)

repeats = st.sampled_from([Fraction(320), Fraction(530), Fraction(640), Fraction(4572, 10)])
parts = st.sampled_from([Fraction(0), Fraction(1, 2), Fraction(1, 3), Fraction(2, 3), Fraction(1, 4)])
patterns = st.builds(lambda repeat, part: Pattern(repeat, repeat * part), repeats, parts)
heights = st.lists(st.integers(300, 3200).map(Fraction), min_size=1, max_size=9)
distances = st.fractions(-2000, 2000, max_denominator=3)


@given(patterns, heights, distances, distances)
def test_moving_the_whole_print_up_or_down_changes_no_sealed_answer(
    pattern: Pattern, heights: list[Length], at_start: Length, moved: Length
) -> None:
    """The same distance added to every first motif leaves a sealed room's two answers as they were."""
    before = wall(pattern, heights, at_start)
    after = wall(pattern, heights, at_start + moved)

    assert answers(before) == answers(after)


@given(patterns, heights, distances, st.data())
def test_a_mirrored_room_with_the_offset_turned_takes_as_many_rolls(
    pattern: Pattern, heights: list[Length], at_start: Length, data: st.DataObject
) -> None:
    """Left for right, with lower to the right for higher, is the same plan, on measured rolls too."""
    lots = data.draw(measured_lots(pattern))
    turned = replace(pattern, offset=pattern.within_repeat(-pattern.offset))
    before = wall(pattern, heights, at_start, lots)
    drops = tuple(
        replace(drop, first_motif=turned.first_motif(-column, at_start)) for column, drop in enumerate(before.drops)
    )
    after = Job(replace(before.paper, pattern=turned), lots, drops[::-1])

    assert answers(before) == answers(after)


@given(patterns, heights, distances, st.integers(0, 3000).map(Fraction))
def test_longer_rolls_never_need_more_rolls(
    pattern: Pattern, heights: list[Length], at_start: Length, longer: Length
) -> None:
    """A sealed roll lengthened by any amount is enough for whatever the shorter one was enough for."""
    lots = (Lot("roll", ROLL_LENGTH, count=None),)
    longer_lots = (Lot("roll", ROLL_LENGTH + longer, count=None),)

    at_first = answers(wall(pattern, heights, at_start, lots))
    then = answers(wall(pattern, heights, at_start, longer_lots))

    assert no_worse(then, at_first)


@given(patterns, heights, distances, st.data())
def test_one_more_measured_roll_never_needs_more_rolls(
    pattern: Pattern, heights: list[Length], at_start: Length, data: st.DataObject
) -> None:
    """A roll more in hand may be left unopened, so it cannot make the plan worse."""
    lots = data.draw(measured_lots(pattern))
    assume(len(lots) > 1)

    fewer = answers(wall(pattern, heights, at_start, lots[1:]))
    more = answers(wall(pattern, heights, at_start, lots))

    assert no_worse(more, fewer)


@given(patterns, heights, distances, st.integers(0, 50).map(Fraction), st.integers(0, 50).map(Fraction))
def test_less_trim_never_needs_more_rolls(
    pattern: Pattern, heights: list[Length], at_start: Length, top: Length, bottom: Length
) -> None:
    """With less trim every piece still fits where it lay, so no roll is added."""
    full = wall(pattern, heights, at_start)
    less = replace(
        full,
        drops=tuple(replace(drop, trim_top=TRIM - top, trim_bottom=TRIM - bottom) for drop in full.drops),
    )

    assert no_worse(answers(less), answers(full))


@given(patterns, heights, distances, st.fractions(Fraction(1, 9), 40, max_denominator=9), st.data())
def test_scaling_every_length_changes_nothing(
    pattern: Pattern, heights: list[Length], at_start: Length, factor: Fraction, data: st.DataObject
) -> None:
    """A room, its paper and its rolls drawn at another scale take as many rolls."""
    lots = data.draw(measured_lots(pattern))
    job = wall(pattern, heights, at_start, lots)
    scaled = Job(
        replace(
            job.paper,
            pattern=Pattern(pattern.repeat * factor, pattern.offset * factor),
            roll_length=job.paper.roll_length * factor,
        ),
        tuple(
            replace(lot, length=lot.length * factor, first_motif=(lot.first_motif or Fraction(0)) * factor)
            for lot in lots
        ),
        tuple(
            replace(
                drop,
                height=drop.height * factor,
                first_motif=drop.first_motif * factor,
                trim_top=drop.trim_top * factor,
                trim_bottom=drop.trim_bottom * factor,
            )
            for drop in job.drops
        ),
    )

    assert answers(job) == answers(scaled)


@given(patterns, heights, distances, st.integers(2, 4))
def test_a_count_is_so_many_drops_written_out(
    pattern: Pattern, heights: list[Length], at_start: Length, count: int
) -> None:
    """A drop with count n takes what n drops exactly alike take."""
    job = wall(pattern, heights, at_start)
    counted = replace(job, drops=tuple(replace(drop, count=count) for drop in job.drops))
    written_out = replace(
        job,
        drops=tuple(replace(drop, label=f"{drop.label} copy {copy}") for drop in job.drops for copy in range(count)),
    )

    assert answers(counted) == answers(written_out)


@given(patterns, heights, distances, st.permutations(range(9)))
def test_the_order_of_the_drops_changes_no_answer(
    pattern: Pattern, heights: list[Length], at_start: Length, order: list[int]
) -> None:
    """However the drops are listed, as many rolls are needed."""
    job = wall(pattern, heights, at_start)
    shuffled = replace(job, drops=tuple(job.drops[place] for place in order if place < len(job.drops)))

    assert answers(job) == answers(shuffled)


@given(patterns, heights, distances, st.data())
def test_the_same_job_gives_the_same_plan(
    pattern: Pattern, heights: list[Length], at_start: Length, data: st.DataObject
) -> None:
    """Solving twice gives the same layouts, bound and certificate, not only the same number."""
    job = wall(pattern, heights, at_start, data.draw(measured_lots(pattern)))
    assume(answers(job) is not None)

    assert solve(job) == solve(job)


@st.composite
def measured_lots(draw: st.DrawFn, pattern: Pattern) -> tuple[Lot, ...]:
    """Draw one to four open rolls, each with the print beginning anywhere in its repeat."""
    starts = draw(st.lists(st.integers(0, 2000), min_size=1, max_size=4))
    return tuple(
        Lot(f"{number}", ROLL_LENGTH, pattern.within_repeat(Fraction(start)))
        for number, start in enumerate(starts, start=1)
    )


def wall(pattern: Pattern, heights: list[Length], at_start: Length, lots: tuple[Lot, ...] | None = None) -> Job:
    """Return a wall of one drop a column, each with its own height; sealed rolls unless told otherwise."""
    drops = tuple(
        Drop(f"{column}", height, pattern.first_motif(column, at_start), TRIM, TRIM)
        for column, height in enumerate(heights)
    )
    return Job(Paper("invented", pattern, ROLL_LENGTH), lots or (Lot("roll", ROLL_LENGTH, count=None),), drops)


def answers(job: Job) -> tuple[int, int] | None:
    """Return the rolls certain to do and the rolls at best, both proved; None when paper is short."""
    try:
        plan = solve(job)
    except NoPlanError:
        return None
    assert plan.proof.bound == plan.value
    if plan.at_best is None:
        return (plan.rolls_needed, plan.rolls_needed)
    assert plan.at_best.proof.bound == plan.at_best.value
    return (plan.rolls_needed, plan.at_best.rolls)


def no_worse(now: tuple[int, int] | None, before: tuple[int, int] | None) -> bool:
    """Return whether ``now`` takes no more rolls than ``before``; None means that paper was short."""
    if before is None:
        return True
    return now is not None and now[0] <= before[0] and now[1] <= before[1]
