"""``cutplan contract``: several rooms in one paper."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Final

import typer

from cutplan.cli.app import AsJson, Output, TimeLimit, command
from cutplan.cli.in_and_out import AnswerFile, Force
from cutplan.cli.terminal import STANDARD, UsageError, progress_line, tell
from cutplan.contract.read_contract import read_contract
from cutplan.contract.room_lists import room_lists, room_scenario, whole_rooms
from cutplan.contract.rooms import SharingWay
from cutplan.contract.ways import ContractPlanner, WayFound
from cutplan.plan.proof import Status
from cutplan.render.documents.contract_document import contract_document
from cutplan.render.documents.plan_document import plan_text
from cutplan.render.pages.contract_page import contract_page
from cutplan.solve.clock import Clock
from cutplan.whole_file import FileKind, refuse_to_write_over, write_new

CONTRACT: Final = FileKind("a contract as JSON", "cutplan-plans/1", is_of_rooms=True)
CONTRACT_PAGE: Final = FileKind("a contract as text", "cutplan-contract-page/1", "[{}]")


@command
def contract(
    file: Annotated[str, typer.Argument(metavar="CONTRACT", help="A TOML file that names the rooms' files.")],
    *,
    way: Annotated[
        SharingWay | None,
        typer.Option(help="Whose lists to print and rooms to write; the contract's first if left out."),
    ] = None,
    rooms: Annotated[
        str | None, typer.Option(metavar="FOLDER", help="Write each room as a scenario of its own into FOLDER.")
    ] = None,
    as_json: AsJson = False,
    output: Output = STANDARD,
    force: Force = False,
    time_limit: TimeLimit = 20.0,
) -> None:
    """Plan several rooms in one paper: pooled, in order, and apart.

    The lists say which rolls, and parts of rolls, go to each room. A room that is written out is a scenario like any
    other, with its rolls: plan it, print its sheet, keep its record.
    """
    target = AnswerFile(output, file, CONTRACT if as_json else CONTRACT_PAGE, force=force)
    found = read_contract(file)
    if way is not None and way not in found.ways:
        raise UsageError(f"--way: {way.value} is not among the ways of {file}; add it there")
    if rooms is not None and not Path(rooms).is_dir():
        raise UsageError(f"--rooms: there is no folder {rooms}; make it first")
    with progress_line() as show:
        planner = ContractPlanner(found, Clock(time_limit), show)
        ways, short = planner.in_its_ways(way)
    chosen = next((each for each in ways if each.way is way), ways[0])
    text = plan_text(contract_document(planner, ways)) if as_json else contract_page(planner, ways, chosen, short)
    target.write(text)
    for why in short if target.is_unseen else ():
        tell(why)
    for each in ways:
        if each.status is not Status.OPTIMAL and target.is_unseen:
            tell(f"{each.way.value}: not proved the fewest: {each.rolls} rolls, lower bound {each.bound}")
    if rooms is not None:
        _write_rooms(planner, chosen, Path(rooms))


def _write_rooms(planner: ContractPlanner, chosen: WayFound, folder: Path) -> None:
    lists = list(whole_rooms(room_lists(planner, chosen)))
    targets = [folder / f"{listed.room.replace('/', '-').replace(' ', '-')}.toml" for listed in lists]
    for target in targets:
        refuse_to_write_over(str(target))
    for target, listed in zip(targets, lists, strict=True):
        write_new(str(target), room_scenario(planner, listed))
    tell(f"wrote {len(targets)} rooms into {folder}, {chosen.way.value}; plan each with cutplan plan")
