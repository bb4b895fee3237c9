"""The part of the page on rolls: how many to buy and why, what is in hand, how each is cut, whether an offcut fits."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from cutplan.buying.how_many import Wishes, how_many_rolls
from cutplan.errors import CutplanError, NoPlanError
from cutplan.job.offcut_in_hand import fits_of, misses_of, name_in_hand
from cutplan.lengths import ZERO, read_length
from cutplan.page.asked import Asked
from cutplan.page.desk import TIME_LIMIT, Desk
from cutplan.page.editing import Path, listed_at
from cutplan.page.further_fields import OFFCUTS, ROLLS, of_lists
from cutplan.page.survey_fields import Fields
from cutplan.page.table_part import said
from cutplan.paper.stock import Lot
from cutplan.plan.proof import TooFewRollsError
from cutplan.render.drawing.lettering import isolated
from cutplan.render.drawing.roll_picture import roll_pictures
from cutplan.render.pages.buying_page import buying_page
from cutplan.render.pages.fitting_page import fitting_page
from cutplan.render.words.answer_words import answer
from cutplan.render.words.readings import place
from cutplan.render.words.too_few_words import given_up_lines, too_few_lines
from cutplan.scenario.read import Scenario
from cutplan.table.steps import Sequence
from cutplan.too_few import could_be_given_up, uses_of, walls_in_order
from cutplan.wording import counted

BUYING: Final = 5.0
"""Seconds for how many rolls to buy."""

FITTING: Final = 6.0
"""Seconds for what an offcut in the hand saves."""

_NOTHING: Final = "Nothing that was tried would help: further rolls are needed."


def rolls_content(desk: Desk) -> dict[str, object]:
    """Return what the part shows before it is known how many rolls to buy."""
    scenario = desk.scenario()
    pattern = scenario.job.paper.pattern
    content: dict[str, object] = {
        "is_free": pattern.is_free,
        "in_hand": list(_in_hand(desk, scenario)),
        "folds": [
            of_lists(Fields(desk.survey()), "Each roll, its flaws, and offcuts kept", desk.holder, ROLLS, OFFCUTS)
        ],
        "answer": [],
        "pictures": [],
        "is_short": False,
    }
    sequence: Sequence | None
    try:
        whole = desk.planned().sequence
        sequence, told = whole, answer(whole.plan)
    except TooFewRollsError as short:
        partly = desk.partly(short)
        sequence, told, content["is_short"] = partly.sequence, too_few_lines(partly.covered), True
    except NoPlanError as error:
        return {**content, "answer": said(str(error).split("\n"))}
    pictures = () if sequence is None else roll_pictures(sequence, scenario.units, "roll")
    return {**content, "answer": said(told), "pictures": pictures}


def given_up_content(desk: Desk) -> dict[str, object]:
    """Return what could be given up where the rolls are too few, so that they do."""
    scenario = desk.scenario()
    walls = walls_in_order(scenario.job, scenario.setting_out, scenario.cutting.first_walls)
    steps = could_be_given_up(scenario.job, walls, scenario.setting_out, TIME_LIMIT)
    lines = said(given_up_lines(steps, scenario.units))
    return {"blocks": [("text", ["Dearest last:"]), ("items", lines)] if lines else [("text", [_NOTHING])]}


def _in_hand(desk: Desk, scenario: Scenario) -> Iterator[tuple[Path, str]]:
    """Yield the rolls listed in the file: where each stands, and the roll in words."""
    lots = {lot.label: lot for lot in scenario.job.rolls}
    for number, roll in enumerate(listed_at(desk.survey().document, (*desk.holder, "roll"))):
        lot = lots.get(str(roll.get("label")))
        if lot is None:
            continue
        motif = "sealed" if lot.first_motif is None else f"first motif {place(lot.first_motif, scenario.units)}"
        facts = [place(lot.length, scenario.units), *([] if scenario.job.paper.pattern.is_free else [motif])]
        facts += [f"batch {isolated(lot.batch)}"] if lot.batch else []
        facts += [counted(lot.count, "roll")] if lot.count is not None and lot.count > 1 else []
        yield (*desk.holder, "roll", number), f"{isolated(lot.label)}: {', '.join(facts)}"


def buy_content(desk: Desk) -> dict[str, object]:
    """Return how many rolls to buy, what that rests on, and what would save one."""
    scenario = desk.scenario()
    found = how_many_rolls(scenario.job, Wishes(seconds=BUYING, cutting=scenario.cutting))
    page = buying_page(found, (), scenario.units, is_room=scenario.setting_out is not None)
    return {"blocks": list(blocks_of(page))}


def blocks_of(page: str) -> Iterator[tuple[str, list[str]]]:
    """Yield the blocks of a page of text as a page of ours sets them: headings, tables as they stand, items, text."""
    for block in page.strip().split("\n\n"):
        lines = block.split("\n")
        if len(lines) > 1 and set(lines[1]) == {"="}:
            yield "heading", lines[:1]
            lines = lines[2:]
        if any(set(line.replace(" ", "")) == {"-"} for line in lines):
            yield "table", lines
        elif lines and lines[0].lstrip().startswith("- "):
            yield "items", said([f" {item}" for item in block.split("- ") if item.strip()])
        elif lines:
            yield "text", said(["\n".join(lines)])


def where_it_fits(desk: Desk, asked: Asked) -> dict[str, object]:
    """Return where an offcut in the hand fits, and what it saves."""
    scenario = desk.scenario()
    job, units = scenario.job, scenario.units
    pattern = job.paper.pattern
    length = read_length(asked.text("length"), units)
    typed = asked.text("first_motif", "").strip()
    motif = ZERO if pattern.is_free else read_length(typed, units) if typed else None
    if motif is not None and (beyond := pattern.beyond_repeat(motif, units)):
        raise CutplanError(f"The first motif {beyond}.")
    lot = Lot(name_in_hand(job), length, motif, is_offcut=True)
    fits = fits_of(job, lot)
    uses = uses_of(job, scenario.cutting, scenario.setting_out, lot, time_limit=FITTING) if fits else None
    return {"said": fitting_page(lot, fits, misses_of(job, lot), uses, units)}
