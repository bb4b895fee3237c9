"""The plan as a page of plain text, 80 columns wide, to read on a screen or print and take to the table.

Lengths are rounded here and nowhere before, each once and from its exact value.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from collections.abc import Sequence as Rows
from itertools import groupby
from typing import TYPE_CHECKING, Final

from cutplan.lengths import Rounding, show
from cutplan.plan.plan import RollLayout
from cutplan.render.pages.layout_of_page import (
    bullets,
    notes_listed,
    paragraphs,
    section,
    table,
    wrapped,
    wrapped_lines,
)
from cutplan.render.pages.left_over_page import keeping_sections
from cutplan.render.words.answer_words import answer, order_in_words
from cutplan.render.words.batch_words import batches_section
from cutplan.render.words.caution_words import (
    AIR,
    FAULTS,
    KNIFE,
    REVERSED,
    THREE_LENGTHS,
    batch_numbers,
    edges_heeded,
    rolls_with_nothing_to_spare,
)
from cutplan.render.words.names import NO_BREAK, rolls_named
from cutplan.render.words.sheet_words import AS_DYED, sheet_lines
from cutplan.render.words.step_words import steps_told
from cutplan.setting_out import SettingOut
from cutplan.table.left_over import Leavings, leavings_of
from cutplan.table.steps import LeftOver, Rest, Sequence

if TYPE_CHECKING:
    from cutplan.table.timetable import Pace

_LONGEST_UNBROKEN: Final = 20
"""Items of a list up to this long are not broken at the end of a line."""


def plan_page(
    sequence: Sequence,
    notes: Iterable[str] = (),
    units: str = "mm",
    setting_out: SettingOut | None = None,
    pace: Pace | None = None,
    *,
    head: str | None = None,
    bands: Rows[tuple[str, SettingOut]] = (),
    is_over: Callable[[], bool] | None = None,
) -> str:
    """Return the whole page: from the answer and the sequence to what is worth keeping and what is not.

    Parameters
    ----------
    notes
        What the reader of the scenario should know about how it was read.
    units
        ``mm``, ``cm``, ``m``, or ``in`` for feet and inches, as the user's tape reads.
    setting_out
        The room set out, where the drops follow from a survey; None for a plain list of drops.
    pace
        How fast the work goes, for a timetable; None for none.
    head
        What the page begins with; None for the plan's own answer.
    bands
        Of bands that are cut from the same rolls, the name of each and the room set out.
    is_over
        When to stop proving that no timetable has its hands idle for less; None for never.

    """
    leavings, paper, order = leavings_of(sequence.plan), sequence.plan.job.paper, sequence.plan.order
    in_order = "" if order is None else wrapped(order_in_words(order))
    return paragraphs(
        wrapped_lines(answer(sequence.plan)) if head is None else head,
        notes_listed(notes),
        batches_section(sequence.plan, setting_out, units),
        section(f"{'Rolls' if paper.sheets is None else 'Sheets'} of {paper.name}", *_rolls(sequence, units)),
        section("Cutting sequence", in_order, _before(sequence, units), *_steps(sequence, units, leavings)),
        section("What is left", *_left(sequence, units)),
        "" if pace is None else _timetable(sequence, pace, is_over),
        *([] if setting_out is None else room_sections(sequence, (("", setting_out),), units)),
        *(room_sections(sequence, bands, units) if bands else []),
        keeping_sections(leavings, units),
    )


def _timetable(sequence: Sequence, pace: Pace, is_over: Callable[[], bool] | None) -> str:
    from cutplan.render.pages.timetable_page import timetable_section  # noqa: PLC0415 - likewise
    from cutplan.table.timetable import timetable_of  # noqa: PLC0415 - for a scenario with a pace only

    timetable = timetable_of(sequence, pace)
    return "" if timetable is None else timetable_section(timetable, is_over)


def room_sections(sequence: Sequence, rooms: Rows[tuple[str, SettingOut]], units: str) -> list[str]:
    """Return the parts of the page on a surveyed room: where the drops hang, what they measure, the joints.

    ``rooms`` are more than one, each with the name of its band, where several are cut from the same rolls.
    """
    from cutplan.render.pages.walls_page import (  # noqa: PLC0415 - for rooms only
        joints_section,
        lengths_section,
        walls_section,
    )

    job = sequence.plan.job
    return [
        *(walls_section(found, units, band) for band, found in rooms),
        lengths_section(job.drops, units, is_free=job.paper.pattern.is_free or job.paper.sheets is not None),
        *(joints_section(found, units, band) for band, found in rooms),
    ]


# The rolls


def _rolls(sequence: Sequence, units: str) -> list[str]:
    """Return the table of rolls, and a warning where a short roll would not do."""
    used = "used at most" if _has_unknown_starts(sequence) else "used"
    rows = [
        (
            rolls_named(left),
            _drops_listed(layout, pieces),
            show(left.lot.length - left.slack, units, Rounding.UP),
            show(left.slack, units, Rounding.DOWN),
        )
        for layout, pieces, left in zip(sequence.plan.layouts, sequence.pieces, sequence.left, strict=True)
    ]
    what = "roll" if sequence.plan.job.paper.sheets is None else "sheet"
    rolls = table((what, "drops in order", used, "slack"), rows, wrapped=1)
    tight = rolls_with_nothing_to_spare(sequence)
    sheets = bullets(sheet_lines(sequence.plan, units))
    return [sheets, rolls, wrapped(tight)]


def _drops_listed(layout: RollLayout, pieces: Rows[str]) -> str:
    """Return the drops of a roll in order, several alike together: ``3 × 12``, ``door (2 to 4 of 9)``."""
    cuts = [(cut.drop, piece.removeprefix(cut.drop)) for cut, piece in zip(layout.cuts, pieces, strict=True)]
    runs = groupby(enumerate(cuts), key=lambda each: (each[1][0], each[1][1] and _which(each[1][1]) - each[0]))
    items = [_run_listed([cut for _, cut in run]) for _, run in runs]
    return ("; " if any("," in item for item in items) else ", ").join(items)


def _run_listed(run: Rows[tuple[str, str]]) -> str:
    """Return cuts of one drop that follow one another, with their numbers: `` (2 of 9)``, `` (3 of 9)``, or none."""
    (drop, first), (_, last) = run[0], run[-1]
    if len(run) == 1:
        item = f"{drop}{first}"
    elif first == last:
        item = f"{len(run)} × {drop}"
    else:
        item = f"{drop} ({_which(first)} to {last.removeprefix(' (')}"
    return item.replace(" ", NO_BREAK) if len(item) < _LONGEST_UNBROKEN else item


def _which(number: str) -> int:
    return int(number.removeprefix(" (").split(" ")[0])


def _has_unknown_starts(sequence: Sequence) -> bool:
    return any(left.is_at_least for left in sequence.left)


# The sequence


def _before(sequence: Sequence, units: str) -> str:
    """Return the habits that cost nothing before the first cut, and the words that the steps use."""
    paper = sequence.plan.job.paper
    comes_off = "roll" if paper.sheets is None else "sheet"
    lines = [
        AIR,
        *([FAULTS] if paper.sheets is None else []),
        batch_numbers(sequence),
        f"The top of a piece is the end that comes off the {comes_off} first; the arrow points to it.",
    ]
    if paper.edge_trim is not None:
        lines.append(AS_DYED)
    if paper.is_reversed:
        lines.append(REVERSED)
    lines += edges_heeded(paper, sequence.plan.job.drops, units)
    if any(left.lot.is_foot_first for left in sequence.left):
        lines.append("Where a roll comes off foot first, its foot comes first: the steps say so.")
    if paper.sheets is not None:
        lines.append("The motif is the point of the picture that first_motif was measured to.")
    elif not paper.pattern.is_free:
        lines.append(
            "The motif is the point of the print that first_motif was measured to: take the first one below "
            "the end of the roll or the top of the piece."
        )
    return wrapped_lines(lines)


def _steps(sequence: Sequence, units: str, leavings: Leavings) -> list[str]:
    """Return the steps, in blocks of consecutive steps on one roll."""
    digits = len(str(sequence.steps[-1].number))
    blocks: list[str] = []
    for heading, step, told in steps_told(sequence, units, leavings=leavings):
        if heading:
            blocks.append(wrapped(heading))
        blocks[-1] += "\n" + wrapped(told.sentence, f"  {step.number:>{digits}}  ", " " * (digits + 4))
    return blocks


# What is left


def _left(sequence: Sequence, units: str) -> list[str]:
    paper = sequence.plan.job.paper
    is_free = paper.pattern.is_free or paper.sheets is not None
    length = "at least" if _has_unknown_starts(sequence) else "length"
    heads = ("roll", length) if is_free else ("roll", length, "first motif below its cut end")
    rows = [
        (
            _rest_named(left, rest),
            show(rest.length, units, Rounding.DOWN),
            *(() if is_free else ("unknown" if rest.first_motif is None else show(rest.first_motif, units),)),
        )
        for left in sequence.left
        for rest in left.rests
        if rest.length or len(left.rests) == 1
    ]
    label = "length, width and top end" if is_free else "length, width, top end and first motif"
    lines = (f"Label each piece worth keeping: {label}.", THREE_LENGTHS, KNIFE)
    return [table(heads, rows), wrapped_lines(lines)]


def _rest_named(left: LeftOver, rest: Rest) -> str:
    name = rolls_named(left)
    if len(left.rests) > 1:
        name += f", stretch {rest.stretch}"
    return f"{name} (foot first)" if left.lot.is_foot_first else name
