"""Where the work stands, and what a new plan changes, as plain text."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping
from itertools import groupby
from typing import TYPE_CHECKING, Final

from cutplan.lengths import Length, Rounding, exact_mm, show
from cutplan.paper.sale import Sale
from cutplan.plan.plan import Plan
from cutplan.plan.proof import Status
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
)
from cutplan.progress.plan_in_use import Effect, PlanInUse, TableStep
from cutplan.progress.roll_now import RollAtTable
from cutplan.progress.state import State, drop_of
from cutplan.render.pages.layout_of_page import bullets, paragraphs, table, wrapped
from cutplan.render.pages.plan_page import plan_page
from cutplan.render.words.answer_words import money, proof_words
from cutplan.render.words.names import capital, listed_with_and
from cutplan.render.words.readings import to_cut
from cutplan.render.words.sale_words import as_sold, in_unit
from cutplan.render.words.sheet_words import sheets_named
from cutplan.table.steps import Sequence
from cutplan.wording import counted

if TYPE_CHECKING:
    from cutplan.progress.joined import Joined
    from cutplan.progress.still_enough import Shortage, StillEnough

FORMAT: Final = "cutplan-status/1"

_LABEL_WIDTH: Final = 14
_FEWEST_TOGETHER: Final = 4
"""Rolls alike in a row that are listed as one."""


def status_page(state: State, misfits: Mapping[str, tuple[str, ...]], replan: str, units: str) -> str:
    """Return where the work stands: steps, pieces, rolls, and what is next.

    ``misfits`` are, by roll, drops planned on it that it can no longer give; ``replan`` is the command for a new plan.
    """
    return paragraphs(
        _heading(state),
        "\n".join(_pieces(state)),
        _rolls(state, units),
        "\n".join(warnings(state, misfits, replan)),
        "\n".join(next_lines(state, misfits)),
    )


def _heading(state: State) -> str:
    steps = state.plan.steps
    done = sum(state.done.get(step.number, 0) >= step.count for step in steps)
    cut = len(state.on_table) + len(state.hung)
    wanted = state.job.drop_count
    numbers = f"steps {state.plan.first} to {state.plan.last}"
    lines = [f"Plan {state.plan.number}, {numbers}: {done} of {len(steps)} done. Drops: {cut} of {wanted} cut."]
    if state.version > 1:
        lines.append(f"The scenario was corrected: version {state.version} of it counts.")
    if state.by is not None or state.is_off:
        who = "" if state.by is None else f": {state.by}"
        lines.append(f"Left off for the day{who}." if state.is_off else f"At work{who}.")
    return "\n".join(lines)


def _pieces(state: State) -> list[str]:
    planned = [drop for drops in state.to_be_cut.values() for drop in drops]
    order = {drop.label: place for place, drop in enumerate(state.job.drops)}
    lists = (
        ("Hung", state.hung),
        ("On the table", state.on_table),
        ("Pasted", state.pasted),
        ("Overnight", state.overnight),
        ("Still to cut", sorted(planned, key=lambda drop: order[drop])),
        ("Wanted again", [*Counter(state.wanted_again).elements()]),
    )
    lines = [_labelled(label, _listed(names)) for label, names in lists if names]
    return [*lines, *(_labelled("Spoiled", f"{loss.piece}: {loss.why}") for loss in state.spoiled)]


def _labelled(label: str, text: str) -> str:
    return wrapped(text, f"{label:<{_LABEL_WIDTH}}", " " * _LABEL_WIDTH)


def _listed(names: Iterable[str]) -> str:
    """Return names, several alike in a row together: ``3 × door``."""
    runs = [(name, len(list(same))) for name, same in groupby(names)]
    items = [name if count == 1 else f"{count} × {name}" for name, count in runs]
    return ("; " if any("," in item for item in items) else ", ").join(items)


def _rolls(state: State, units: str) -> str:
    if not state.rolls:
        return ""
    to_be_cut = state.to_be_cut
    is_free = state.job.paper.pattern.is_free
    heads = ("roll", "still to be cut from it", "left", *(() if is_free else ("first motif",)))
    rows = [
        (
            roll.label,
            _listed(to_be_cut.get(roll.label, ())) or "nothing",
            _left(roll, units),
            *(() if is_free else ("not known" if roll.first_motif is None else show(roll.first_motif, units),)),
        )
        for roll in state.rolls.values()
    ]
    return table(heads, _together(rows), wrapped=1)


def _together(rows: list[tuple[str, ...]]) -> list[tuple[str, ...]]:
    """Return rows with many rolls alike, one after another, put into one."""
    lines: list[tuple[str, ...]] = []
    for facts, held in groupby(rows, key=lambda row: row[1:]):
        alike = list(held)
        if len(alike) < _FEWEST_TOGETHER:
            lines += alike
        else:
            lines.append((f"{alike[0][0]} to {alike[-1][0]}, each", *facts))
    return lines


def _left(roll: RollAtTable, units: str) -> str:
    least = show(roll.left, units, Rounding.DOWN)
    least = least if roll.is_certain else f"{least} to {show(roll.most_left, units, Rounding.DOWN)}"
    return " + ".join([least, *(show(stretch.length, units, Rounding.DOWN) for stretch in roll.ahead)])


def warnings(state: State, misfits: Mapping[str, tuple[str, ...]], replan: str) -> list[str]:
    """Return what is amiss with the plan in use, and the command that mends it; nothing when all is well."""
    lines = []
    if again := [*Counter(state.wanted_again).elements()]:
        lines.append(f"The plan does not cut {_drops(again)}{' again' if state.version == 1 else ' as now wanted'}.")
    for roll, drops in misfits.items():
        lines.append(f"{capital(roll)} can no longer give {_drops(drops)}.")
    return [wrapped(line) for line in lines] + ([f"To plan the rest anew: {replan}"] if lines else [])


def _drops(labels: Iterable[str]) -> str:
    names = list(labels)
    return f"drop {names[0]}" if len(names) == 1 else f"drops {_listed(names)}"


def next_lines(state: State, misfits: Collection[str]) -> list[str]:
    """Return the next step as it was printed, or that there is none; nothing where its roll is one that misfits."""
    step = state.next_step
    if step is None:
        return [] if state.wanted_again else ["Every step of the plan is done."]
    if state.plan.roll(step, state.done.get(step.number, 0)) in misfits:
        return []
    return ["Next:", *step_lines(step, state.done.get(step.number, 0)), *_otherwise(state, step)]


def _otherwise(state: State, step: TableStep) -> list[str]:
    """Return what is to be done otherwise than a step says, since its roll does not lie as it was planned."""
    off = state.comes_off_first(step)
    lines = ["The piece no longer fits before the flaw: go past it first."] if state.goes_past_flaw(step) else []
    if not lines and off is not None:
        shown = show(off, state.units)
        amount = (shown if step.act is Effect.CUT_OFF else f"first {shown}") if off else "nothing"
        is_open_question = step.act is Effect.CUT_OFF and step.length is None
        lines = [f"That is {shown}." if is_open_question else f"The roll does not lie as planned: {amount} comes off."]
    return [line for text in lines for line in wrapped(text, " " * 7, " " * 7).splitlines()]


def begins_otherwise(state: State, numbers: Iterable[int], motif: Length | None) -> list[str]:
    """Return the word that a roll deserves which was opened with its first motif not where it was listed."""
    steps = [step for step in map(state.plan.step, numbers) if step is not None and step.act is Effect.OPEN]
    return [
        wrapped(
            f"{capital(state.plan.roll(step, 0))} begins otherwise than listed: its first motif lies "
            f"{show(motif, state.units)} below its end, not {show(step.motif_below, state.units)}."
        )
        for step in steps
        if motif is not None and step.motif_below not in (None, motif) and step.motif_below is not None
    ]


def lying_lines(state: State) -> list[str]:
    """Return what lies ready when work is left off or taken up, and what is not to be left pasted overnight."""
    lines = [f"On the table: {_listed(state.on_table) or 'nothing'}."]
    if state.is_off and state.pasted:
        lines.append(
            f"Pasted and folded: {_listed(state.pasted)}. Hang before you go: what soaks overnight grows more."
        )
    elif state.overnight:
        what = f"Pasted since the day before: {_listed(state.overnight)}"
        lines.append(f"{what}. They soaked longer than the rest, so their joints open: better spoiled than hung.")
    elif state.pasted:
        lines.append(f"Pasted and folded: {_listed(state.pasted)}.")
    return [wrapped(line) for line in lines]


def correction_lines(event: Corrected, before: State, after: State) -> list[str]:
    """Return what a corrected scenario makes of the pieces that are cut and hung."""
    lines = [f"Corrected: version {after.version} of the scenario counts from here on."]
    for piece, labels in event.pieces.items():
        where = "hangs" if piece in before.hung else "lies on the table"
        if not labels:
            lines.append(f"Drop {piece} {where} and has no place any more{'' if where == 'hangs' else ': it is kept'}.")
        elif labels != (piece,):
            lines.append(
                f"Drop {piece} {where} and is {_drops(labels)} now{'' if where == 'hangs' else ': mark it so'}."
            )
        if where == "hangs" and any(_prints_otherwise(before, piece, after, label) for label in labels[:1]):
            lines.append(f"Drop {piece} hangs with its print elsewhere than now wanted: no joint beside it will meet.")
    for label in after.hung:
        short = after.is_short(label)
        if short > 0:
            lines.append(f"Drop {label} hangs and is {show(short, after.units)} too short: if it cannot stay, spoiled.")
    return [wrapped(line) for line in lines]


def _prints_otherwise(before: State, piece: str, after: State, label: str) -> bool:
    pattern, was, now = after.job.paper.pattern, before.job.drop(drop_of(piece)), after.job.drop(drop_of(label))
    return not pattern.is_free and pattern.within_repeat(was.first_motif - now.first_motif) != 0


def entries_page(entries: Iterable[Recorded], counting: Collection[Recorded]) -> str:
    """Return every entry of a record, with its number and its time; those undone are marked."""
    lines = []
    for entry in entries:
        undone = "" if entry in counting or isinstance(entry.event, Undone) else " (undone)"
        when = entry.at.replace("T", " ")[:16]
        lines.append(wrapped(f"{event_words(entry.event)}{undone}", f"{entry.number:>4}  {when}  ", " " * 24))
    return "\n".join(lines) + "\n"


def steps_still_to_do(state: State) -> str:
    """Return every step of the plan in use that is not done, as it was printed; empty when all are."""
    lines: list[str] = []
    roll = None
    for step in state.plan.steps:
        times = state.done.get(step.number, 0)
        if times < step.count and state.is_right(step):
            now = state.plan.roll(step, times)
            lines += [] if now == roll else ["", capital(now if now.lower().startswith("roll") else f"roll {now}")]
            lines += step_lines(step, times)
            roll = now
    return "\n".join(lines[1:]) + "\n" if lines else ""


def step_lines(step: TableStep, times: int = 0) -> list[str]:
    """Return a step as it was printed; ``times`` is on how many of several rolls alike it is done."""
    on = f" (roll {times + 1} of {step.count})" if step.count > 1 else ""
    return wrapped(step.words + on, f"  {step.number:>3}  ", " " * 7).splitlines()


def sentence(words: str) -> str:
    """Return words as a sentence of their own."""
    return f"{capital(words)}."


def event_words(event: Event, units: str = "mm") -> str:  # noqa: C901, PLR0911 - one for each kind
    """Return what an entry recorded, in a few words."""
    match event:
        case Done():
            first, last = event.steps[0], event.steps[-1]
            is_run = len(event.steps) > 2 and event.steps == tuple(range(first, last + 1))  # noqa: PLR2004 - from three
            numbers = f"{first} to {last}" if is_run else ", ".join(str(step) for step in event.steps)
            times = "" if event.times == 1 else f", on {event.times} rolls"
            return f"{'step' if len(event.steps) == 1 else 'steps'} {numbers} done{times}"
        case CutPiece():
            cut = "found to be" if event.corrects else "cut"
            return f"drop {event.piece} {cut} {show(event.length, units)} long, from {event.roll}"
        case Hung():
            return f"{_drops(event.pieces)} hung"
        case Spoiled():
            return f"drop {event.piece} spoiled ({event.why})"
        case Measured():
            return f"what is left on {event.roll}"
        case Flawed():
            return f"a flaw of {show(event.length, units)} on {event.roll}, {show(event.at, units)} from its end"
        case Bought():
            return f"{counted(len(event.stock), 'roll')} come in: {', '.join(held.lot.label for held in event.stock)}"
        case Pasted():
            return f"{_drops(event.pieces)} pasted"
        case AtWork():
            by = "" if event.by is None else f" by {event.by}"
            return f"work taken up{by}" if event.begins else f"the day's end{by}"
        case Corrected():
            return "the scenario corrected"
        case PlanInUse():
            return f"plan {event.number}"
        case Undone():
            return f"the undoing of entry {event.entry}"


def state_document(state: State) -> dict[str, object]:
    """Return where the work stands as plain JSON, lengths in exact millimetres as text."""
    return {
        "format": FORMAT,
        "plan": state.plan.number,
        "steps": [state.plan.first, state.plan.last],
        "steps_done": sorted(number for number, times in state.done.items() if times),
        "next_step": None if state.next_step is None else state.next_step.number,
        "on_table": list(state.on_table),
        "hung": list(state.hung),
        "pasted": list(state.pasted),
        "pasted_overnight": list(state.overnight),
        "left_off": state.is_off,
        "by": state.by,
        "version": state.version,
        "spoiled": [{"drop": loss.piece, "why": loss.why, "was_hung": loss.was_hung} for loss in state.spoiled],
        "wanted_again": state.wanted_again,
        "to_be_cut": {roll: list(drops) for roll, drops in state.to_be_cut.items()},
        "rolls": [
            {
                "roll": roll.label,
                "left": exact_mm(roll.left),
                "left_at_most": exact_mm(roll.most_left),
                "first_motif": None if roll.first_motif is None else exact_mm(roll.first_motif),
                "open": roll.is_open,
            }
            for roll in state.rolls.values()
        ],
    }


def replan_page(
    answer: StillEnough, sequence: Sequence, number: int, units: str, is_over: Callable[[], bool] | None = None
) -> str:
    """Return the page of a new plan: the answer, then all that a first plan says, its steps numbered on.

    ``number`` is that of the new plan; ``is_over`` is as for :func:`plan_page`.
    """
    first, last = sequence.steps[0].number, sequence.steps[-1].number
    steps = f"Plan {number}, steps {first} to {last}, takes the place of plan {number - 1}."
    rest = answer.remains.scenario
    head = "\n".join([*answer_lines(answer, units), "", wrapped(steps)])
    return plan_page(sequence, rest.notes, units, None, rest.pace, head=head, is_over=is_over)


# The answer


def answer_lines(answer: StillEnough, units: str) -> list[str]:
    """Return whether there is still enough paper; if not, what is short and what would do."""
    if answer.shortage is None:
        return [wrapped(line) for line in _enough(answer)]
    return _short(answer, answer.shortage, units)


def _enough(answer: StillEnough) -> list[str]:
    further = answer.further
    if not further:
        return ["Yes, there is still enough paper: no further roll has to be opened."]
    unopened = f"{further} of the {counted(answer.in_hand, 'roll')} not opened yet"
    if further == answer.in_hand:
        unopened = f"the {counted(further, 'roll')} not opened yet" if further > 1 else "the roll not opened yet"
    plan = answer.plan
    return [f"Yes, there is still enough paper, with {unopened}.", *([] if plan is None else [_proved(plan)])]


def _proved(plan: Plan) -> str:
    if plan.status is Status.OPTIMAL:
        prices = {plan.job.value_of(lot) for lot in plan.job.rolls} - {0}
        return f"{proof_words(plan)}: no plan for the rest {'costs less' if len(prices) > 1 else 'opens fewer'}."
    why = f" ({plan.stopped})" if plan.stopped else ""
    return f"Not proved to be the fewest{why}. The plan itself holds."


def _short(answer: StillEnough, shortage: Shortage, units: str) -> list[str]:
    if shortage.sheets:
        return _sheets_short(answer, shortage)
    unopened = "the roll" if answer.in_hand == 1 else f"the {answer.in_hand} rolls"
    beyond = f"beyond {unopened} not opened yet" if answer.in_hand else ""
    sale = answer.remains.job.paper.sale
    is_one = shortage.rolls == 1 or shortage.order is not None
    more = f"{_more(shortage, sale)} {'is' if is_one else 'are'} needed"
    proved = "proved: fewer will not do" if shortage.is_proved else "fewer may do, it is not proved"
    lines = [wrapped(f"No, there is not enough paper: {more}{' ' if beyond else ''}{beyond} ({proved}).")]
    missing = _drops(Counter(shortage.drops).elements())
    them = "it" if shortage.rolls == 1 else "them"
    lines.append(wrapped(f"Cut from {them} would be {missing}: {show(shortage.length, units, Rounding.UP)}."))
    lines.append("What would do:")
    listed = answer.plan is None
    lines.append(bullets(_changes(shortage, sale, units, rolls_are_listed=listed)))
    return lines


def _sheets_short(answer: StillEnough, shortage: Shortage) -> list[str]:
    """Return which sheets of a set must be had again: what hangs of one cannot be cut from any other."""
    sheets = answer.remains.job.paper.sheets
    count = 0 if sheets is None else sheets.count
    named, missing = sheets_named(shortage.sheets), _drops(Counter(shortage.drops).elements())
    them = "it" if shortage.rolls == 1 else "them"
    cost = "" if shortage.price is None else f" ({money(shortage.price)})"
    said = f"No: {named} of the {count} must be had again{cost}, for {missing} can be cut from no other."
    options = f"{', '.join(f'cutplan bought 1 --sheet {sheet}' for sheet in shortage.sheets)}"
    how = f"Ask for {them} with the old order's number, record it ({options}), and plan again: shade may differ."
    return [wrapped(said), wrapped(how)]


def _changes(shortage: Shortage, sale: Sale, units: str, *, rolls_are_listed: bool) -> list[str]:
    """Return what would do, the cheapest first."""
    changes = []
    if shortage.rolls_if_measured is not None:
        fewer = shortage.rolls_if_measured
        result = f"{counted(fewer, 'roll')} more may do" if fewer else "no further roll may be needed"
        rolls = listed_with_and(shortage.to_measure)
        changes.append(f"Measure what is left on {rolls}, record it (cutplan measured), and plan again: {result}.")
    cost = "" if shortage.price is None or shortage.order is not None else f" ({money(shortage.price)})"
    record = ": record it (cutplan bought), and plan again" if rolls_are_listed else ""
    changes.append(f"{_more(shortage, sale)}, {_of_batches(shortage)}{cost}{record}.")
    if shortage.joined is not None:
        changes.append(_joined(shortage.joined, units))
    return changes


def _more(shortage: Shortage, sale: Sale) -> str:
    if shortage.order is not None:
        return f"{in_unit(shortage.order.length, sale.unit or 'm')} more in one piece"
    return f"{as_sold(sale, shortage.rolls)} more"


def _of_batches(shortage: Shortage) -> str:
    if len(shortage.batches) > 1:
        return listed_with_and([f"{count} of batch {batch}" for batch, count in shortage.batches.items()])
    return "".join(f"of batch {batch}" for batch in shortage.batches) or "of the same batch"


def _joined(joined: Joined, units: str) -> str:
    above = f"{to_cut(joined.top_length, units)} from {joined.top_roll}"
    below = f"{to_cut(joined.bottom_length, units)} from {joined.bottom_roll}"
    return (
        f"Only if the customer chooses it: drop {joined.drop} joined across, {above} above and {below} below, the "
        "print met at the joint, hung where it shows least, such as behind a door."
    )
