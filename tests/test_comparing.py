"""Comparing places for the start: which are tried, what each comes to, and which few are worth choosing from."""

from __future__ import annotations

from fractions import Fraction
from itertools import product
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from cutplan.comparing.comparison import Comparison, compare
from cutplan.comparing.figures import Compared
from cutplan.comparing.front import beaten_by, front_of, worth_of
from cutplan.comparing.placements import Focus, Insisted, NotARoomError, Placement, focus_named, focus_of, placements_of
from cutplan.comparing.proving import Proved
from cutplan.comparing.sweep import SweepTask, sweep
from cutplan.errors import NoPlanError
from cutplan.job.drops import drops_of
from cutplan.job.job import Job
from cutplan.paper.stock import Lot
from cutplan.plan.plan import TIME_LIMIT
from cutplan.setting_out import FinishAt, FinishOver, Puts, SettingOut, Way, set_out
from cutplan.solve import solve
from cutplan.solve.clock import Clock, TimeIsUp
from small_rooms import closed, opening, paper, run, start, wall

if TYPE_CHECKING:
    from cutplan.paper.stock import Paper

TRIMS = (Fraction(50), Fraction(50))
SEALED = (Lot("roll", Fraction(10_000), count=None),)
HALF_DROP = replace(paper(300, motif=200), motif_above=Fraction(100), motif_below=Fraction(120))


def feature_wall(puts: Puts = Puts.JOINT, material: Paper = HALF_DROP) -> SettingOut:
    """Return a wall 4000 wide with an alcove from 1400 to 2200, started on the alcove's middle at 1800."""
    alcove = opening(1400, 2200, 700, 2000, kind="alcove")
    return set_out(run(wall(4000, alcove, name="alcove wall")), material, start(1800, puts))


def whole_room() -> SettingOut:
    """Return four walls, with a door and a window off the wall on which hanging starts."""
    room = closed(
        wall(3000, opening(1000, 1800, 0, 1150, kind="fireplace"), name="focal wall"),
        wall(3500, opening(900, 2300, 800, 2050, kind="window"), name="window wall"),
        wall(3000, name="back wall"),
        wall(3500, opening(400, 1200, 0, 2000), name="door wall"),
    )
    return set_out(room, HALF_DROP, start(1400, Puts.MOTIF))


def job_of(setting_out: SettingOut, lots: tuple[Lot, ...] = SEALED) -> Job:
    """Return the job that a setting out makes."""
    return Job(setting_out.paper, lots, drops_of(setting_out, *TRIMS))


def compared(setting_out: SettingOut, insisted: Insisted | None = None) -> Comparison:
    """Return the comparison around the scenario's own start."""
    return compare(setting_out, job_of(setting_out), focus_of(setting_out), insisted=insisted)


# Which placements are tried


def test_sweep_covers_one_strip_at_ten_millimetres_or_finer() -> None:
    """Middles of the first strip lie 10 apart from half a strip left of the point to half a strip right of it."""
    placements = placements_of(feature_wall(), Focus(0, Fraction(1800)))
    middles = sorted(p.start.at for p in placements if p.start.puts is Puts.MIDDLE)

    # 500 wide: 250 to either side of 1800.
    assert middles == [Fraction(at) for at in range(1550, 2051, 10)]


def test_trade_candidates_are_tried() -> None:
    """Motif, joint and middle on the point, and a joint in either corner of its wall."""
    tried = {(p.start.at, p.start.puts) for p in placements_of(feature_wall(), Focus(0, Fraction(1800)))}

    on_point = {(Fraction(1800), puts) for puts in Puts}
    in_corners = {(Fraction(0), Puts.JOINT), (Fraction(4000), Puts.JOINT)}
    assert on_point | in_corners <= tried


def test_motif_is_not_tried_where_nobody_measured_it() -> None:
    """Without motif_from_left there is no motif to put anywhere."""
    setting_out = feature_wall(material=paper(300))

    assert not [p for p in placements_of(setting_out, focus_of(setting_out)) if p.start.puts is Puts.MOTIF]


def test_own_placement_comes_first_and_once() -> None:
    """The scenario's own start is compared with the others, not with itself."""
    setting_out = feature_wall()
    placements = placements_of(setting_out, focus_of(setting_out))

    assert [p.is_own for p in placements] == [True] + [False] * (len(placements) - 1)
    assert placements[0].start == setting_out.start
    assert len({(p.start, p.finish) for p in placements}) == len(placements)


def test_every_start_goes_with_every_sensible_finish() -> None:
    """A room may close over its door or its window, or in the two corners that the focal wall has no part in."""
    placements = placements_of(whole_room(), Focus(0, Fraction(1400)))
    starts = {p.start for p in placements}
    finishes = {p.finish for p in placements}

    assert finishes == {
        FinishOver(3, 0),
        FinishOver(1, 0),
        FinishAt(1, Fraction(3500)),
        FinishAt(2, Fraction(3000)),
    }
    assert {(p.start, p.finish) for p in placements} == set(product(starts, finishes))


def test_finish_of_the_trade_is_known_for_the_scenarios_own() -> None:
    """A scenario without a finish closes over the door, the best of the sensible places: it leaves least to see."""
    own = placements_of(whole_room(), Focus(0, Fraction(1400)))[0]

    assert (own.finish, own.finish_rank) == (FinishOver(3, 0), 0)


def test_finish_of_its_own_is_compared_too() -> None:
    """A scenario may close where the trade would not, in the middle of the back wall: that ranks last."""
    room = whole_room()
    elsewhere = set_out(room.room, room.paper, room.start, room.way, FinishAt(2, Fraction(1500)))
    placements = placements_of(elsewhere, focus_of(elsewhere))

    assert (placements[0].finish, placements[0].finish_rank) == (FinishAt(2, Fraction(1500)), 4)


def test_room_hung_one_way_has_no_finish_to_choose() -> None:
    """It closes at the first strip's own edge."""
    room = whole_room()
    one_way = set_out(room.room, room.paper, room.start, Way.RIGHT)

    assert {p.finish for p in placements_of(one_way, focus_of(one_way))} == {None}


@pytest.mark.parametrize(
    ("insisted", "starts", "finishes"),
    [
        (Insisted(on_focus=Puts.MOTIF), {(Puts.MOTIF, Fraction(1400))}, 4),
        (Insisted(on_focus=Puts.JOINT), {(Puts.MOTIF, Fraction(1400)), (Puts.JOINT, Fraction(1400))}, 4),
        (Insisted(start=True), {(Puts.MOTIF, Fraction(1400))}, 4),
        (Insisted(start=True, finish=True), {(Puts.MOTIF, Fraction(1400))}, 1),
    ],
)
def test_what_is_insisted_on_is_not_moved(
    insisted: Insisted, starts: set[tuple[Puts, Fraction]], finishes: int
) -> None:
    """Only what is left open varies; the scenario's own placement stands beside it."""
    setting_out = whole_room()
    placements = placements_of(setting_out, focus_of(setting_out), insisted=insisted)

    assert {(p.start.puts, p.start.at) for p in placements} == starts
    assert len({p.finish for p in placements}) == finishes


def test_focal_point_may_be_named() -> None:
    """The middle of a wall, opening or fitting, wherever the scenario itself starts."""
    room = whole_room().room

    assert focus_named(room, "fireplace") == Focus(0, Fraction(1400))
    assert focus_named(room, "back wall") == Focus(2, Fraction(1500))


def test_focal_point_of_no_such_name_is_refused() -> None:
    """The nearest name is offered; a name that two things have is no name."""
    with pytest.raises(NotARoomError) as refused:
        focus_named(whole_room().room, "fire place")
    assert str(refused.value) == "nothing in the room is called 'fire place'; did you mean 'fireplace'?"

    twins = run(wall(4000, opening(500, 900, 0, 2000), opening(2000, 2400, 0, 2000)))
    with pytest.raises(NotARoomError) as refused:
        focus_named(twins, "door")
    assert str(refused.value) == ("2 things in the room are called 'door'; name them apart, or start from another")


# What each comes to


def test_figures_of_a_placement_worked_out_by_hand() -> None:
    """A joint at 1800: strips of 500 from 300 on, so 300 and 200 are left at the ends of the wall.

    Joints stand at 300, 800, 1300, 1800 and so on: 100 from the alcove's left side at 1400, 100 from its right at 2200.
    The first motif hangs 100 below the ceiling and reaches 100 up: just whole. One column on, the first hangs at 400,
    and the one above it, at -200, ends 80 above the ceiling: no motif is cut at the top.
    """
    own = compared(feature_wall()).own

    assert own.narrowest == 200
    assert own.to_opening == 100
    assert own.cut_at_top == 0
    assert own.closing is None


def test_motifs_cut_at_the_top_are_counted_by_column() -> None:
    """With the first motif only 50 below the ceiling, every other column loses 50 of it.

    Columns 0 to 4 go right from 1800 and -1 to -4 left; 0, 2, 4, -2 and -4 hang alike. The motif stands 250 from a
    strip's left: column 4, at the end of the wall, shows only the left 200 of its width and so no motif; column -4
    shows all but the left 200. That leaves 0, 2, -2 and -4.
    """
    setting_out = feature_wall()
    lower = set_out(setting_out.room, replace(HALF_DROP, motif_from_left=Fraction(250)), start(1800, drop=50))

    assert compared(lower).own.cut_at_top == 4


@pytest.mark.parametrize("setting_out", [feature_wall(), whole_room()], ids=["wall", "room"])
def test_number_of_rolls_is_that_of_a_plan(setting_out: SettingOut) -> None:
    """Every placement compared is proved, and takes what a plan of its own drops takes."""
    task = SweepTask(setting_out.room, setting_out.paper, setting_out.way, SEALED, TRIMS)
    swept = sweep(task, placements_of(setting_out, focus_of(setting_out)))

    assert all(found.proved is not None and found.proved.is_proved for found in swept.compared)
    for found in swept.compared[::17]:
        place = found.placement
        alone = set_out(setting_out.room, setting_out.paper, place.start, setting_out.way, place.finish)
        assert found.proved is not None
        assert found.proved.rolls == solve(job_of(alone)).rolls_needed


def test_progress_is_told_after_each_placement() -> None:
    """Whoever watches sees how many of how many are done."""
    setting_out = feature_wall()
    told: list[tuple[int, int]] = []
    task = SweepTask(setting_out.room, setting_out.paper, setting_out.way, SEALED, TRIMS)
    placements = placements_of(setting_out, focus_of(setting_out))
    sweep(task, placements, lambda done, total: told.append((done, total)))

    assert told == [(done, len(placements)) for done in range(1, len(placements) + 1)]


def test_interrupted_sweep_keeps_what_is_done() -> None:
    """Ctrl-C after the fifth placement leaves five, and says how many were not reached."""
    setting_out = feature_wall()
    task = SweepTask(setting_out.room, setting_out.paper, setting_out.way, SEALED, TRIMS)
    placements = placements_of(setting_out, focus_of(setting_out))

    def stop(done: int, _: int) -> None:
        if done == 5:
            raise KeyboardInterrupt

    swept = sweep(task, placements, stop)

    assert (len(swept.compared) + swept.refused, swept.left) == (5, len(placements) - 5)


class TwoMore(Clock):
    """A clock that is up the third time it is looked at."""

    def __init__(self) -> None:
        super().__init__(3600)
        self._looks = iter((None, None))

    def check(self) -> None:
        """Say that time is up from the third time on."""
        try:
            next(self._looks)
        except StopIteration:
            raise TimeIsUp(TIME_LIMIT) from None


def test_sweep_whose_time_is_up_keeps_what_is_done() -> None:
    """The first placement is worked out whatever it takes, here two more; it is said why the others are not."""
    setting_out = feature_wall()
    task = SweepTask(setting_out.room, setting_out.paper, setting_out.way, SEALED, TRIMS)
    placements = placements_of(setting_out, focus_of(setting_out))

    swept = sweep(task, placements, clock=TwoMore())

    assert (len(swept.compared) + swept.refused, swept.left) == (3, len(placements) - 3)
    assert swept.stopped == TIME_LIMIT
    assert sweep(task, placements[:3], clock=TwoMore()).stopped is None


def test_processes_side_by_side_find_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two processes are used where that pays, here always, and give the figures that one gives, in the same order."""
    setting_out = whole_room()
    task = SweepTask(setting_out.room, setting_out.paper, setting_out.way, SEALED, TRIMS)
    placements = placements_of(setting_out, focus_of(setting_out))[:60]
    alone = sweep(task, placements)
    monkeypatch.setattr("cutplan.comparing.sweep.PAYS_FROM", 0)

    assert sweep(task, placements, processes=2) == alone


def test_placements_that_the_room_refuses_are_counted() -> None:
    """A joint in the right corner, hung to the right first, leaves the first strip no wall to hang on."""
    assert compared(feature_wall()).refused == 1


def test_rolls_in_hand_too_few_for_every_placement_are_told() -> None:
    """The reason is that of the scenario's own placement, with what is short."""
    setting_out = feature_wall()
    few = (Lot("A", Fraction(10_000)),)

    with pytest.raises(NoPlanError) as refused:
        compare(setting_out, job_of(setting_out, few), focus_of(setting_out))
    assert str(refused.value).startswith("the 1 roll listed is not enough: ")


# The few worth choosing from


def judged(
    rolls: int,
    *,
    puts: Puts | None = None,
    narrowest: int = 300,
    to_opening: int = 100,
    cut: int = 0,
    rank: int = 0,
    is_own: bool = False,
) -> Compared:
    """Return a placement of which only the figures matter."""
    placement = Placement(start(0), None, puts, rank, is_own)
    value = Fraction(rolls)
    return Compared(placement, Proved(value, rolls, value), Fraction(narrowest), Fraction(to_opening), cut, None)


@pytest.mark.parametrize(
    "worse",
    [
        judged(8, puts=Puts.JOINT),
        judged(7),
        judged(7, puts=Puts.JOINT, narrowest=249),
        judged(7, puts=Puts.JOINT, to_opening=40),
        judged(7, puts=Puts.JOINT, cut=3),
        judged(7, puts=Puts.JOINT, rank=1),
    ],
    ids=["rolls", "centred", "narrowest", "joint", "motifs", "finish"],
)
def test_placement_worse_in_one_respect_is_beaten(worse: Compared) -> None:
    """Each respect counts: rolls, what is centred, the narrowest strip, the nearest joint, motifs, the finish."""
    good = judged(7, puts=Puts.JOINT)

    assert front_of([worse, good]) == (good,)
    assert beaten_by(worse, [good]) is good


def test_placements_better_in_different_respects_both_stand() -> None:
    """A roll fewer against the motif on the centre is for the customer to weigh; the cheaper is listed first."""
    cheap, centred = judged(7), judged(8, puts=Puts.MOTIF)

    assert front_of([centred, cheap]) == (cheap, centred)
    assert beaten_by(centred, [cheap, centred]) is None


def test_differences_that_nobody_minds_do_not_count() -> None:
    """A joint 90 from an opening is as good as one 60 from it: both are clear of the 50 that the trade advises."""
    proved = Proved(Fraction(7), 7, Fraction(7))
    narrow, wide = judged(7, narrowest=300), judged(7, narrowest=349)

    assert worth_of(judged(7, to_opening=60), proved) == worth_of(judged(7, to_opening=90), proved)
    assert front_of([narrow, wide]) == (wide,)  # One stands for both: the wider.


def test_own_placement_stands_for_those_judged_alike() -> None:
    """Nobody is asked to change to a placement that is no better."""
    own, other = judged(7, narrowest=300, is_own=True), judged(7, narrowest=340)

    assert front_of([other, own]) == (own,)


def test_no_placement_beats_one_of_the_front_and_each_other_is_matched_by_it() -> None:
    """Of a whole room's sweep: what the front leaves out is matched in every respect by one that it shows."""
    setting_out = whole_room()
    task = SweepTask(setting_out.room, setting_out.paper, setting_out.way, SEALED, TRIMS)
    swept = sweep(task, placements_of(setting_out, focus_of(setting_out)))
    front = front_of(swept.compared)
    shown = [worth_of(found, found.proved) for found in front if found.proved is not None]

    assert len(shown) == len(front) > 0
    for found in swept.compared:
        assert found.proved is not None
        worth = worth_of(found, found.proved)
        assert not any(worth.beats(best) for best in shown)
        assert any(best == worth or best.beats(worth) for best in shown)


def test_front_has_only_what_is_insisted_on() -> None:
    """With the motif asked for on the point, nothing else is offered, and the scenario's own joint stands apart."""
    found = compared(feature_wall(Puts.JOINT), Insisted(on_focus=Puts.MOTIF))

    assert {best.placement.on_focus for best in found.front} == {Puts.MOTIF}
    assert found.own.placement.on_focus is Puts.JOINT
    assert found.own not in found.front
