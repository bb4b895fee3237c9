"""The part of the page for a job of several parts or rooms: what there is of each, and the way to its own page."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final
from urllib.parse import quote

from cutplan.contract.rooms import Contract
from cutplan.contract.ways import ContractPlanner
from cutplan.errors import CutplanError
from cutplan.page.desk import TIME_LIMIT, Desk
from cutplan.page.editing import listed_at
from cutplan.page.further_fields import Fold, of_table
from cutplan.page.photograph_part import print_served
from cutplan.page.rolls_part import blocks_of
from cutplan.page.survey_fields import Fields
from cutplan.page.table_part import said
from cutplan.parts.part import Part, PartedJob, PartKind
from cutplan.parts.shopping import calendar_of, rolls_planned, shopping_list
from cutplan.photograph import print_of
from cutplan.render.drawing.lettering import isolated
from cutplan.render.drawing.parts_picture import parts_pictures
from cutplan.render.pages.contract_page import contract_page
from cutplan.render.pages.parts_page import sentence_of
from cutplan.render.pages.shopping_page import shopping_page
from cutplan.render.sheet.job_sheet import job_sheet
from cutplan.render.written_plan import with_notices
from cutplan.solve import make_plan
from cutplan.solve.clock import Clock
from cutplan.table.sequence import sequence_of
from cutplan.wording import counted

ROOMS: Final = 8.0
"""For a contract in all its ways; what is not proved by then says so."""


def parts_content(desk: Desk) -> dict[str, object]:
    """Return each part or room: its name, what it is, where its page is, and what it needs."""
    whole = desk.survey().whole
    if not isinstance(whole, PartedJob):
        return _contract_content(desk, whole)
    prints = {part.name: print_served(part.scenario)[0] for part in whole.parts}
    return {
        "pictures": parts_pictures(whole, whole.parts[0].scenario.units, prints=prints),
        "parts": [_part(desk, part) for part in whole.parts],
        "is_contract": False,
        "has_list": whole.has_list,
        "folds": [],
        "left_over": [],
    }


def _contract_content(desk: Desk, contract: Contract | None) -> dict[str, object]:
    """Return the kinds of room and how often each occurs; without a contract what is wrong with it alone."""
    fields = Fields(desk.survey())
    folds = [
        Fold(
            f"How many rooms: {room.get('name') or str(room.get('file')).removesuffix('.toml')}",
            [fields.of("rooms", number, key) for key in ("count", "mirrored")],
            [],
            [],
        )
        for number, room in enumerate(listed_at(desk.survey().document, ("rooms",)))
        if isinstance(room, dict)
    ]
    return {
        "pictures": [],
        "parts": [] if contract is None else list(_rooms(contract)),
        "is_contract": True,
        "has_list": contract is not None,
        "folds": [*folds, of_table(fields, "Rolls to spare", (), "contract", ("spare",))],
        "left_over": list(fields.left_over()),
    }


def _part(desk: Desk, part: Part) -> tuple[str, str, list[tuple[str, str]], list[str]]:
    kind = "the walls, from top to foot" if part.name == "paper" else part.what
    what = f"{kind}; {counted(part.scenario.job.drop_count, 'strip' if part.kind is PartKind.BORDER else 'length')}"
    own = desk.within(part.name)
    try:
        needs = [] if own is None else [sentence_of(own.planned().sequence.plan, part.scenario.ordered)]
    except CutplanError as error:
        needs = str(error).split("\n")
    leads = [(isolated(each.name), _address(each.name)) for each in (part, *part.sharing)]
    return isolated(part.name), what, leads, said(needs)


def _rooms(contract: Contract) -> Iterator[tuple[str, str, list[tuple[str, str]], list[str]]]:
    for kind in contract.kinds:
        drops = counted(kind.scenario.job.drop_count, "length")
        what = f"{counted(kind.count, 'room')}, {drops} in each"
        if kind.surveyed is None:
            name = isolated(kind.name)
            yield name, what, [] if "/" in kind.name else [(name, _address(kind.name))], []
        else:
            leads = [(isolated(kind.name), f"mirrored/{quote(kind.name, safe='')}")]
            yield isolated(kind.name), f"{what}; its walls are mirrored, its print is not", leads, []


def mirrored_sheet(desk: Desk, name: str) -> str:
    """Return the job sheet of a mirrored kind of room, which has no file; CutplanError where there is no such kind."""
    whole = desk.survey().whole
    for kind in whole.kinds if isinstance(whole, Contract) else ():
        if kind.name == name and kind.surveyed is not None:
            made_for = with_notices(kind.scenario, None)
            sequence = sequence_of(make_plan(made_for.job, made_for.cutting, time_limit=TIME_LIMIT))
            return job_sheet(made_for, sequence, printed=print_of(kind.surveyed))
    raise CutplanError(f"There is no mirrored room called {name}.")


def _address(name: str) -> str:
    """Return where the page of a part or a room is, below this one's."""
    return f"of/{quote(name, safe='')}/"


def all_content(desk: Desk) -> dict[str, object]:
    """Return what is to be bought for all parts, or what all rooms of a contract need."""
    whole = desk.survey().whole
    if isinstance(whole, Contract):
        planner = ContractPlanner(whole, Clock(ROOMS))
        ways, short = planner.in_its_ways()
        return {"blocks": list(blocks_of(contract_page(planner, ways, ways[0], short)))}
    assert isinstance(whole, PartedJob)  # noqa: S101 - likewise
    found = [(part, own.planned()) for part in whole.parts if (own := desk.within(part.name)) is not None]
    rolls = tuple(rolls_planned(part, planned.sequence.plan) for part, planned in found)
    turns = calendar_of([(part, planned.sequence) for part, planned in found])
    page = shopping_page(shopping_list(whole, rolls), turns, whole.parts[0].scenario.units)
    return {"blocks": list(blocks_of(page))}
