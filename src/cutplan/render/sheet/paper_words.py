"""The paper and the rolls in the trade's words: what the label says, what to buy, what to look at first."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from cutplan.job.job import Job
from cutplan.lengths import Rounding, show
from cutplan.paper.match_label import PARTS
from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Lot, Paper
from cutplan.render.drawing.lettering import ISOLATED, isolated
from cutplan.render.words.answer_words import money
from cutplan.render.words.batch_words import UNTOLD, shares_of
from cutplan.render.words.caution_words import (
    AIR,
    FAULTS,
    REVERSED,
    batch_numbers,
    edges_heeded,
    rolls_with_nothing_to_spare,
)
from cutplan.render.words.names import listed_with_and
from cutplan.render.words.readings import place
from cutplan.render.words.sale_words import as_sold, width_words
from cutplan.render.words.sheet_words import AS_DYED, equal_lines, set_words, sheet_lines, sheets_needed
from cutplan.setting_out import SettingOut
from cutplan.table.steps import LeftOver, Sequence
from cutplan.wording import counted, sits

_PARTS: Final = {part: name for name, part in PARTS.items()}


def match_words(pattern: Pattern, units: str, *, is_along: bool = False) -> str:
    """Return how neighbouring strips match: ``half-drop, repeat 640 mm``; of a border, which has none, its repeat."""
    if pattern.is_free:
        return "no repeat" if is_along else "free match"
    repeat = f"repeat {place(pattern.repeat, units)}"
    if is_along:
        return repeat
    if not pattern.offset:
        return f"straight match, {repeat}"
    part = pattern.offset / pattern.repeat
    name = _PARTS.get(part) or _PARTS.get(1 - part)
    kind = "offset match" if name is None else f"{name}-drop"
    return f"{kind}, {repeat}"


def paper_facts(paper: Paper, units: str, *, is_along: bool = False) -> str:
    """Return what the label says of a paper: its size and its match; of a border, hung along its length, its repeat."""
    if paper.sheets is not None:
        return set_words(paper, units)
    size = f"roll {show(paper.roll_length, units)}"
    if width := width_words(paper, units):
        size += f" by {width}"
    return f"{size}, {match_words(paper.pattern, units, is_along=is_along)}"


def shopping(sequence: Sequence, units: str) -> list[str]:
    """Return what to buy and what to take from stock, a sentence for each lot of rolls."""
    job = sequence.plan.job
    if needed := sheets_needed(sequence.plan):
        return [f"{needed} ({paper_facts(job.paper, units)}).", *sheet_lines(sequence.plan, units)]
    taken: dict[str, list[LeftOver]] = {}
    for left in sequence.left:
        taken.setdefault(left.lot.label, []).append(left)
    return [_lot_words(job, job.lot(label), rolls, units) for label, rolls in taken.items()]


def _hangs_along(job: Job) -> bool:
    """Return True for a border: all of it hangs along its length."""
    return all(drop.is_along for drop in job.drops)


def _lot_words(job: Job, lot: Lot, rolls: list[LeftOver], units: str) -> str:
    paper = job.paper
    count = sum(left.count for left in rolls)
    many = counted(count, "roll")
    if lot.count is None:
        many, price = as_sold(paper.sale, count), paper.cost(count)
        cost = "" if price is None else f", {money(price)} in all"
        one_batch = "" if count == 1 else ", all of one batch"
        facts_told = paper_facts(paper, units, is_along=_hangs_along(job))
        return f"Buy {many} of {isolated(paper.name)} ({facts_told}){one_batch}{cost}."
    what = "offcut" if lot.is_offcut else "roll"
    facts = [show(lot.length, units, Rounding.DOWN)]
    if lot.batch is not None:
        facts.append(f"batch {isolated(lot.batch)}")
    if lot.price is not None and not lot.is_offcut:
        facts.append(f"{money(lot.price * count)}")
    if lot.count == 1:
        return f"Take {what} {isolated(lot.label)} ({', '.join(facts)})."
    return f"Take {many} of {isolated(lot.label)}, {lot.count} in hand ({', '.join(facts)})."


def first_checks(sequence: Sequence, setting_out: SettingOut | None, units: str) -> Iterator[str]:
    """Yield what to look at before the first cut."""
    job = sequence.plan.job
    yield batch_numbers(sequence, ISOLATED)
    if sequence.plan.batches is not None:
        for batch, walls, rolls in shares_of(sequence.plan, sequence.plan.batches):
            named = listed_with_and([isolated(wall) for wall in walls])
            yield f"Batch {isolated(batch or UNTOLD)} ({counted(rolls, 'roll')}) is for {named}."
    yield f"The label says: {paper_facts(job.paper, units, is_along=_hangs_along(job))}."
    pattern = job.paper.pattern
    if not pattern.is_free and job.paper.sheets is None:
        yield (
            f"Measure the print on the first roll: {place(pattern.repeat, units)} from one motif to the next like it."
        )
        if not _hangs_along(job):
            yield _one_match(pattern, units)
    if setting_out is not None and job.paper.edge_trim is not None:
        yield from equal_lines(setting_out, units)
        yield AS_DYED
    if job.paper.is_reversed:
        yield REVERSED
    yield from edges_heeded(job.paper, job.drops, units)
    yield AIR
    if job.paper.sheets is None:
        yield FAULTS
    tight = rolls_with_nothing_to_spare(sequence, ISOLATED)
    if tight:
        yield tight
    if setting_out is not None:
        yield (
            f"Snap the level line, {place(setting_out.level_line, units)} above the floor line, and drop a plumb line "
            "wherever a picture shows a bob."
        )


def _one_match(pattern: Pattern, units: str) -> str:
    if not pattern.offset:
        return "Lay the right edge of one length to the left edge of another: the print must meet straight across."
    step = sits(pattern.step).read(units)
    either = "" if pattern.needs_direction else " or higher"
    return f"Lay the right edge of one length to the left edge of another: the print of the right one {step}{either}."
