"""The plan for what remains: enough or not, proved, and checked by the judge like any other."""

from __future__ import annotations

import json
from collections import Counter
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import Struct
from msgspec.structs import replace

from cutplan.check import check_text
from cutplan.paper.stock import Lot
from cutplan.parts.read_parts import read_scenario
from cutplan.plan.proof import Status
from cutplan.progress.entries import Bought, Measured, Spoiled
from cutplan.progress.joined import Joined
from cutplan.progress.plan_in_use import Effect, StockLot, freeze
from cutplan.progress.record import fingerprint
from cutplan.progress.remains import NothingToCutError, Remains, misfits
from cutplan.progress.state import State
from cutplan.progress.still_enough import Shortage, StillEnough, rest_sequence, still_enough
from cutplan.render.documents.plan_document import document_of, plan_text
from cutplan.scenario.read import Scenario, parse_scenario
from cutplan.scenario.write import written
from cutplan.solve import solve
from cutplan.solve.ordering import order_cuts
from cutplan.table.sequence import sequence_of
from hand_plans import drop, job, packed
from small_work import begun, done, free_work
from strategies import jobs

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cutplan.job.job import Job
    from cutplan.table.steps import Sequence

MM = Fraction
SCENARIOS: Final = Path(__file__).parents[1] / "scenarios"
THREE: Final = ("feature-wall", "measured-rolls", "third-drop-room")


MATCHES: Final = {
    Fraction(0): ("", "down"),
    Fraction(1, 2): ("/half", "down"),
    Fraction(1, 3): ("/third", "down"),
    Fraction(2, 3): ("/third", "up"),
    Fraction(1, 4): ("/quarter", "down"),
    Fraction(3, 4): ("/quarter", "up"),
}
"""How a label prints an offset that is this part of the repeat, and the direction that goes with it."""


def begin(scenario: Scenario) -> State:
    """Return the state before the first step of a scenario's plan."""
    sequence = sequence_of(solve(scenario.job))
    plan = freeze(
        number=1,
        scenario=fingerprint(scenario.document),
        sequence=sequence,
        origins={},
        document=document_of(sequence, scenario),
        words=lambda step: str(step.number),
    )
    return State(scenario.job, scenario.units, plan)


def spoilt_after_each_cut(state: State) -> Iterator[tuple[State, str]]:
    """Yield the state after each cut of the plan with the piece just cut spoiled, and the piece."""
    for step in state.plan.steps:
        state = done(state, step.number)
        if step.act is Effect.CUT:
            assert step.piece is not None
            yield state.after(Spoiled(step.piece, "torn")), step.piece


class Rest(Struct, frozen=True):
    """A plan for what remains, put to use."""

    remains: Remains
    sequence: Sequence


def new_plan(state: State, answer: StillEnough) -> Rest:
    """Return plan 2, its cuts in order and its steps numbered on."""
    assert answer.plan is not None
    habit = answer.remains.scenario.cutting
    plan = order_cuts(answer.plan, follow=habit.follow, open_rolls=habit.open_rolls)
    return Rest(answer.remains, rest_sequence(plan, state, state.plan.last + 1))


def enough(state: State) -> StillEnough:
    """Return the answer for work on a job made by hand."""
    return still_enough(state, _scenario_of(state.job))


def assert_judged_sound(rest: Rest) -> None:
    """Have the judge read the new plan's document with its own scenario, proof included."""
    report = check_text(plan_text(document_of(rest.sequence, rest.remains.scenario)))

    assert [violation.line() for violation in report.violations] == []


def cut_in_all(rest: Rest) -> Counter[str]:
    """Return how often the new plan cuts each drop."""
    cut = Counter[str]()
    for layout in rest.sequence.plan.layouts:
        for made in layout.cuts:
            cut[made.drop] += layout.count
    return cut


def cut_from_rolls(answer: StillEnough) -> dict[str, tuple[str, ...]]:
    """Return which drops are cut from each roll, in order along it."""
    layouts = () if answer.plan is None else answer.plan.layouts
    return {layout.lot: tuple(cut.drop for cut in layout.cuts) for layout in layouts}


def parse_document(document: dict[str, object]) -> Job:
    """Return the job that a scenario's document says, read as a file of TOML would be."""
    inner = {key: value for key, value in document.items() if isinstance(value, dict)}
    lines = [f"{key} = {json.dumps(value)}" for key, value in document.items() if not isinstance(value, dict | list)]
    lines += [f"[{key}]\n" + "\n".join(f"{k} = {_value(v)}" for k, v in table.items()) for key, table in inner.items()]
    for key in ("roll", "offcut", "drop"):
        entries = document.get(key, [])
        assert isinstance(entries, list)
        lines += [f"[[{key}]]\n" + "\n".join(f"{k} = {_value(v)}" for k, v in entry.items()) for entry in entries]
    return parse_scenario("\n".join(lines), "again.toml").job


def _value(value: object) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key} = {_value(inner)}" for key, inner in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_value, value)) + "]"
    return json.dumps(value)


# After every possible spoiled piece


class Case(Struct, frozen=True):
    """A state with one piece just spoiled, the answer, and the new plan."""

    state: State
    piece: str
    answer: StillEnough
    plan: Rest


@cache
def cases(name: str) -> tuple[Case, ...]:
    """Return the case of every piece that a scenario's plan cuts."""
    scenario = read_scenario(SCENARIOS / f"{name}.toml")
    found = []
    for state, piece in spoilt_after_each_cut(begin(scenario)):
        answer = still_enough(state, scenario)
        found.append(Case(state, piece, answer, new_plan(state, answer)))
    assert len(found) == scenario.job.drop_count
    return tuple(found)


@pytest.mark.parametrize("name", THREE)
def test_every_spoiled_piece_of_a_scenario_is_planned_again(name: str) -> None:
    """Whichever cut goes wrong, all that is wanted is cut, by a plan that the judge accepts, proof included."""
    for case in cases(name):
        assert_judged_sound(case.plan)
        assert case.plan.sequence.plan.status is Status.OPTIMAL, case.piece
        assert cut_in_all(case.plan) == Counter(case.state.remaining)


@pytest.mark.parametrize("name", THREE)
def test_steps_go_on_where_the_first_plan_ends(name: str) -> None:
    """No number stands for two steps, so an old sheet cannot be taken for the new."""
    for case in cases(name):
        numbers = [step.number for step in case.plan.sequence.steps]
        first = case.state.plan.last + 1

        assert numbers == list(range(first, first + len(numbers)))


@pytest.mark.parametrize("name", THREE)
def test_what_is_open_is_counted_as_it_is(name: str) -> None:
    """Rolls in the new plan's scenario are as long as is certain, and begin where their print now does."""
    for case in cases(name):
        opened = [lot for lot in case.plan.remains.job.lots if case.state.is_opened(lot.label)]
        rolls = [case.state.roll(lot.label) for lot in opened]

        assert [(lot.length, lot.first_motif) for lot in opened] == [(roll.left, roll.first_motif) for roll in rolls]


@pytest.mark.parametrize("name", THREE)
def test_what_remains_is_a_scenario_that_reads_the_same(name: str) -> None:
    """Nothing is lost from the echo: read again it is the job that was planned."""
    for case in cases(name):
        job = case.plan.remains.job
        again = parse_document(case.plan.remains.scenario.document)

        assert (again.lots, again.drops) == (job.lots, tuple(replace(drop, column=None) for drop in job.drops))


def test_second_spoiled_piece_is_planned_from_the_second_plan() -> None:
    """Plan 2 is put to use, two of its cuts are made, the last is spoiled, and plan 3 goes on where it ends."""
    scenario = read_scenario(SCENARIOS / "feature-wall.toml")
    state, _ = list(spoilt_after_each_cut(begin(scenario)))[2]
    second = new_plan(state, still_enough(state, scenario))
    plan = freeze(
        number=2,
        scenario=state.plan.scenario,
        sequence=second.sequence,
        origins=second.remains.origins,
        document=document_of(second.sequence, second.remains.scenario),
        words=lambda step: str(step.number),
    )
    state = state.after(plan)
    cuts = [step for step in plan.steps if step.act is Effect.CUT]
    for step in plan.steps[: plan.steps.index(cuts[1]) + 1]:
        state = done(state, step.number)
    state = state.after(Spoiled(state.on_table[-1], "folded wrongly"))
    third = new_plan(state, still_enough(state, scenario))

    assert_judged_sound(third)
    assert third.sequence.steps[0].number == plan.last + 1
    assert set(third.remains.origins.values()) == {"roll"}


# Enough, or what is short


def two_drops_a_roll(count: int, rolls: int, length: int = 5200) -> State:
    """Return work of plain paper: drops of 2500 mm, two to a roll of ``length``, on rolls A, B and so on."""
    lots = tuple(Lot(label, MM(length)) for label in "ABCDEF"[:rolls])
    labels = [str(number) for number in range(1, count + 1)]
    layouts = [(lot.label, 1, labels[2 * place : 2 * place + 2]) for place, lot in enumerate(lots)]
    return free_work([drop(label, 2400) for label in labels], lots, [layout for layout in layouts if layout[2]])


def test_spoiled_piece_that_an_unopened_roll_replaces() -> None:
    """Drop 1 of 4 is spoiled; rolls A and B are planned full, and C is still in hand."""
    answer = enough(done(two_drops_a_roll(4, 3), 1, 2).after(Spoiled("1", "torn")))

    assert answer.is_enough
    assert (answer.in_hand, answer.further) == (2, 2)


def test_nothing_amiss_opens_no_more_than_was_planned() -> None:
    """A new plan half way through opens roll B, as the first did."""
    assert enough(done(two_drops_a_roll(4, 3), 1, 2)).further == 1


def test_paper_short_by_one_roll_says_so_and_what_would_do() -> None:
    """Two rolls, all four drops planned; drop 1 is spoiled, and 200 mm are over on each roll."""
    state = done(two_drops_a_roll(4, 2), 1, 2).after(Spoiled("1", "torn"))
    answer = enough(state)

    assert answer.plan is None
    assert answer.shortage == Shortage(
        rolls=1, batches={}, is_proved=True, drops={"2": 1}, length=MM(2500), price=None, to_measure=(), joined=None
    )


def test_joined_piece_is_offered_where_the_ends_reach() -> None:
    """Rolls of 6400 mm leave 1400 each: 50 + 1330 + 20 above and 1070 + 50 below make a drop of 2400."""
    state = done(two_drops_a_roll(4, 2, length=6400), 1, 2).after(Spoiled("1", "torn"))
    shortage = enough(state).shortage

    assert shortage is not None
    assert shortage.joined == Joined("2", "A", MM(1400), "B", MM(1120))


def test_joined_piece_meets_the_print() -> None:
    """Both parts carry the print of the drop: the lower begins where the upper, its overlap apart, ends."""
    scenario = read_scenario(SCENARIOS / "feature-wall.toml")
    pattern = scenario.job.paper.pattern
    offered = 0
    for state, _ in spoilt_after_each_cut(begin(scenario)):
        shortage = still_enough(state, scenario).shortage
        joined = None if shortage is None else shortage.joined
        if joined is None:
            continue
        wanted = scenario.job.drop(joined.drop)
        joint = joined.top_length - wanted.trim_top - 20
        offered += 1

        assert joint + joined.bottom_length - wanted.trim_bottom == wanted.height
        assert min(joint, wanted.height - joint) >= 300
        for name, length, motif in (
            (joined.top_roll, joined.top_length, wanted.motif_below_cut),
            (joined.bottom_roll, joined.bottom_length, wanted.first_motif - joint),
        ):
            roll = state.rolls.get(name)
            if roll is not None and not state.to_be_cut.get(roll.label):
                assert roll.first_motif is not None
                assert pattern.within_repeat(roll.first_motif - motif) + length <= roll.left
    assert offered == scenario.job.drop_count


def test_bought_roll_makes_it_enough() -> None:
    """The same shortage, and a further roll from the shop."""
    state = done(two_drops_a_roll(4, 2), 1, 2).after(Spoiled("1", "torn"))
    state = state.after(Bought((StockLot(Lot("bought 1", MM(5200)), "bought 1"),)))
    answer = enough(state)

    assert answer.is_enough
    assert set(cut_from_rolls(answer)) == {"A", "B", "bought 1"}


def test_measuring_first_is_proposed_where_it_may_save_the_roll() -> None:
    """A sealed roll of 6300: drop 1 leaves 3160 to 3800; again drop 1 of 2500, and then drop 3, need 60 + 2500 each.

    Sure of 3160, the roll gives one of them; even with 3800 left it gives only one: nothing to gain. With a roll
    of 8400 it is 5260 to 5900: two of 2560 are sure and need no measuring. At 8200 it is 5060 to 5700: the second
    is only possible, so measuring may save the further roll.
    """
    outcomes = {}
    for length in (6300, 8200, 8400):
        wanted = job([drop("1", 2400, 95), drop("3", 2400, 95)], lots=(Lot("A", MM(length)),))
        state = done(begun(packed(wanted, [("A", 1, "1")])), 1, 2, 3).after(Spoiled("1", "torn"))
        shortage = enough(state).shortage
        outcomes[length] = None if shortage is None else (shortage.rolls, shortage.to_measure)

    assert outcomes == {6300: (1, ()), 8200: (1, ("A",)), 8400: None}


def test_where_rolls_are_bought_as_needed_a_plan_is_found_and_the_shortage_told() -> None:
    """The half-drop wall: two sealed rolls were counted on, and both are open when drop 1 is lost a third time."""
    state = begun()
    state = done(state, *range(1, 12))
    for piece in ("1", "2", "3", "4"):
        state = state.after(Spoiled(piece, "damp"))
    answer = enough(state)

    assert answer.in_hand == 0
    assert answer.further == 1
    assert answer.shortage is not None
    assert (answer.shortage.rolls, answer.shortage.is_proved) == (1, True)


def test_nothing_to_cut_is_said() -> None:
    """All is cut and nothing spoiled."""
    with pytest.raises(NothingToCutError) as caught:
        enough(done(two_drops_a_roll(2, 1), 1, 2, 3))

    assert str(caught.value) == "every drop is cut, and none is wanted again: there is nothing to plan"


def test_drop_that_no_longer_fits_moves_to_another_roll() -> None:
    """Roll A was found to have 2499 mm left after drop 1: drop 2 goes to roll C, and B still gives two."""
    state = done(two_drops_a_roll(4, 3), 1, 2).after(Measured("A", MM(2499)))
    cut = cut_from_rolls(enough(state))

    assert misfits(state) == {"A": ("2",)}
    assert {len(drops) for drops in cut.values()} == {1, 2}
    assert set(cut) == {"B", "C"}


def test_rolls_keep_their_names() -> None:
    """Roll-1 is open, roll-2 was planned: no roll is called as another was."""
    state = done(begun(), 1, 2, 3, 4, 5, 6)
    state = state.after(Spoiled("1", "torn")).after(Spoiled("2", "torn"))
    answer = enough(state)

    assert set(cut_from_rolls(answer)) <= {"roll-1", "roll-2", "roll-3"}
    assert_judged_sound(new_plan(state, answer))


def test_contract_keeps_its_blocks() -> None:
    """Of 900 rolls alike the first is cut and one of its drops lost: the others are planned in blocks, not singly."""
    text = """
        units = "mm"
        paper = { roll_length = 10050, match = "free" }
        [[drop]]
        label = "wall"
        height = 2400
        count = 3600
    """
    scenario = parse_scenario(text, "contract.toml")
    state = begin(scenario)
    state = done(state, *[step.number for step in state.plan.steps]).after(Spoiled("wall", "torn"))
    answer = still_enough(state, scenario)
    plan = new_plan(state, answer)

    assert answer.further == 900  # 3597 drops, four to a roll: 899 rolls are full and one gives a single drop
    assert len(plan.sequence.plan.layouts) <= 3
    assert {lot.label for lot in plan.remains.job.lots} == {"roll-1", "plan 2 roll"}
    assert_judged_sound(plan)


def _scenario_of(wanted: Job) -> Scenario:
    document: dict[str, object] = {
        "units": "mm",
        "paper": {"name": wanted.paper.name, "roll_length": 10050, "match": "64/32 cm"},
    }
    return Scenario(wanted, "mm", (), document, "wall.toml")


# Rests of spoiled pieces


def test_short_piece_is_cut_from_what_is_sound_of_a_spoiled_one() -> None:
    """A drop of 2500 mm is torn, 1200 mm of it are sound, and a piece of 1100 is still to be cut: no further roll."""
    text = """
        units = "mm"
        paper = { roll_length = 5000, match = "free" }
        roll = [{ label = "A" }]
        drop = [{ label = "1", height = 2400 }, { label = "over door", height = 1000 }]
    """
    scenario = parse_scenario(text, "door.toml")
    torn = done(begin(scenario), 1, 2)
    without = still_enough(torn.after(Spoiled("1", "torn")), scenario)
    kept = torn.after(Spoiled("1", "torn", MM(1200)))
    answer = still_enough(kept, scenario)

    assert without.shortage is not None
    assert answer.is_enough
    assert cut_from_rolls(answer) == {"A": ("1",), "rest 1 of 1": ("over door",)}
    assert_judged_sound(new_plan(kept, answer))


# Properties


@given(jobs(most_drops=4, most_lots=2), st.data())
def test_any_state_of_any_job_is_planned_and_judged_sound(wanted: Job, data: st.DataObject) -> None:
    """Some steps done, some pieces spoiled, on any pattern and stock: the judge accepts the plan for the rest."""
    scenario = _scenario_text_of(wanted)
    state = begin(scenario)
    for step in state.plan.steps[: data.draw(st.integers(1, len(state.plan.steps)), label="steps done")]:
        state = done(state, step.number)
    losses = data.draw(st.integers(0, min(2, len(state.on_table))), label="pieces lost")
    for piece in state.on_table[:losses]:
        state = state.after(Spoiled(piece, "torn"))
    if not state.remaining:
        return
    answer = still_enough(state, scenario)
    if answer.plan is not None:
        plan = new_plan(state, answer)

        assert_judged_sound(plan)
        assert cut_in_all(plan) == Counter(state.remaining)
    else:
        assert answer.shortage is not None
        assert answer.shortage.rolls >= 1


def _scenario_text_of(wanted: Job) -> Scenario:
    """Return a job of :func:`jobs` as a scenario: its first lot is bought as needed when it stands alone."""
    pattern = wanted.paper.pattern
    part, direction = MATCHES[pattern.offset / pattern.repeat] if pattern.repeat else ("", "down")
    match = "free" if pattern.is_free else f"{written(pattern.repeat)}{part}"
    lots = wanted.lots if len(wanted.lots) == 1 else tuple(replace(lot, count=lot.count or 9) for lot in wanted.lots)
    document: dict[str, object] = {
        "units": "mm",
        "paper": {"roll_length": written(wanted.paper.roll_length), "match": match, "offset_direction": direction},
    }
    return Scenario(replace(wanted, lots=lots), "mm", (), document, "any.toml")
