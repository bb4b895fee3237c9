"""The rolls of a contract in each way of sharing them, with a bound that no plan goes below.

*Pooled*: any roll for any room. *In order*: along every roll nothing lies for a room before one that is papered
earlier, so that each room can be cut when the one before it is done; the rolls are laid out for all rooms beforehand.
*Apart*: each room from rolls of its own. A plan in order is one pooled, so the pooled bound is good for both.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from fractions import Fraction
from functools import cached_property
from itertools import chain, islice
from typing import TypeAlias

from msgspec import Struct
from msgspec.structs import replace

from cutplan.contract.rooms import Alike, Contract, RoomKind, SharingWay
from cutplan.contract.sharing import Placing, Share, SharedRoll, as_layouts, deal, deal_turns, room_after_room
from cutplan.contract.together import from_cut_outs, rooms_together, with_cut_outs_for
from cutplan.errors import NoPlanError
from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.job.offcuts import cut_out_lots
from cutplan.job.print_along import could_hold
from cutplan.lengths import ZERO
from cutplan.paper.stock import Lot
from cutplan.plan.plan import Plan, RollLayout
from cutplan.plan.proof import Status
from cutplan.solve import plan_by
from cutplan.solve.clock import Clock
from cutplan.solve.in_turns import InTurns, LabelsOnRolls, fewer_in_turns
from cutplan.solve.reuse import laid_out_as
from cutplan.solve.search.outcome import say_nothing
from cutplan.wording import counted

Taken: TypeAlias = "tuple[tuple[tuple[Alike, ...], ...], ...]"
"""Pieces by the kind of room, and by the wall where walls may be of several batches."""

MOST_TURNS = 60
"""Where rooms are more, those of a kind are one turn."""

SHARE_FOR_ROOM = 0.25
"""Part of the time left that the plan of one room may take."""


class Section(Struct, frozen=True):
    """Rooms papered from the rolls of one lot; or walls, room after room, where each wall takes one batch."""

    lot: Lot
    """Where the rolls come from."""
    first: int
    rooms: int
    """Number, from 0, of the first of these rooms (or walls) in the whole contract; how many they are."""
    plan: Plan | None = None
    """The pieces of all of them laid out together; None where each room has its own plan."""
    rolls: tuple[SharedRoll, ...] = ()
    """Each roll, in the order in which the plan numbers them, with the room of each of its cuts."""


class TurnsBound(Struct, frozen=True):
    """A bound on rolls that are cut in order: ``rooms`` are how many rooms, one after another, are of each turn.

    The prices of ``found`` are those of the pieces of each turn, called by :func:`in_turn`.
    """

    rooms: tuple[int, ...]
    found: InTurns


class WayFound(Struct, frozen=True):
    """A contract planned in one way; ``bound`` is the fewest rolls that any plan of this way takes.

    ``in_turns`` is what proves it where that is more than the pooled pieces prove, ``together`` the plan of all rooms
    as one job, where that proves more still.
    """

    way: SharingWay
    sections: tuple[Section, ...]
    rolls: int
    bound: int
    in_turns: TurnsBound | None = None
    together: Plan | None = None

    @property
    def status(self) -> Status:
        """Optimal only when the rolls meet their bound."""
        return Status.of(self.rolls, self.bound)


class ContractPlanner:
    """Plans a contract, each room once and each number of rooms once.

    NoPlanError from every method: when a drop is longer than any roll, no plan was found in time, or rolls are too few.
    """

    def __init__(self, contract: Contract, clock: Clock, tell: Callable[[str], None] | None = None) -> None:
        self.contract = contract
        self.clock = clock
        self.tell = tell or say_nothing
        self._pooled: dict[tuple[int, int], tuple[Plan, Plan]] = {}
        self._deals: dict[tuple[str, int, int], list[SharedRoll]] = {}
        self._in_turns: TurnsBound | None = None

    @cached_property
    def own(self) -> tuple[Plan, ...]:
        """The plan of one room of each kind, by itself; of those as good, one that saves rolls where rooms share them.

        What falls out of a room's drops is used in it where that saves a roll there, or in all rooms together.
        """
        plain = self._own_plans
        if self.together is None or self.contract.ways == (SharingWay.APART,):
            return plain
        reusing = tuple(
            self._reusing(kind, plan, self.together) for kind, plan in zip(self.contract.kinds, plain, strict=True)
        )
        if reusing == plain:
            return plain
        pooled = [
            self._pool([[kind.count] for kind in self.contract.kinds], self._taken_by(plans))
            for plans in (plain, reusing)
        ]
        return reusing if all(plan.layouts for plan in pooled) and pooled[1].value < pooled[0].value else plain

    def _reusing(self, kind: RoomKind, plan: Plan, together: Plan) -> Plan:
        """Return a room's plan that uses its cut-outs as the first such room does together, if it is as good."""
        drops = from_cut_outs(together, kind.room(1))
        if drops == frozenset(drop for drop, lot in plan.lot_of.items() if plan.job.lot(lot).is_offcut):
            return plan
        try:
            other = plan_by(self.clock.share(SHARE_FOR_ROOM), with_cut_outs_for(kind.scenario.job, drops))
        except NoPlanError:
            return plan
        return laid_out_as(other, plan, plan.proof) if other.layouts and other.value == plan.value else plan

    @cached_property
    def together(self) -> Plan | None:
        """The plan of all rooms as one job; None where they are many, nothing falls out of drops, or time is up."""
        job = rooms_together(self.contract)
        if job is None:
            return None
        self.tell("planning all rooms as one")
        try:
            plan = plan_by(self.clock.share(SHARE_FOR_ROOM), job)
        except NoPlanError:
            return None
        return plan if plan.layouts else None

    @cached_property
    def _own_plans(self) -> tuple[Plan, ...]:
        plans = []
        for kind in self.contract.kinds:
            self.tell(f"planning {kind.name}")
            try:
                plans.append(_found(plan_by(self.clock.share(SHARE_FOR_ROOM), kind.scenario.job)))
            except NoPlanError as error:
                raise NoPlanError(f"{kind.name}: {error}") from error
        return tuple(plans)

    @property
    def bounding(self) -> Plan:
        """The plan of all pieces that no cut-out could hold, whose proof bounds every way of sharing rolls."""
        return self._plans(0, self._total(SharingWay.POOLED))[1]

    def units(self, way: SharingWay) -> Iterator[tuple[RoomKind, str, str | None]]:
        """Yield what takes one batch, in order: the kind of the room, what the room is called, and which wall."""
        for kind, walls in zip(self.contract.kinds, self._walls(way), strict=True):
            for number in range(1, kind.count + 1):
                for wall in walls:
                    yield kind, kind.room(number), wall

    def _walls(self, way: SharingWay) -> tuple[tuple[str | None, ...], ...]:
        """Return, for each kind of room, the walls that may each be of another batch; None for the room as a whole."""
        by_wall = self.contract.goes_by_wall and way is not SharingWay.APART
        return tuple(kind.walls if by_wall else (None,) for kind in self.contract.kinds)

    def _total(self, way: SharingWay) -> int:
        return sum(kind.count * len(walls) for kind, walls in zip(self.contract.kinds, self._walls(way), strict=True))

    def in_its_ways(self, wanted: SharingWay | None = None) -> tuple[list[WayFound], list[str]]:
        """Return the contract planned in its ways, and why not in others; one that is ``wanted`` must be found."""
        found, short = [], []
        for way in self.contract.ways:
            try:
                found.append(self.way(way))
            except NoPlanError as error:
                if way is wanted:
                    raise
                short.append(str(error))
        if not found:
            raise NoPlanError("\n".join(dict.fromkeys(short)))
        return found, short

    def way(self, way: SharingWay) -> WayFound:
        """Return the contract planned in one way."""
        sections = self._sections(way)
        rolls = sum(self._rolls(way, section) for section in sections)
        bound, in_turns = self._bound(way), self._in_turns if way is SharingWay.IN_ORDER else None
        found = WayFound(way, sections, rolls, bound)
        if in_turns is not None and in_turns.found.bound > bound:
            found = replace(found, bound=in_turns.found.bound, in_turns=in_turns)
        if way is SharingWay.APART or found.rolls == found.bound or self.together is None:
            return found
        least = self.together.lower_bound
        return replace(found, bound=least, together=self.together) if least > found.bound else found

    def _bound(self, way: SharingWay) -> int:
        """Return the fewest rolls that any plan of a way takes."""
        if way is not SharingWay.APART:
            return self.bounding.lower_bound
        return sum(kind.count * plan.lower_bound for kind, plan in zip(self.contract.kinds, self.own, strict=True))

    def _sections(self, way: SharingWay) -> tuple[Section, ...]:
        """Return the rooms shared out among the batches: as many rooms as each has paper for, in their order."""
        lots, total, done = self.contract.lots, self._total(way), 0
        sections: list[Section] = []
        for lot in lots:
            section = self._section(way, lot, done, total - done)
            if self._rolls(way, section) > (lot.count or self._rolls(way, section)):
                section = self._as_many_as_fit(way, lot, done, total - done)
            if section.rooms:
                sections.append(section)
            done += section.rooms
            if done == total:
                return tuple(sections)
        raise NoPlanError(self._too_few(way, done))

    def _as_many_as_fit(self, way: SharingWay, lot: Lot, first: int, most: int) -> Section:
        """Return the section of the most rooms for which the rolls of a lot do, by halving."""
        best, few, many = Section(lot, first, 0), 0, most
        while many - few > 1:
            middle = (few + many) // 2
            section = self._section(way, lot, first, middle)
            if self._rolls(way, section) <= (lot.count or 0):
                best, few = section, middle
            else:
                many = middle
        return best

    def _too_few(self, way: SharingWay, done: int) -> str:
        lots, total = self.contract.lots, self._total(way)
        there = sum(lot.count or 0 for lot in lots)
        whole = replace(lots[0], count=None)
        needed = self._rolls(way, self._section(way, whole, 0, total))
        bound = self._bound(way)
        what = "wall" if self.contract.goes_by_wall and way is not SharingWay.APART else "room"
        what = f"{way.value}: the {counted(there, 'roll')} listed do for {done} of {counted(total, what)}; "
        if len(lots) == 1 or there < bound:
            least = "" if bound == needed else f", and at least {max(bound - there, 0)}"
            return f"{what}{counted(max(needed - there, 1), 'more roll')} of one batch would do{least}"
        return f"{what}no sharing of the batches among the rooms in their order was found"

    def _rolls(self, way: SharingWay, section: Section) -> int:
        if way is SharingWay.APART:
            counts = zip(self._counts(section.first, section.rooms, way), self.own, strict=True)
            return sum(rooms * plan.rolls_needed for (rooms,), plan in counts)
        return len(section.rolls)

    def _section(self, way: SharingWay, lot: Lot, first: int, rooms: int) -> Section:
        if way is SharingWay.APART or not rooms:
            return Section(lot, first, rooms)
        plan, _ = self._plans(first, rooms)
        self.tell(f"dealing out {counted(plan.rolls_needed, 'roll')} {way.value}")
        job = replace(plan.job, lots=(lot,))
        placing = Placing(job)
        if way is SharingWay.IN_ORDER:
            rolls = self._fewest_in_order(lot, first, rooms, placing, plan.proof.bound)
        else:
            rolls = self._dealt(lot, first, rooms, placing)
            for roll in rolls:
                placing.settle(roll)
        layouts, numbered = as_layouts(rolls)
        return Section(lot, first, rooms, replace(plan, job=job, layouts=layouts), tuple(numbered))

    def _dealt(self, lot: Lot, first: int, rooms: int, placing: Placing) -> list[SharedRoll]:
        key = lot.label, first, rooms
        if key not in self._deals:
            layouts = (replace(layout, lot=lot.label) for layout in self._plans(first, rooms)[0].layouts)
            self._deals[key] = deal(layouts, self._wanted(first, rooms), placing)
        return [replace(roll, shares=list(roll.shares)) for roll in self._deals[key]]  # they are settled in each way

    def _in_order(self, lot: Lot, first: int, rooms: int, placing: Placing) -> list[SharedRoll]:
        """Return the fewer of the pooled rolls, cut room after room, and those of rooms apart."""
        pooled = room_after_room(self._dealt(lot, first, rooms, placing), placing)
        if self.contract.goes_by_wall:
            return pooled
        return min(pooled, self._apart_rolls(lot, first, rooms), key=len)

    def _block_after_block(self, lot: Lot, first: int, rooms: int, placing: Placing) -> list[SharedRoll]:
        """Return rolls in order where nothing goes on from rooms of one kind to those of the next."""
        rolls: list[SharedRoll] = []
        before = 0
        for number in filter(None, map(sum, self._counts(first, rooms))):
            for roll in self._in_order(lot, first + before, number, placing):
                shares = [Share(share.label, share.room + before) for share in roll.shares]
                rolls.append(replace(roll, shares=shares))
            before += number
        return rolls

    def _fewest_in_order(self, lot: Lot, first: int, rooms: int, placing: Placing, bound: Fraction) -> list[SharedRoll]:
        """Return the fewest rolls found, by one way after another until the bound is met."""
        rolls = self._in_order(lot, first, rooms, placing)
        if len(rolls) > bound and not self.contract.paper.pattern.is_free:
            rolls = min(rolls, self._turn_after_turn(lot, first, rooms, rolls), key=len)
            for roll in rolls:
                placing.settle(roll)
        if len(rolls) > bound and not self.contract.goes_by_wall:
            rolls = min(rolls, self._block_after_block(lot, first, rooms, placing), key=len)
        return rolls

    def _turn_after_turn(self, lot: Lot, first: int, rooms: int, known: list[SharedRoll]) -> list[SharedRoll]:
        """Return the fewest rolls found with every piece bound to its turn; those ``known`` where none are fewer.

        A turn is a room, or all rooms of a kind where rooms are many: which of them a piece is for is dealt out after.
        """
        if rooms > MOST_TURNS and self.contract.goes_by_wall:
            return known  # the walls of a room are not alike
        wanted = list(self._wanted(first, rooms))
        turns = self._turns(first, rooms)
        self.tell(f"laying rolls out for {counted(turns[-1] + 1, 'turn')} one after another")
        job, turn_of = self._bound_to_turns(lot, turns, wanted)
        plans = list(self._known_in_turns(first, turns, known))
        found = fewer_in_turns(job, turn_of, plans, self.clock)
        if rooms == self._total(SharingWay.IN_ORDER):
            sure = found
            if self._sure_of_rolls != self.taken:
                wanted_surely = list(self._wanted(first, rooms, self._sure_of_rolls))
                sure = fewer_in_turns(*self._bound_to_turns(lot, turns, wanted_surely), plans, self.clock)
            self._in_turns = TurnsBound(tuple(Counter(turns).values()), sure)
        if found.rolls is None:
            return known
        of_turn = {
            turn: Counter({in_turn(turn, label): n for label, n in taken.items()})
            for turn, taken in zip(turns, wanted, strict=True)
        }
        dealt = deal_turns(
            Counter(found.rolls).elements(), lot.label, ((turns.count(turn), of_turn[turn]) for turn in of_turn)
        )
        placing = Placing(job)
        rolls = room_after_room(dealt, placing)
        for roll in rolls:
            roll.shares = [Share(share.label.partition(" ")[2], share.room) for share in roll.shares]
        return rolls

    def _bound_to_turns(
        self, lot: Lot, turns: Sequence[int], wanted: Iterable[Counter[str]]
    ) -> tuple[Job, dict[str, int]]:
        """Return the job of what rooms want, every piece called by its turn, and the turn of each piece."""
        sizes = {label: alike for alike, label in self.contract.labels.items()}
        counts: Counter[tuple[int, str]] = Counter()
        for turn, taken in zip(turns, wanted, strict=True):
            counts.update({(turn, label): count for label, count in taken.items()})
        drops = tuple(
            Drop(in_turn(turn, label), sizes[label][1], sizes[label][0], ZERO, ZERO, count)
            for (turn, label), count in counts.items()
        )
        job = Job(self.contract.paper, (replace(lot, count=None),), drops)
        return job, {in_turn(turn, label): turn for turn, label in counts}

    def _known_in_turns(self, first: int, turns: list[int], known: list[SharedRoll]) -> Iterator[LabelsOnRolls]:
        """Yield rolls known to cut every piece in its turn: those given, and those of turns of many rooms pooled."""
        yield Counter(tuple(in_turn(turns[share.room], share.label) for share in roll.shares) for roll in known)
        if turns[-1] + 1 < len(turns):
            pooled: LabelsOnRolls = {}
            for turn, number in Counter(turns).items():
                counts = self._counts(first + turns.index(turn), number)
                for layout in _found(self._pool(counts, self.taken)).layouts:
                    pooled[tuple(in_turn(turn, cut.drop) for cut in layout.cuts)] = layout.count
            yield pooled

    def _turns(self, first: int, rooms: int) -> list[int]:
        """Return the turn of each of some consecutive rooms (or walls)."""
        if rooms <= MOST_TURNS:
            return list(range(rooms))
        kinds = [sum(counts) for counts in self._counts(first, rooms)]
        return [turn for turn, number in enumerate(filter(None, kinds)) for _ in range(number)]

    def _apart_rolls(self, lot: Lot, first: int, rooms: int) -> list[SharedRoll]:
        """Return the rolls of rooms apart, one room after another."""
        rolls, room = [], 0
        for kind, plan, (number,) in zip(self.contract.kinds, self.own, self._counts(first, rooms), strict=True):
            layouts = self._pooled_cuts(kind, plan, lot.label) if number else ()
            cuts = [layout.cuts for layout in layouts for _ in range(layout.count)]
            for place in range(room, room + number):
                rolls += [SharedRoll(lot.label, [Share(cut.drop, place) for cut in each], each) for each in cuts]
            room += number
        return rolls

    def _plans(self, first: int, rooms: int) -> tuple[Plan, Plan]:
        """Return the pooled plan of some rooms and the plan that bounds it, made once."""
        key = first, rooms
        if key not in self._pooled:
            counts = self._counts(first, rooms)
            self.tell(f"pooling {counted(rooms, 'wall' if self.contract.goes_by_wall else 'room')}")
            plan = self._pool(counts, self.taken)
            if self.contract.goes_by_wall:
                plan = _found(plan)
            else:
                apart = self._apart_layouts([number for (number,) in counts], plan.job.lots[0].label)
                if not plan.layouts or sum(layout.count for layout in apart) < plan.rolls_needed:
                    plan = replace(plan, layouts=apart)
            sure = self._sure_of_rolls
            bounding = plan if sure == self.taken else _found(self._pool(counts, sure))
            self._pooled[key] = plan, bounding
        return self._pooled[key]

    def _pool(self, counts: Sequence[Sequence[int]], taken: Taken) -> Plan:
        bought = replace(self.contract.lots[0], label="roll", count=None, batch=None)
        pairs = zip(chain.from_iterable(counts), chain.from_iterable(taken), strict=True)
        return plan_by(self.clock, Job(self.contract.paper, (bought,), self.contract.pieces(pairs)))

    def _counts(self, first: int, rooms: int, way: SharingWay = SharingWay.POOLED) -> list[list[int]]:
        """Return how many of some consecutive rooms (or walls) are of each kind, by the walls of each kind."""
        there = Counter(self._places(first, rooms, way))
        return [[there[kind, wall] for wall in range(len(walls))] for kind, walls in enumerate(self._walls(way))]

    def _places(self, first: int, rooms: int, way: SharingWay = SharingWay.POOLED) -> Iterator[tuple[int, int]]:
        """Yield the kind of each of some consecutive rooms (or walls), and which wall of that kind it is, from 0."""
        kinds = enumerate(zip(self.contract.kinds, self._walls(way), strict=True))
        every = ((number, range(len(walls))) for number, (kind, walls) in kinds for _ in range(kind.count))
        return islice(((number, wall) for number, walls in every for wall in walls), first, first + rooms)

    @cached_property
    def taken(self) -> Taken:
        """What one room of each kind, or each of its walls, takes from rolls: all but what cut-outs there give."""
        return self._taken_by(self.own)

    def _taken_by(self, plans: Sequence[Plan]) -> Taken:
        return tuple(
            tuple(
                tuple(kind.alike[drop.label] for drop in from_rolls(plan, wall) for _ in range(drop.count))
                for wall in walls
            )
            for kind, plan, walls in zip(self.contract.kinds, plans, self._walls(SharingWay.POOLED), strict=True)
        )

    @cached_property
    def _sure_of_rolls(self) -> Taken:
        """What one room of each kind takes from rolls in any plan: the drops that no cut-out of any room could hold."""
        paper, kinds = self.contract.paper, self.contract.kinds
        cut_outs = {
            (lot.length, lot.first_motif, lot.left, lot.right): lot
            for kind in kinds
            for drop in kind.scenario.job.drops
            for lot in cut_out_lots(drop, paper)
        }
        known: dict[object, bool] = {}

        def is_sure(kind: RoomKind, drop: Drop) -> bool:
            key = kind.alike[drop.label], drop.left, drop.right
            if key not in known:
                known[key] = not any(could_hold(paper.pattern, lot, drop) for lot in cut_outs.values())
            return known[key]

        return tuple(
            tuple(
                tuple(
                    kind.alike[drop.label]
                    for drop in kind.scenario.job.drops
                    if wall in (None, drop.wall) and is_sure(kind, drop)
                    for _ in range(drop.count)
                )
                for wall in walls
            )
            for kind, walls in zip(kinds, self._walls(SharingWay.POOLED), strict=True)
        )

    def _wanted(self, first: int, rooms: int, of_kinds: Taken | None = None) -> Iterable[Counter[str]]:
        """Yield what each of some consecutive rooms (or walls) takes from rolls, by what its pieces are called.

        ``of_kinds`` are what its kind takes, if not all.
        """
        labels, taken = self.contract.labels, of_kinds or self.taken
        wanted = [[Counter(labels[alike] for alike in pieces) for pieces in of_kind] for of_kind in taken]
        return (wanted[kind][wall] for kind, wall in self._places(first, rooms))

    def _apart_layouts(self, counts: Sequence[int], lot: str) -> tuple[RollLayout, ...]:
        """Return the rolls of rooms apart as layouts of the pooled pieces."""
        return tuple(
            replace(layout, count=layout.count * rooms)
            for kind, plan, rooms in zip(self.contract.kinds, self.own, counts, strict=True)
            if rooms
            for layout in self._pooled_cuts(kind, plan, lot)
        )

    def _pooled_cuts(self, kind: RoomKind, plan: Plan, lot: str) -> Iterable[RollLayout]:
        """Yield the rolls of a room's own plan, their pieces called as in the whole contract."""
        for layout in plan.layouts:
            if not plan.job.lot(layout.lot).is_offcut:
                cuts = tuple(replace(cut, drop=self.contract.labels[kind.alike[cut.drop]]) for cut in layout.cuts)
                yield replace(layout, lot=lot, cuts=cuts)


def from_rolls(plan: Plan, wall: str | None = None) -> list[Drop]:
    """Return the drops that a room's plan cuts from rolls, and not from what falls out of others.

    Of a ``wall`` that may be of another batch than the next, those on it, and not cut from what falls out there.
    """
    there = {cut.drop: plan.job.lot(layout.lot).waits_for for layout in plan.layouts for cut in layout.cuts}
    drops = [drop for drop in plan.job.drops if wall in (None, drop.wall)]
    return [
        drop
        for drop in drops
        if (source := there.get(drop.label)) is None or (wall is not None and plan.job.drop(source).wall != wall)
    ]


def in_turn(turn: int, label: str) -> str:
    """Return what a piece is called where it is bound to a turn."""
    return f"{turn} {label}"


def _found(plan: Plan) -> Plan:
    if not plan.layouts:
        raise NoPlanError("no plan was found before the time limit; allow it more with --time-limit")
    return plan
