"""Where the work stands: what entries add up to, and what cannot have happened."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from cutplan.paper.pattern import FREE
from cutplan.paper.stock import Lot, Stretch
from cutplan.plan.plan import Cut, RollLayout
from cutplan.progress.counted import counting, resting_on, state_of
from cutplan.progress.entries import (
    AtWork,
    Bought,
    Corrected,
    CutPiece,
    Done,
    Event,
    Flawed,
    Hung,
    Measured,
    Pasted,
    Recorded,
    Spoiled,
    Undone,
    facts_of,
    recorded,
)
from cutplan.progress.plan_in_use import StockLot
from cutplan.progress.record import Entry, RecordError, RecordRead
from cutplan.progress.remains import NothingToCutError
from cutplan.progress.state import MOST_LONGER, NotPossibleError, State
from cutplan.progress.work import ChangedScenarioError, NotBegunError
from hand_plans import drop, half_drop_wall, job, packed
from small_work import begun, done, free_work, in_use

if TYPE_CHECKING:
    from collections.abc import Callable

    from cutplan.errors import CutplanError

MM = Fraction


def acts(*events: Event) -> list[Recorded]:
    """Return events as entries numbered from 1."""
    return [Recorded(number, "", event) for number, event in enumerate(events, start=1)]


# What is left on a roll


def test_sealed_roll_cut_by_the_print_is_certain_of_a_repeat_less() -> None:
    """Less than 640 mm came off before drop 1: 10050 − 2500 = 7550 at most, 640 less for certain."""
    roll = done(begun(), 1, 2, 3).roll("roll-1")

    assert (roll.left, roll.most_left) == (MM(6910), MM(7550))
    assert roll.first_motif == MM(205)  # 145 below the top of drop 1; 145 − 2500 + 4 × 640 = 205


def test_measured_first_motif_makes_what_is_left_exact() -> None:
    """The motif 300 mm below the end of the roll had to come to 145 below the cut: exactly 155 mm came off."""
    state = begun().after(Done(1, (1, 2, 3), first_motif=MM(300)))

    assert state.roll("roll-1").is_certain
    assert state.roll("roll-1").left == MM(10050 - 155 - 2500)


def test_match_loss_between_two_drops_is_known_exactly() -> None:
    """Drop 3 takes 60 and 2500 mm from both figures."""
    roll = done(begun(), 1, 2, 3, 8, 9).roll("roll-1")

    assert (roll.left, roll.most_left) == (MM(6910 - 2560), MM(7550 - 2560))


def test_measuring_what_is_left_ends_the_uncertainty() -> None:
    """The print stays known where it is not measured again."""
    roll = done(begun(), 1, 2, 3).after(Measured("roll-1", MM(7100))).roll("roll-1")

    assert (roll.left, roll.most_left, roll.first_motif) == (MM(7100), MM(7100), MM(205))


def test_roll_found_short_before_it_is_opened_stays_sealed() -> None:
    """A roll of 10.05 m that measures 9.90 m, within what EN 233 allows."""
    state = begun().after(Measured("roll-2", MM(9900)))

    assert state.roll("roll-2").left == MM(9900)
    assert state.roll("roll-2").first_motif is None
    assert not state.is_opened("roll-2")


def test_free_match_loses_nothing_but_what_is_cut() -> None:
    """Drops of 2500 mm from a roll of 10050."""
    state = free_work([drop("1", 2400), drop("2", 2400)], (Lot("A", MM(10050)),), [("A", 1, "12")])

    assert done(state, 1, 2, 3).roll("A").left == MM(5050)


def test_flaw_is_gone_past_and_what_lies_before_it_is_laid_aside() -> None:
    """A roll of 3000 mm, a flaw of 100, and 2600 more: each stretch holds one drop of 2500."""
    parts = (Stretch(MM(0), MM(3000), MM(0)), Stretch(MM(3100), MM(2600), MM(0)))
    lot = Lot("A", MM(5700), MM(0), parts=parts)
    wanted = job([drop("1", 2400), drop("2", 2400)], FREE, (lot,))
    cuts = (Cut("1", MM(0), MM(2500)), Cut("2", MM(3100), MM(5600)))
    state = begun(replace(packed(wanted, []), layouts=(RollLayout("A", 1, 1, cuts),)))
    first = done(state, 1, 2).roll("A")
    second = done(state, 1, 2, 3, 4).roll("A")

    assert (first.left, [stretch.length for stretch in first.ahead]) == (MM(500), [MM(2600)])
    assert (second.left, second.ahead) == (MM(100), ())


# Pieces


def test_pieces_go_from_the_roll_to_the_table_to_the_wall() -> None:
    """Drop 1 is cut and hung, drop 2 cut."""
    state = done(begun(), 1, 2, 3, 4, 5, 6).after(Hung(("1",)))

    assert (state.on_table, state.hung) == (("2",), ("1",))
    assert state.remaining == {"3": 1, "4": 1}
    assert state.to_be_cut == {"roll-1": ("3",), "roll-2": ("4",)}


@pytest.mark.parametrize("was_hung", [False, True])
def test_spoiled_piece_is_wanted_again_and_not_in_the_plan(*, was_hung: bool) -> None:
    """Whether it tore on the table or came off the wall."""
    state = done(begun(), 1, 2, 3)
    state = state.after(Hung(("1",))) if was_hung else state
    state = state.after(Spoiled("1", "torn"))

    assert (state.on_table, state.hung) == ((), ())
    assert [(loss.piece, loss.why, loss.was_hung) for loss in state.spoiled] == [("1", "torn", was_hung)]
    assert state.wanted_again == {"1": 1}


def test_sound_part_of_a_spoiled_piece_is_a_short_roll() -> None:
    """1000 mm at the foot of drop 1 begin 1500 below its top: 145 − 1500 + 3 × 640 = 565 to the next motif."""
    state = done(begun(), 1, 2, 3)
    foot = state.after(Spoiled("1", "torn", MM(1000), good_at_top=False)).roll("rest 1 of 1")
    head = state.after(Spoiled("1", "torn", MM(1000))).roll("rest 1 of 1")

    assert (foot.left, foot.first_motif, foot.is_open) == (MM(1000), MM(565), True)
    assert head.first_motif == MM(145)


def test_any_of_pieces_alike_may_be_named_by_its_drop() -> None:
    """Of three alike the last that was cut is taken; each may be named in full too."""
    state = free_work([drop("1", 2400, count=3)], (Lot("A", MM(10050)),), [("A", 1, "111")])
    state = done(state, 1, 2, 3, 4)
    by_drop, in_full = state.after(Spoiled("1", "torn")), state.after(Spoiled("1 (2 of 3)", "torn"))

    assert state.on_table == ("1 (1 of 3)", "1 (2 of 3)", "1 (3 of 3)")
    assert by_drop.on_table == ("1 (1 of 3)", "1 (2 of 3)")
    assert in_full.on_table == ("1 (1 of 3)", "1 (3 of 3)")
    assert by_drop.wanted_again == in_full.wanted_again == {"1": 1}


# Rolls cut alike


def blocks() -> State:
    """Return work on three sealed rolls cut alike, two drops each: steps 1 to 4 are done once for each roll."""
    return free_work([drop("1", 4400, count=6)], (Lot("roll", MM(10050), count=None),), [("roll", 3, "11")])


def test_steps_of_rolls_cut_alike_are_done_once_for_each() -> None:
    """After the first time through, roll-1 is cut and two rolls are to come."""
    state = done(blocks(), 1, 2, 3)

    assert state.roll("roll-1").left == MM(10050 - 2 * 4500)
    assert state.to_be_cut == {"roll-2": ("1", "1"), "roll-3": ("1", "1")}
    assert state.next_step == state.plan.step(1)
    assert done(state, 1, 2, 3, times=2).next_step is None


def test_rolls_cut_alike_are_no_more_than_there_are() -> None:
    """A fourth time is refused."""
    with pytest.raises(NotPossibleError) as caught:
        done(blocks(), 1, 2, 3, times=4)

    assert str(caught.value) == "step 1 is to be done 3 times, not 4, so nothing was recorded"


def test_of_pieces_of_one_name_one_at_a_time_leaves_the_table() -> None:
    """Four lie there after two rolls: two are pasted, one of those is hung, and one is spoiled."""
    state = done(blocks(), 1, 2, 3, times=2).after(Pasted(("1", "1"))).after(Hung(("1",)))

    assert (state.on_table, state.pasted, state.hung) == (("1",) * 3, ("1",), ("1",))
    assert (state.remaining, state.wanted_again) == ({"1": 2}, {})
    assert state.after(Spoiled("1", "torn")).on_table == ("1",) * 2


# What cannot have happened


@pytest.mark.parametrize(
    ("happening", "message"),
    [
        (
            lambda state: done(state, 12),
            "there is no step 12: the plan's steps run from 1 to 11",
        ),
        (
            lambda state: done(state, 3),
            "step 3 is done already; to take back the last entry: undo",
        ),
        (
            lambda state: done(state, 9),
            "step 9 comes after step 8 on roll-1, which is not done; if it is, record both: 8 9",
        ),
        (
            lambda state: state.after(Done(2, (4,))),
            "these are steps of plan 2, and plan 1 is in use",
        ),
        (
            lambda state: state.after(Done(1, (8, 9), first_motif=MM(100))),
            "a first motif is measured on one roll: give it with the step that opens that roll",
        ),
        (
            lambda state: state.after(Hung(("2",))),
            "drop 2 does not lie on the table; these do: 1",
        ),
        (
            lambda state: state.after(Spoiled("2", "torn")),
            "drop 2 is not cut, so it cannot be spoiled",
        ),
        (
            lambda state: state.after(Spoiled("9", "torn")),
            "there is no drop '9'; drops are called 1, 2, 3, 4",
        ),
        (
            lambda state: state.after(Spoiled("1", "torn", MM(2500))),
            "what is good of drop 1 must be more than 0 and less than 2500 mm",
        ),
        (
            lambda state: state.after(Measured("B", MM(100))),
            "there is no roll 'B'; rolls are called roll-1 …",
        ),
        (
            lambda state: state.after(Measured("roll-1", MM(9000))),
            "roll-1 can have 7550 mm left at most; measure again, or record what was cut short (cutplan cut)",
        ),
        (
            lambda state: state.after(Measured("roll-1", MM(7000), MM(640))),
            ("the first motif below the end of roll-1 must be less than the repeat of 640 mm; "
            "the first motif is then at 0 mm"),
        ),
        (
            lambda state: done(state.after(Measured("roll-1", MM(2559))), 8, 9),
            "roll-1 has only 2499 mm left, so step 9 cannot have been done; measure what is left on it first",
        ),
    ],
)  # fmt: skip
def test_what_cannot_have_happened_is_refused(happening: Callable[[State], State], message: str) -> None:
    """After steps 1 to 3: drop 1 is cut from roll-1 and lies on the table."""
    with pytest.raises(NotPossibleError) as caught:
        happening(done(begun(), 1, 2, 3))

    assert str(caught.value) == message


def test_steps_of_an_earlier_plan_are_refused() -> None:
    """Once plan 2 with steps 12 to 22 is in use, step 4 is of the old sheet."""
    first = begun()
    later = in_use(half_drop_wall(), number=2)
    shifted = tuple(replace(step, number=step.number + 11) for step in later.steps)
    state = first.after(replace(later, steps=shifted))

    with pytest.raises(NotPossibleError) as caught:
        done(state, 4)

    assert str(caught.value) == ("step 4 is of an earlier plan, which plan 2 has replaced; its steps run from 12 to 22")


# Entries


EVENTS = (
    Done(1, (1, 2, 3), 1, MM("640/3")),
    Done(1, (4,), 3),
    Hung(("1", "2 (1 of 3)")),
    Spoiled("1", 'torn by the cat, "Tibb"', MM(900), good_at_top=False),
    Spoiled("1", "paste on the face"),
    Measured("roll-1", MM("925/3"), MM(12)),
    Measured("roll-1", MM(100)),
    Bought((StockLot(Lot("bought 1", MM(10050), batch="7", price=MM("84.5")), "bought 1"),)),
    CutPiece("1", "roll-2", MM("2449/3"), corrects=True, is_short=True),
    CutPiece("1 (2 of 3)", "A", MM(2450)),
    Flawed("A", MM(1), MM("1/3")),
    Pasted(("1", "2")),
    AtWork(begins=False),
    AtWork(begins=True, by="Ann"),
    Corrected("f", {"units": "mm"}, {"1": ("2", "3"), "2": ()}),
    Undone(7),
    in_use(half_drop_wall()),
)


@pytest.mark.parametrize("event", EVENTS, ids=range(len(EVENTS)))
def test_event_is_read_back_as_it_was_written(event: Event) -> None:
    """Lengths exactly, texts as typed."""
    kind, facts = facts_of(event)
    (read,) = recorded(RecordRead((Entry(1, "2031-05-04T16:02:11Z", kind, facts),)), Path("room.record.jsonl"))

    assert read == Recorded(1, "2031-05-04T16:02:11Z", event)


@pytest.mark.parametrize(
    ("kind", "facts", "fault"),
    [
        ("danced", {}, "KeyError('danced')"),
        ("undone", {"undoes": "7"}, "TypeError(\"'7' is no whole number\")"),
        ("measured", {"roll": "A", "left": "long"}, "ValueError(\"Invalid literal for Fraction: 'long'\")"),
        ("hung", {"pieces": "1"}, "TypeError(\"'1' is no list\")"),
    ],
)
def test_entry_that_cannot_be_read_is_named_by_its_line(kind: str, facts: dict[str, object], fault: str) -> None:
    """The line is sound, so a newer program may have written it."""
    with pytest.raises(RecordError) as caught:
        recorded(RecordRead((Entry(3, "", kind, facts),)), Path("room.record.jsonl"))

    what = f"this program cannot read the entry {kind!r}: {fault}"
    assert str(caught.value) == f"room.record.jsonl:3: {what}; a newer one may have written it"


def test_undone_entries_do_not_count() -> None:
    """The last that counts is taken back each time; what is recorded afterwards counts again."""
    plan = in_use(half_drop_wall())
    entries = acts(plan, Done(1, (1,)), Done(1, (2, 3)), Undone(3), Undone(2), Done(1, (4,)))

    assert [entry.number for entry in counting(entries)] == [1, 6]
    state = state_of(entries, half_drop_wall().job, "mm")
    assert state is not None
    assert state.done == {4: 1}


def test_undoing_what_does_not_count_is_an_error() -> None:
    """Entry 2 was taken back before."""
    entries = acts(in_use(half_drop_wall()), Done(1, (1,)), Undone(2), Undone(2))
    with pytest.raises(NotPossibleError) as caught:
        counting(entries)

    assert str(caught.value) == "entry 4 of the record undoes entry 2, which does not count"


def test_what_rests_on_an_entry_is_what_could_not_have_happened_without_it() -> None:
    """Without step 3 drop 1 was not cut, so it did not hang; steps 4 to 6 are of another roll."""
    entries = acts(in_use(half_drop_wall()), Done(1, (1, 2)), Done(1, (3,)), Done(1, (4, 5, 6)), Hung(("1",)))
    resting = resting_on({3}, entries, half_drop_wall().job, "mm")

    assert [entry.number for entry in resting] == [5]


def test_a_new_plan_rests_on_what_it_was_made_for() -> None:
    """Plan 2 was made with drop 1 cut; the hanging before it makes no difference to it."""
    later = replace(in_use(half_drop_wall()), number=2)
    entries = acts(in_use(half_drop_wall()), Done(1, (1, 2, 3)), Hung(("1",)), later, Done(2, (4,)))
    job = half_drop_wall().job

    assert [entry.number for entry in resting_on({2, 3}, entries, job, "mm")] == [4, 5]
    assert resting_on({3}, entries, job, "mm") == []


# What happens otherwise than planned


def test_roll_gives_less_by_what_a_drop_is_cut_too_long() -> None:
    """Drop 1 is found 40 mm too long: of 7550 at most 7510 are left, and the motif at 205 is 40 nearer."""
    before = done(begun(), 1, 2, 3)
    state = before.after(before.cut_of("1", None, MM(2540)))

    assert (state.roll("roll-1").most_left, state.roll("roll-1").first_motif) == (MM(7510), MM(165))
    assert state.on_table == ("1",)


@pytest.mark.parametrize(("length", "is_kept"), [(2450, True), (2449, False)])
def test_drop_cut_too_short_hangs_as_long_as_it_reaches(length: int, *, is_kept: bool) -> None:
    """50 mm at the top and 2400 of wall are needed; 1 mm less is a rest, and the drop is wanted again."""
    state = done(begun(), 1, 2)
    after = state.after(state.cut_of("1", None, MM(length)))

    assert after.on_table == (("1",) if is_kept else ())
    assert after.wanted_again == ({} if is_kept else {"1": 1})
    assert ("rest 1 of 1" in after.rolls) is not is_kept


def test_drop_may_be_cut_from_another_roll() -> None:
    """Drop 3 from roll-2, behind drop 2: its motif 465 − 2500 + 2560 = 525 there must come to 145, so 380 come off."""
    before = done(begun(), 1, 2, 3, 4, 5, 6)
    state = before.after(before.cut_of("3", "roll-2", None))

    assert state.roll("roll-2").most_left == before.roll("roll-2").most_left - 380 - 2500
    assert state.roll("roll-1") == before.roll("roll-1")
    assert state.on_table == ("1", "2", "3")
    assert state.next_step == state.plan.step(7)
    assert state.comes_off_first(state.plan.steps[9]) == MM(380)  # 145 − 2500 + 2560 = 205, to come to 465


def test_flaw_leaves_what_lies_before_and_beyond_it() -> None:
    """Of at least 6910 mm with the motif at 205: 1000 before, 5710 beyond with it at 205 − 1200 + 1280 = 285."""
    roll = done(begun(), 1, 2, 3).after(Flawed("roll-1", MM(1000), MM(200))).roll("roll-1")

    assert (roll.left, roll.most_left) == (MM(1000), MM(1000))
    assert [(stretch.length, stretch.first_motif) for stretch in roll.ahead] == [(MM(5710), MM(285))]


def test_flaw_in_a_rest_makes_two_of_it() -> None:
    """Of 2000 mm with the motif at 145: 500 before the flaw, and 1300 beyond with it at 145 − 700 + 640 = 85."""
    state = done(begun(), 1, 2, 3).after(Spoiled("1", "torn", MM(2000))).after(Flawed("rest 1 of 1", MM(500), MM(200)))
    before, beyond = state.roll("rest 1 of 1"), state.roll("rest 1 of 1, part 2")

    assert (before.left, before.first_motif, before.ahead) == (MM(500), MM(145), ())
    assert (beyond.left, beyond.first_motif, beyond.is_open) == (MM(1300), MM(85), True)


def test_print_measured_anew_goes_on_through_a_flaw() -> None:
    """Its motif is found at 105, so beyond the flaw it lies at 105 − 1200 + 1280 = 185."""
    state = done(begun(), 1, 2, 3).after(Flawed("roll-1", MM(1000), MM(200)))
    (beyond,) = state.after(Measured("roll-1", MM(1000), MM(105))).roll("roll-1").ahead

    assert (beyond.length, beyond.first_motif) == (MM(5710), MM(185))


def test_step_that_no_longer_fits_before_a_flaw_is_cut_beyond_it() -> None:
    """1000 mm hold no drop of 2500; beyond, 285 − 145 = 140 come off first."""
    state = done(begun(), 1, 2, 3).after(Flawed("roll-1", MM(1000), MM(200)))
    after = done(state, 8, 9).roll("roll-1")

    assert state.goes_past_flaw(state.plan.steps[8])
    assert (after.left, after.ahead) == (MM(5710 - 140 - 2500), ())


def test_what_is_pasted_at_the_days_end_has_soaked_overnight() -> None:
    """Of two pasted one is hung before the day ends."""
    state = done(begun(), 1, 2, 3, 4, 5, 6).after(Pasted(("1", "2"))).after(Hung(("1",)))
    morning = state.after(AtWork(begins=False)).after(AtWork(begins=True, by="Ann"))

    assert (state.pasted, morning.overnight, morning.by) == (("2",), ("2",), "Ann")


@pytest.mark.parametrize(
    ("happening", "message"),
    [
        (lambda state: done(state, 4, 4), "step 4 is given twice, so nothing was recorded"),
        (lambda state: done(state, 4, 8, 8), "step 8 is given twice, so nothing was recorded"),
        (lambda state: state.after(state.cut_of("2", "roll-1", MM(0))), "what is cut is longer than nothing"),
        (lambda state: done(state, 0), "there is no step 0: the plan's steps run from 1 to 11"),
        (lambda state: state.after(Pasted(("2",))), "drop 2 does not lie unpasted on the table; these do: 1"),
        (
            lambda state: state.after(AtWork(begins=True)),
            "work is going on; to hand it over, say who takes it up (--by)",
        ),
        (
            lambda state: state.cut_of("1", "roll-2", None),
            "drop 1 is cut already; if it is spoiled, record that first",
        ),
        (
            lambda state: done(state, 8, 9).cut_of("1", None, MM(2540)),
            "drop 1 is cut, and so is what lay behind it on its roll: measure what is left on that roll",
        ),
        (
            lambda state: state.after(Flawed("roll-1", MM(7551), MM(10))),
            "a flaw begins within what is left of roll-1, 7550 mm, and has a length",
        ),
    ],
)  # fmt: skip
def test_what_is_told_wrong_is_refused_and_says_why(happening: Callable[[State], State], message: str) -> None:
    """After steps 1 to 3 drop 1 lies on the table."""
    with pytest.raises(NotPossibleError) as caught:
        happening(done(begun(), 1, 2, 3))

    assert str(caught.value) == message


@pytest.mark.parametrize(
    "refusal", [ChangedScenarioError, NotBegunError, NotPossibleError, NothingToCutError, RecordError]
)
def test_refusals_at_the_table_are_wrong_usage(refusal: type[CutplanError]) -> None:
    """Whatever the record, the state or what remains refuses ends with exit status 2."""
    assert refusal.exit_status == 2


def test_roll_may_measure_as_much_longer_as_rolls_are_made_and_no_longer() -> None:
    """What is left of a roll may be that much more than its label says, to the millimetre."""
    state = done(begun(), 1, 2, 3)
    most = state.roll("roll-1").most_left * (1 + MOST_LONGER)

    assert state.after(Measured("roll-1", most)).roll("roll-1").most_left == most
    with pytest.raises(NotPossibleError, match="left at most"):
        state.after(Measured("roll-1", most + 1))


def test_record_that_cannot_have_happened_names_the_entry() -> None:
    """The same rules hold when a record is read."""
    entries = acts(in_use(half_drop_wall()), Done(1, (3,)))
    with pytest.raises(NotPossibleError) as caught:
        state_of(entries, half_drop_wall().job, "mm")

    assert str(caught.value) == (
        "entry 2 of the record: step 3 comes after step 2 on roll-1, which is not done; if it is, record both: 2 3"
    )


def test_no_entries_are_no_state() -> None:
    """Nothing was begun."""
    assert state_of([], half_drop_wall().job, "mm") is None
