"""Small facts of the record on which paper depends: what is left, what is told, what is where after a correction."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Final

import pytest
from msgspec.structs import replace

from cutplan.paper.pattern import FREE, Pattern
from cutplan.paper.stock import Lot, Stretch
from cutplan.progress.corrected_survey import changes, correction
from cutplan.progress.entries import (
    AtWork,
    Corrected,
    CutPiece,
    Done,
    Event,
    Flawed,
    Measured,
    Pasted,
    Spoiled,
    recorded,
)
from cutplan.progress.plan_in_use import StockLot
from cutplan.progress.record import Entry, RecordRead, fingerprint, open_record
from cutplan.progress.record_beside import record_path
from cutplan.progress.remains import misfits, remains_of
from cutplan.progress.roll_now import roll_at_table
from cutplan.progress.state import MOST_LONGER, Loss, NotPossibleError, State
from cutplan.progress.still_enough import rest_sequence, still_enough
from cutplan.progress.work import ChangedScenarioError, OpenWork, open_work
from cutplan.scenario.read import Scenario, parse_scenario
from cutplan.solve import solve
from cutplan.table.steps import OpenRoll, Sequence
from hand_plans import drop, half_drop_wall, job, packed
from small_work import begun, done, free_work, in_use
from test_days_otherwise import ROOM
from test_kept_days import RECORD, InMemory
from test_numbered_sheets import mural, planned

if TYPE_CHECKING:
    from cutplan.job.job import Job
    from cutplan.plan.plan import Plan

MM = Fraction
STRAIGHT: Final = Pattern(MM(600), MM(0))
OPENING: Final = 'kind = "door"\nleft = 1100\nwidth = 400\nheight = 1900\n'
"""Of the room's wall of four strips of 500."""
PLAIN: Final = 'units = "mm"\n[paper]\nroll_length = 10050\nroll_width = 500\nmatch = "free"\n'


def scenario_for(state: State) -> Scenario:
    """Return a scenario of a job made by hand."""
    return Scenario(state.job, "mm", (), {"units": "mm"}, "wall.toml")


def event(kind: str, **facts: object) -> Event:
    """Return an event as an entry with these facts is read."""
    return recorded(RecordRead((Entry(1, "", kind, facts),)), RECORD)[0].event


# What entries of earlier versions leave out


def test_what_an_entry_leaves_out_is_what_was_usual() -> None:
    """Steps done once; what is sound of a spoiled piece is at its top."""
    assert event("done", plan=1, steps=[1]) == Done(1, (1,), times=1)
    assert getattr(event("spoiled", piece="1", why="torn", good="900"), "good_at_top", None) is True


def test_entry_of_paper_that_is_not_there_still_opens_though_no_new_one_is_recorded() -> None:
    """The plan cuts two rolls; what was measured on a fourth was not asked for once."""
    measured = Measured("roll-4", MM(9900))

    assert begun().after(measured).roll("roll-4").left == 9900
    with pytest.raises(NotPossibleError) as caught:
        begun().after(measured, is_new=True)
    assert str(caught.value) == "roll-4 is not in hand; rolls not opened yet: roll-1, roll-2"
    with pytest.raises(NotPossibleError, match="rolls not opened yet: all in hand are opened"):
        done(begun(), 1, 4).after(measured, is_new=True)


# Steps


def test_steps_of_rolls_cut_alike_say_how_often_they_are_still_to_be_done() -> None:
    """Three rolls, of which one is cut; a first motif is measured on one of them, not on two."""
    alike = free_work([drop("1", 4400, count=6)], (Lot("roll", MM(10050), count=None),), [("roll", 3, "11")])
    first = done(alike, 1, 2, 3)
    with pytest.raises(NotPossibleError, match="step 1 is to be done 2 times, not 3"):
        done(first, 1, 2, 3, times=3)
    with pytest.raises(NotPossibleError, match="a first motif is measured on one roll"):
        first.after(Done(1, (1,), times=2, first_motif=MM(5)))


def test_first_step_of_an_earlier_plan_is_known_as_one() -> None:
    """Plan 2 has steps 12 to 22."""
    later = in_use(half_drop_wall(), number=2)
    later = replace(later, steps=tuple(replace(step, number=step.number + 11) for step in later.steps))

    with pytest.raises(NotPossibleError, match="step 1 is of an earlier plan, which plan 2 has replaced"):
        begun().after(later).after(Done(2, (1,)))


def test_piece_that_is_a_millimetre_too_long_goes_past_the_flaw() -> None:
    """2499 before the flaw, and the piece is 2500."""
    state = done(free_work([drop("1", 2400)], (Lot("A", MM(6000)),), [("A", 1, "1")]), 1)
    cut = done(state.after(Flawed("A", MM(2499), MM(10))), 2)

    assert cut.roll("A").left == 6000 - 2509 - 2500


def test_roll_told_before_it_is_opened_says_nothing_of_what_comes_off() -> None:
    """Its print was measured 30 below where it was listed; opening it cuts nothing."""
    wanted = job([drop("1", 2400, 50)], STRAIGHT, (Lot("A", MM(6000), MM(100)),))
    state = begun(packed(wanted, [("A", 1, "1")])).after(Measured("A", MM(6000), MM(130)))
    opening, cutting = state.plan.steps

    assert state.comes_off_first(opening) is None
    assert state.comes_off_first(cutting) == 30


# Lengths


def test_roll_may_measure_longer_by_twice_what_the_standard_allows() -> None:
    """1.5 %, of EN 233 clause 5.2.2."""
    assert 2 * Fraction(15, 1000) == MOST_LONGER


def test_a_millimetre_may_be_cut_and_nothing_may_not() -> None:
    """What is too short for its place is paper all the same."""
    state = done(begun(), 1, 2)
    short = state.after(state.cut_of("1", "roll-1", MM(1)))

    assert short.roll("rest 1 of 1").left == 1
    with pytest.raises(NotPossibleError, match="what is cut is longer than nothing"):
        state.after(CutPiece("1", "roll-1", MM(0)))


@pytest.mark.parametrize(("foot_first", "least"), [(False, 2410), (True, 2490)])
def test_piece_must_reach_across_its_place_from_the_end_that_is_cut_first(*, foot_first: bool, least: int) -> None:
    """Trims of 10 at the top and 90 at the foot: the first end has its trim, the other needs none."""
    wanted = job([replace(drop("1", 2400), trim_top=MM(10), trim_bottom=MM(90))], FREE, (Lot("A", MM(6000)),))
    wanted = replace(wanted, lots=(replace(wanted.lots[0], is_foot_first=foot_first),))
    state = begun(packed(wanted, [("A", 1, "1")]))

    assert [state.cut_of("1", "A", MM(least - by)).is_short for by in (0, 1)] == [False, True]


def test_only_what_is_certain_of_a_roll_is_stock() -> None:
    """Up to a repeat of 640 may have come off before drop 1."""
    roll = done(begun(), 1, 2, 3).roll("roll-1")
    certain, hoped = (roll.as_lot(Pattern(MM(640), MM(320)), None, **how) for how in ({}, {"hoped": True}))

    assert certain is not None
    assert hoped is not None
    assert (certain.length, hoped.length) == (MM(6910), MM(7550))


def test_pieces_end_to_end_are_pieces_though_their_print_happens_to_go_on() -> None:
    """The first two meet at 1000, the motif 300 beyond as by the print; before the third there were 100 of no use."""
    pieces = Stretch(MM(1000), MM(900), MM(300)), Stretch(MM(2000), MM(500), MM(500))
    roll = replace(roll_at_table("A", StockLot(Lot("A", MM(1000), MM(100)), "A")), ahead=pieces)
    lot = roll.as_lot(STRAIGHT, None)

    assert lot is not None
    assert [stretch.start for stretch in lot.stretches] == [0, 1000, 1900]


def test_roll_of_which_nothing_is_left_gives_none_of_its_drops() -> None:
    """Measured as 0 with both drops still to come."""
    state = done(free_work([drop("1", 2400), drop("2", 2400)], (Lot("A", MM(6000)),), [("A", 1, "12")]), 1)

    assert misfits(state.after(Measured("A", MM(0)))) == {"A": ("1", "2")}


@pytest.mark.parametrize(("count", "rolls"), [(60, 60), (61, 1)])
def test_many_rolls_are_planned_by_the_lot(count: int, rolls: int) -> None:
    """Up to 60 each has its own name."""
    state = free_work([drop("1", 2400)], (Lot("A", MM(6000), count=count),), [("A", 1, "1")])
    rest = remains_of(state, scenario_for(state))

    assert (len(rest.job.rolls), rest.in_hand) == (rolls, count)


def test_rests_of_pieces_are_no_rolls_in_hand() -> None:
    """One roll as needed is open, and three of its pieces were cut too short: no other roll is in hand."""
    lots = (Lot("roll", MM(10050), count=None),)
    state = done(free_work([drop("1", 2400, count=3)], lots, [("roll", 1, "111")]), 1)
    for _ in range(3):
        state = state.after(state.cut_of("1", "roll-1", MM(500)))

    assert [lot.label for lot in remains_of(state, scenario_for(state)).job.rolls] == ["roll-1"]


def test_where_rolls_are_taken_as_needed_none_is_in_hand_when_the_last_is_used_up() -> None:
    """A plan can be made, and what it opens is short."""
    state = done(free_work([drop("1", 2400)], (Lot("roll", MM(10050), count=None),), [("roll", 1, "1")]), 1)
    state = state.after(Measured("roll-1", MM(0)))
    answer = still_enough(state, scenario_for(state))

    assert remains_of(state, scenario_for(state)).in_hand == 0
    assert answer.shortage is not None
    assert (answer.in_hand, answer.shortage.rolls) == (0, 1)


@pytest.mark.parametrize(("count", "told"), [(6, "A, B, C, D, E, F"), (7, "A, B, C, D, E, F …")])
def test_of_many_names_six_are_told(count: int, told: str) -> None:
    """And that there are more."""
    lots = tuple(Lot(label, MM(6000)) for label in "ABCDEFG"[:count])
    state = free_work([drop("1", 2400)], lots, [("A", 1, "1")])

    with pytest.raises(NotPossibleError) as caught:
        state.roll("Z")
    assert str(caught.value) == f"there is no roll 'Z'; rolls are called {told}"


# What is short


@pytest.mark.parametrize("of_paper", [True, False])
def test_what_is_short_is_told_with_its_length_and_its_price(*, of_paper: bool) -> None:
    """Two of three drops of 2500, and a roll of 10050; priced as the paper is, or as the dearest roll in hand."""
    price = MM(30)
    lot = Lot("A", MM(2500), price=None if of_paper else price)
    wanted = job([drop("1", 2400, count=3)], FREE, (lot,))
    wanted = replace(wanted, paper=replace(wanted.paper, price=price if of_paper else None))
    state = begun(packed(wanted, [("A", 1, "1")]))
    shortage = still_enough(state, scenario_for(state)).shortage

    assert shortage is not None
    assert (shortage.rolls, shortage.drops, shortage.length, shortage.price) == (1, {"1": 2}, MM(5000), MM(30))


def test_only_the_spoiled_sheet_must_be_had_again() -> None:
    """Sheet 2 of a set of which every sheet is in hand, the first two cut."""
    listed = "".join(f'[[roll]]\nlabel = "{number}"\nsheet = {number}\n' for number in range(1, 6))
    scenario, plan = planned(mural(more=listed))
    first = in_use(plan)
    cut = tuple(step.number for step in first.steps if step.first_number == 1 and step.lot in ("1", "2"))
    state = State(scenario.job, "mm", first).after(Done(1, cut)).after(Spoiled("2", "torn"))
    shortage = still_enough(state, scenario).shortage

    assert shortage is not None
    assert (shortage.rolls, shortage.sheets) == (1, (2,))


def test_no_search_takes_more_than_its_part_of_the_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 1000 s: 750 for the plan, half of what is left for what would do, for what measuring gains, and an order."""
    given: list[float] = []

    def timed(wanted: Job, *, time_limit: float, progress: object = None) -> Plan:
        del progress
        given.append(time_limit)
        return solve(wanted, time_limit=time_limit)

    monkeypatch.setattr("cutplan.progress.still_enough.solve", timed)
    monkeypatch.setattr("cutplan.progress.still_enough.shortest_order", lambda _, limit: given.append(limit))
    wanted = job([drop("1", 2400, 95), drop("3", 2400, 95)], lots=(Lot("A", MM(8200)),))
    wanted = replace(wanted, paper=replace(wanted.paper, sale=replace(wanted.paper.sale, unit="m")))
    state = done(begun(packed(wanted, [("A", 1, "1")])), 1, 2, 3).after(Spoiled("1", "torn"))
    still_enough(state, scenario_for(state), time_limit=1000)

    assert [limit <= most for limit, most in zip(given, (750, 500, 500, 500), strict=True)] == [True] * 4


# The plan for the rest


def rest_of(state: State, scenario: Scenario) -> Sequence:
    """Return the steps of the plan for what remains, numbered from 10."""
    plan = still_enough(state, scenario).plan
    assert plan is not None
    return rest_sequence(plan, state, 10)


@pytest.mark.parametrize(("measured", "at_least"), [(False, True), (True, False)])
def test_what_will_be_left_of_a_roll_is_at_least_that_until_it_is_measured(*, measured: bool, at_least: bool) -> None:
    """Up to a repeat more, where its print was not known when drop 1 was cut."""
    wanted = job([drop("1", 2400, 95), drop("3", 2400, 95)], lots=(Lot("A", MM(10050)),))
    state = done(begun(packed(wanted, [("A", 1, "13")])), 1, 2, 3)
    state = state.after(Measured("A", MM(7100))) if measured else state
    (left,) = rest_of(state, scenario_for(state)).left

    assert (left.is_at_least, left.is_measured) == (at_least, measured)


@pytest.mark.parametrize(("hangs", "first"), [(False, "1"), (True, None)])
def test_what_falls_out_of_a_drop_is_taken_up_when_that_hangs(*, hangs: bool, first: str | None) -> None:
    """Drop 2 is cut from it; while drop 1 lies on the table, the step says that it is hung first."""
    drops = '[[drop]]\nlabel = "1"\nheight = 2400\n'
    drops += "cut_outs = [{from_top = 100, length = 900, left = 0, right = 200}]\n"
    drops += '[[drop]]\nlabel = "2"\nheight = 500\nleft = 0\nright = 200\n'
    room = parse_scenario(PLAIN + drops, "room.toml")
    place = {"hung": ("1",)} if hangs else {"on_table": ("1",)}
    state = replace(State(room.job, "mm", begun().plan), **place)
    opening = rest_of(state, room).steps[0]

    assert isinstance(opening, OpenRoll)
    assert (opening.roll, opening.hangs_first, opening.number) == (room.job.drop("1").cut_outs[0].label, first, 10)


@pytest.mark.parametrize(("other", "batch"), [("11", None), ("22", "11")])
def test_wall_that_is_begun_is_held_to_its_batch_where_there_are_several(other: str, batch: str | None) -> None:
    """Of one batch only, a list that tells no batches of its drops goes on telling none."""
    rolls = f'roll = [{{label = "X", batch = "11"}}, {{label = "Y", batch = "{other}"}}]\n'
    drops = "".join(f'[[drop]]\nlabel = "{label}"\nheight = 2400\nwall = "north"\n' for label in "1234")
    wall = parse_scenario(rolls + PLAIN + drops, "wall.toml")
    state = replace(State(wall.job, "mm", begun(solve(wall.job)).plan), hung=("1",))
    state = replace(state, papers={"1": wall.job.lots[0]})
    (wanted, *_) = remains_of(state, wall).scenario.job.drops

    assert (wanted.label, wanted.batch) == ("2", batch)


# The day


def test_what_is_pasted_when_another_takes_over_has_not_lain_overnight() -> None:
    """Work was not left off."""
    state = done(begun(), 1, 2, 3).after(Pasted(("1",))).after(AtWork(begins=True, by="Ann"))

    assert (state.by, state.overnight, state.pasted) == ("Ann", (), ("1",))


# The survey corrected


def now_is(
    before: str,
    now: str,
    *,
    hung: tuple[str, ...] = (),
    on_table: tuple[str, ...] = (),
    from_new_start: bool | None = None,
) -> object:
    """Return which drops the pieces that hang and lie on the table are in the corrected scenario."""
    old, new = parse_scenario(before, "room.toml"), parse_scenario(now, "room.toml")
    state = replace(State(old.job, "mm", begun().plan), hung=hung, on_table=on_table)
    return correction(state, old, new, from_new_start=from_new_start).pieces


BARE: Final = ROOM.replace(f"[[wall.opening]]\n{OPENING}", "")


def with_window(foot: int, height: int) -> str:
    """Return the room with a window instead of the door, as wide as the second strip."""
    return ROOM.replace(OPENING, f'kind = "window"\nleft = 500\nwidth = 500\nfoot = {foot}\nheight = {height}\n')


def test_what_hangs_is_what_now_hangs_in_its_column() -> None:
    """With a window, strip 2 is drop 2 above it and drop 3 below it, and strip 3 is drop 4; and back again."""
    window = with_window(900, 1000)

    assert now_is(BARE, window, hung=("1", "2", "3")) == {"1": ("1",), "2": ("2", "3"), "3": ("4",)}
    assert now_is(window, BARE, hung=("2", "3", "4")) == {"2": ("2",), "3": (), "4": ("3",)}


def test_what_hangs_is_found_by_its_place_on_the_wall_where_the_start_has_moved() -> None:
    """Drop 1, at the left of the wall, is reached last from 1000 mm on."""
    assert now_is(BARE, BARE.replace("at = 0", "at = 1000"), hung=("1",), from_new_start=False) == {"1": ("4",)}


def test_of_a_list_of_drops_each_keeps_its_name_also_as_a_room() -> None:
    """Drop 3 of the list is drop 3 of the room; the list's ninth is none."""
    head = BARE[: BARE.index("[[wall]]")]
    drops = "".join(f'[[drop]]\nlabel = "{label}"\nheight = 2300\nfirst_motif = 0\n' for label in "39")

    assert now_is(head + drops, BARE, hung=("3", "9"), from_new_start=True) == {"3": ("3",), "9": ()}


def test_what_only_touches_a_place_does_not_hang_there() -> None:
    """Drop 2 hung from 1900 up; now there is paper in its column up to 1900, and none above."""
    assert now_is(with_window(900, 1000), with_window(1900, 400), hung=("2",)) == {"2": ()}


def test_piece_on_the_table_becomes_one_drop_only() -> None:
    """Its print is right above the window and, 1800 further down, below it; it is cut once, from whatever roll."""
    assert now_is(BARE, with_window(500, 1400), on_table=("2",)) == {"2": ("2",)}


def test_piece_of_a_sheet_that_is_on_the_table_is_paper_where_another_hangs_now() -> None:
    """Only what hangs is refused: the set begins with its second sheet now."""
    text = mural(start='at = 0\nputs = "joint"\nway = "right"')

    assert now_is(text, text.replace("first = 1", "first = 2"), on_table=("1",)) == {"1": ()}


def test_first_table_that_must_not_change_is_named() -> None:
    """Both the paper and a roll have."""
    now = ROOM.replace("10050", "9000").replace('label = "A"', 'label = "C"')

    with pytest.raises(NotPossibleError, match=r"\[paper\] has changed, and paper is cut already"):
        now_is(ROOM, now)


def test_what_hung_and_has_no_place_any_more_hung_when_it_was_lost() -> None:
    """What lay on the table lay there."""
    room = parse_scenario(BARE, "room.toml")
    state = replace(State(room.job, "mm", begun().plan), hung=("1",), on_table=("2",))
    after = state.after(Corrected("", room.document, {"1": (), "2": ()}))

    why = "the walls proved otherwise"
    assert after.spoiled == (Loss("2", why, was_hung=False), Loss("1", why, was_hung=True))


def test_what_fell_out_of_a_drop_goes_by_the_name_of_what_it_is_now() -> None:
    """Drop 1 is drop 2 now, and below the window drop 1: what fell out of it is what falls out of drop 2."""
    cut_out = "cut_outs = [{from_top = 100, length = 900, left = 0, right = 200}]\n"
    drops = "".join(f'[[drop]]\nlabel = "{label}"\nheight = 2400\n{cut_out}' for label in "12")
    room = parse_scenario(PLAIN + drops, "room.toml")
    (fell,), (other,) = (tuple(cut_out.label for cut_out in each.cut_outs) for each in room.job.drops)
    held = roll_at_table(fell, StockLot(Lot(fell, MM(900)), fell))
    state = replace(State(room.job, "mm", begun().plan), hung=("1",), rolls={fell: held})

    assert [*state.after(Corrected("", room.document, {"1": ("2", "1")})).rolls] == [other]


def test_what_is_no_table_is_told_as_it_stands() -> None:
    """Lists of words, and letters of every language."""
    before: dict[str, object] = {"cutting": {"first_walls": ["Süd"]}, "drop": [{"label": "Tür", "height": 1}]}
    now: dict[str, object] = {"cutting": {"first_walls": ["Nord"]}, "drop": [{"label": "Tür", "height": 2}]}

    assert changes(before, now) == [
        'cutting.first_walls: was ["Süd"], is now ["Nord"]',
        'drop["Tür"].height: was 1, is now 2',
    ]


@pytest.mark.parametrize(("hung", "after"), [(("1",), "2"), (("1", "3"), None)])
def test_what_will_fall_out_of_a_drop_is_paper_for_those_after_it(hung: tuple[str, ...], after: str | None) -> None:
    """Drop 3 lies on the table and drop 2 is to be hung before it; or 3 hangs, and what fell out is there."""
    drops = '[[drop]]\nlabel = "1"\nheight = 2400\n[[drop]]\nlabel = "2"\nheight = 500\nleft = 0\nright = 200\n'
    drops += '[[drop]]\nlabel = "3"\nheight = 2400\n'
    drops += "cut_outs = [{from_top = 100, length = 900, left = 0, right = 200}]\n"
    room = parse_scenario(PLAIN + drops, "room.toml")
    on_table = tuple(label for label in ("1", "3") if label not in hung)
    state = replace(State(room.job, "mm", begun().plan), hung=hung, on_table=on_table)
    (offcut,) = (lot for lot in remains_of(state, room).job.lots if lot.is_offcut)

    assert (offcut.length, offcut.after) == (MM(900), after)


# Work


def begun_in(room: Scenario) -> InMemory:
    """Return a record of work that was begun in a room."""
    held = InMemory()
    plan = replace(begun().plan, scenario=fingerprint(room.document), document={"scenario": room.document})
    OpenWork(held, RECORD, room).record(plan)
    return held


def test_command_that_was_not_answered_is_the_last_one() -> None:
    """Of four entries the last was not told."""
    room = parse_scenario(BARE, "room.toml")
    held = begun_in(room)
    for asked in ("stop", "resume", "stop again"):
        OpenWork(held, RECORD, room).record(AtWork(begins=asked == "resume"), asked=asked)
    held.reading = replace(held.reading, answered=3)
    work = OpenWork(held, RECORD, room).work

    assert ([entry.number for entry in work.unanswered], work.asked) == ([4], "stop again")


def test_nothing_is_added_to_work_on_a_scenario_that_has_changed(tmp_path: Path) -> None:
    """But what is told of the scenario as it was."""
    text = str(tmp_path / "room.toml")
    room, changed = parse_scenario(BARE, text), parse_scenario(BARE.replace("2300", "2310"), text)
    (first,) = begun_in(room).reading.entries
    with open_record(record_path(text)) as held:
        held.append(first.kind, first.facts)

    with pytest.raises(ChangedScenarioError), open_work(changed):
        pass
    with open_work(changed, as_it_was=True) as work:
        assert work.scenario.document == room.document
