"""Lists for each room: which rolls go to it and what is cut for it there, and the room as a scenario of its own."""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterable, Iterator
from itertools import chain, groupby

from msgspec import Struct
from msgspec.structs import replace

from cutplan.contract.rooms import RoomKind
from cutplan.contract.sharing import SharedRoll, runs
from cutplan.contract.ways import ContractPlanner, Section, WayFound, from_rolls
from cutplan.job.print_along import motif_along
from cutplan.lengths import ZERO, Length
from cutplan.paper.stock import Lot, Stretch
from cutplan.scenario.write import Entry, plain, roll_entry, toml_document


class RoomsPart(Struct, frozen=True):
    """What one room has of one roll."""

    roll: str
    """Label of the roll."""
    cuts: tuple[int, ...]
    """Which cuts along the roll, counted from 1."""
    drops: tuple[str, ...]
    """Which drops of the room they are, in the same order."""
    paper: Lot
    """The stretch of the roll that the room may cut, as a roll of its own."""
    is_whole: bool
    """True when the roll is cut for no other room."""


class RoomList(Struct, frozen=True):
    """One room of a contract, and every part of a roll that goes to it; none where it has rolls of its own plan.

    One of its walls, where each wall takes one batch.
    """

    room: str
    kind: RoomKind
    lot: Lot
    parts: tuple[RoomsPart, ...] = ()
    wall: str | None = None

    @property
    def name(self) -> str:
        """What it is called: the room, and its wall if it is one."""
        return self.room if self.wall is None else f"{self.room}, {self.wall}"


def room_lists(planner: ContractPlanner, found: WayFound) -> Iterator[RoomList]:
    """Yield each room (or wall) with its rolls, in the order in which the rooms are papered."""
    kinds = planner.contract.kinds
    names = list(planner.units(found.way))
    own = dict(zip((kind.name for kind in kinds), planner.own, strict=True))
    for section in found.sections:
        parts = _parts(section)
        for room, (kind, name, wall) in enumerate(names[section.first : section.first + section.rooms]):
            waiting: dict[str, deque[str]] = defaultdict(deque)
            for drop in from_rolls(own[kind.name], wall):
                waiting[planner.contract.labels[kind.alike[drop.label]]].extend([drop.label] * drop.count)
            named = (
                replace(part, drops=tuple(waiting[label].popleft() for label in part.drops)) for part in parts[room]
            )
            yield RoomList(name, kind, section.lot, tuple(named), wall)


def whole_rooms(lists: Iterable[RoomList]) -> Iterator[RoomList]:
    """Yield rooms with all that goes to their walls."""
    for _, walls in groupby(lists, key=lambda listed: listed.room):
        first, *others = walls
        parts = chain(first.parts, *(other.parts for other in others))
        yield replace(first, parts=tuple(parts), wall=None)


def _parts(section: Section) -> dict[int, list[RoomsPart]]:
    """Return what each room has of each roll, its pieces still called as in the pooled plan."""
    parts: dict[int, list[RoomsPart]] = defaultdict(list)
    number = 0
    if section.plan is None:
        return parts
    for layout in section.plan.layouts:
        lot = section.plan.job.lot(layout.lot)
        for roll in section.rolls[number : number + layout.count]:
            number += 1
            stretches = runs(roll)
            for place, (room, cuts) in enumerate(stretches):
                paper = _stretch(section, lot, roll, cuts, is_last=place == len(stretches) - 1)
                label, is_whole = lot.roll_label(number), len(stretches) == 1
                paper = replace(paper, label=label if is_whole else f"{label}, part {place + 1}")
                drops = tuple(roll.shares[cut].label for cut in cuts)
                parts[room].append(RoomsPart(label, tuple(cut + 1 for cut in cuts), drops, paper, is_whole))
    return parts


def _stretch(section: Section, lot: Lot, roll: SharedRoll, cuts: list[int], *, is_last: bool) -> Lot:
    """Return the paper from the end of the cut before to the end of the last of ``cuts``; of a roll's last, all of it.

    The print of all but the first stretch is known, for the cut before it ends at a known place in the print.
    """
    first, last = roll.cuts[cuts[0]], roll.cuts[cuts[-1]]
    begin: Length = roll.cuts[cuts[0] - 1].end if cuts[0] else first.start - first.start
    length = (lot.length if is_last else last.end) - begin
    motif = None
    if cuts[0] and section.plan is not None:
        job = section.plan.job
        pattern = job.paper.pattern
        motif = pattern.within_repeat(first.start - begin + motif_along(pattern, lot, job.drop(first.drop)))
    return replace(lot, label="", length=length, first_motif=motif, count=1)


def _entry(lot: Lot, *, is_free: bool, is_part: bool) -> Entry:
    """Return paper as a ``[[roll]]``; a part of a roll as one of a single piece, not as a short roll."""
    if not is_part:
        return roll_entry(replace(lot, price=None), is_free=is_free)
    piece = Stretch(ZERO, lot.length, lot.first_motif)
    entry = roll_entry(replace(lot, price=None, parts=(piece,)), is_free=is_free)
    return {key: value for key, value in entry.items() if key != "length"}


def room_scenario(planner: ContractPlanner, listed: RoomList) -> str:
    """Return a room of the contract as an ordinary scenario, with what it has of the rolls.

    Without a photograph, which lies elsewhere, and without a price, which is a roll's and not that of a part.
    """
    is_free = planner.contract.paper.pattern.is_free
    lots = [part.paper for part in listed.parts]
    if not listed.parts:
        own = planner.own[planner.contract.kinds.index(listed.kind)]
        lots = [replace(listed.lot, label=listed.lot.label, count=own.rolls_needed)]
    parts = {part.paper.label for part in listed.parts if not part.is_whole}
    rolls = [plain(_entry(lot, is_free=is_free, is_part=lot.label in parts)) for lot in lots]
    document = dict(listed.kind.scenario.document)
    if isinstance(paper := document["paper"], dict):
        document["paper"] = {key: value for key, value in paper.items() if key not in ("picture", "price", "price_per")}
    return f"# {listed.room}\n\n" + toml_document({**document, "roll": rolls})
