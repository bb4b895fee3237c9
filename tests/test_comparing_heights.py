"""The vertical question: what each height of the first motif cuts at ceiling and foot, in each class of columns."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from cutplan.comparing.heights import ClassCuts, Heights, MotifCut, heights_of
from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Paper
from cutplan.setting_out import CutMotif, Edge, motifs_cut, set_out
from small_rooms import paper, run, start, wall

NOTHING = ClassCuts(None, None)


def asked(offset: int, *, height: int = 2400, level_line: int | None = None, drop: int = 180) -> Heights:
    """Return the answer for a motif that reaches 120 above its datum and 140 below it; the repeat is 600."""
    material = replace(paper(offset), motif_above=Fraction(120), motif_below=Fraction(140))
    room = run(wall(2000, top=height), level_line=level_line)
    heights = heights_of(set_out(room, material, start(0, drop=drop)))
    assert heights is not None
    return heights


def cut(at_low: int, at_high: int) -> MotifCut:
    """Return a cut in whole millimetres."""
    return MotifCut(Fraction(at_low), Fraction(at_high))


def runs(*pairs: tuple[int, int]) -> tuple[tuple[Fraction, Fraction], ...]:
    """Return heights, from and to, in whole millimetres."""
    return tuple((Fraction(low), Fraction(high)) for low, high in pairs)


def lengths(*whole: int) -> tuple[Fraction, ...]:
    """Return lengths in whole millimetres."""
    return tuple(map(Fraction, whole))


def test_straight_match_has_one_class_worked_out_by_hand() -> None:
    """Under a ceiling at 2400, four repeats of 600 above the foot, datums stand at f and f + 2400 - 600 = f + 1800.

    Up to f = 120 the ceiling cuts 120 - f off the first motif, and the foot 140 + f off the one whose datum lies f
    below the foot, of which 120 - f show. From 120 to 460 nothing is cut. From 460 on the motif at f - 600 shows
    f - 460 below the ceiling, of 260, and the last one at f + 1800 loses f + 1800 + 140 - 2400 = f - 460.
    """
    found = asked(0)

    assert tuple((height.low, height.high) for height in found.ranges) == runs((0, 120), (120, 460), (460, 600))
    assert [height.classes for height in found.ranges] == [
        (ClassCuts(cut(120, 0), cut(140, 260)),),
        (NOTHING,),
        (ClassCuts(cut(260, 120), cut(0, 140)),),
    ]
    assert found.whole_at_top == found.whole == runs((120, 460))


def test_half_drop_has_two_classes() -> None:
    """On a half-drop the next column hangs 300 lower: where the first is whole from 120 to 460, it is from 420 to 160.

    So nothing at all is cut from 120 to 160 and from 420 to 460.
    """
    found = asked(300)

    assert found.classes == 2
    assert found.whole_at_top == runs((120, 460))
    assert found.whole == runs((120, 160), (420, 460))


def test_third_drop_has_three_classes_and_no_balance() -> None:
    """Columns hang 0, 200 and 400 lower; no height serves all three, and a motif of 260 is cut at every height."""
    found = asked(200)

    assert found.classes == 3
    assert found.balanced == ()
    assert found.whole == ()


def test_balance_worked_out_by_hand() -> None:
    """At 290 the motifs reach from 170 to 430 and so on, the last from 1970 to 2230: 170 is left at both edges.

    Half a repeat on, at 590, the one above at -10 shows 130 below the ceiling, the last at 2390 shows 130 above
    the foot. On a half-drop the columns between are then in the other of the two.
    """
    assert asked(0).balanced == asked(300).balanced == lengths(290, 590)


def test_level_line_above_the_ceiling_moves_every_height() -> None:
    """A print hung from a line 50 above the ceiling needs 50 more for the same motif below it."""
    assert asked(0, level_line=2450).whole_at_top == runs((170, 510))
    assert asked(0, level_line=2450).balanced == lengths(40, 340)


def test_height_now_is_told_exactly() -> None:
    """On a half-drop at 180 the next column has motifs at 480 and at -120: the ceiling leaves 20 of that.

    The foot cuts 20 off its motif at 2280.
    """
    first, second = asked(300).cut_now

    assert first == ()
    assert second == (CutMotif(Edge.TOP, Fraction(240), Fraction(20)), CutMotif(Edge.FOOT, Fraction(20), Fraction(240)))


def test_free_match_has_no_height() -> None:
    """Nothing repeats, so nothing can be hung higher or lower."""
    assert heights_of(set_out(run(wall(2000)), paper(repeat=0), start(0))) is None


def test_motif_that_nobody_measured_is_cut_nowhere() -> None:
    """Without its reach only the balance of its datums can be told."""
    found = heights_of(set_out(run(wall(2000)), paper(300), start(0)))

    assert found is not None
    assert tuple((height.low, height.high) for height in found.ranges) == runs((0, 600))
    assert found.balanced == lengths(0, 300)


@settings(max_examples=60, deadline=None)
@given(
    repeat=st.integers(200, 900),
    part=st.sampled_from([Fraction(0), Fraction(1, 2), Fraction(1, 3), Fraction(2, 3), Fraction(1, 4)]),
    reach=st.tuples(st.integers(0, 90), st.integers(0, 90)),
    height=st.integers(300, 3000),
    hung=st.integers(-200, 200),
)
def test_ranges_say_at_every_height_what_the_edges_cut(
    repeat: int, part: Fraction, reach: tuple[int, int], height: int, hung: int
) -> None:
    """Within each range every class is cut as a piece of its first motif would be, and the ranges leave no gap."""
    above, below = map(Fraction, reach)
    pattern = Pattern(Fraction(repeat), repeat * part)
    material = Paper("invented", pattern, Fraction(10_000), Fraction(500), motif_above=above, motif_below=below)
    room = run(wall(2000, top=height), level_line=height + hung)
    found = heights_of(set_out(room, material, start(0)))
    assert found is not None

    assert [found.ranges[0].low, *(height.high for height in found.ranges)] == [
        *(height.low for height in found.ranges),
        repeat,
    ]
    for heights in found.ranges:
        for share in (Fraction(1, 5), Fraction(4, 5)):
            drop = heights.low + share * (heights.high - heights.low)
            for number, cuts in enumerate(heights.classes):
                first = pattern.first_motif(number, drop - hung)
                expected = {cut.edge: cut.cut_off for cut in motifs_cut(material, Fraction(height), first)}
                shown = {Edge.TOP: cuts.ceiling, Edge.FOOT: cuts.skirting}

                assert {
                    edge: cut.at_low + share * (cut.at_high - cut.at_low)
                    for edge, cut in shown.items()
                    if cut is not None
                } == expected


@settings(max_examples=60, deadline=None)
@given(part=st.sampled_from([Fraction(0), Fraction(1, 2)]), height=st.integers(1500, 3000), below=st.integers(0, 200))
def test_balance_shows_as_much_at_the_foot_as_at_the_ceiling(part: Fraction, height: int, below: int) -> None:
    """At a balanced height, in each class, the first whole motif is as far from one edge as the last from the other."""
    repeat, above = Fraction(640), Fraction(70)
    pattern = Pattern(repeat, repeat * part)
    reach = Fraction(below)
    material = Paper("invented", pattern, Fraction(10_000), Fraction(500), motif_above=above, motif_below=reach)
    found = heights_of(set_out(run(wall(2000, top=height)), material, start(0)))
    assert found is not None

    assert len(found.balanced) == 2
    for drop in found.balanced:
        for number in range(found.classes):
            first = pattern.first_motif(number, drop)
            whole = [
                datum
                for count in range(-1, 10)
                if (datum := first + count * repeat) >= above and datum + reach <= height
            ]
            assert whole[0] - above == height - whole[-1] - reach
