"""A job: one paper, the rolls that may be cut, and the drops wanted from them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from functools import cached_property

from msgspec import Struct

from cutplan.errors import CutplanError
from cutplan.job.bought_beside import are_bought_beside, weight_of_bought
from cutplan.job.drops import Drop
from cutplan.job.print_along import is_of_no_roll, match_offcuts, match_rolls
from cutplan.lengths import ZERO, Length
from cutplan.paper.stock import Lot, Paper
from cutplan.room.walls import Room


class Neighbours(Struct, frozen=True):
    """Two walls, by name, that meet in a corner; ``is_internal`` is True also where nobody has told."""

    left: str
    right: str
    is_internal: bool = True


def walls_that_meet(room: Room) -> tuple[Neighbours, ...]:
    """Return the walls of a room that meet in a corner, left to right."""
    walls = [wall.name for wall in room.walls]
    return tuple(
        Neighbours(walls[number], walls[(number + 1) % len(walls)], corner.kind.value == "internal")
        for number, corner in enumerate(room.corners)
    )


def batches_of(lots: Sequence[Lot], drops: Iterable[Drop], *, with_offcuts: bool = True) -> tuple[str, ...]:
    """Return the batches of the rolls, of drops that must be of one, and of offcuts; ``""`` is one not told.

    Of an offcut that nothing may be cut from, because every roll is known to be of another batch, there is none.
    """
    rolls = [lot for lot in lots if not lot.is_offcut]
    needed = (drop.batch for drop in drops if drop.batch is not None)
    kept = [lot for lot in lots if lot.is_offcut and not is_of_no_roll(lot, rolls)] if with_offcuts else ()
    return tuple(dict.fromkeys([*(lot.batch or "" for lot in rolls), *needed, *(lot.batch or "" for lot in kept)]))


def drops_without_wall(lots: Sequence[Lot], drops: Sequence[Drop]) -> tuple[str, ...]:
    """Return the drops whose wall is not told where that must be known: of several batches a wall is of one.

    Where no drop tells its wall, nothing is said of walls, and any drop may be of any batch.
    """
    if len(batches_of(lots, drops)) < 2 or all(drop.wall is None for drop in drops):  # noqa: PLR2004 - two batches differ
        return ()
    return tuple(drop.label for drop in drops if drop.wall is None)


class Job(Struct, frozen=True, dict=True):
    """What a plan is made for."""

    paper: Paper
    """The paper; its pattern rules where a drop may be cut."""
    lots: tuple[Lot, ...]
    """Rolls that may be cut, and offcuts kept. A lot with ``count`` None is bought as needed."""
    drops: tuple[Drop, ...]
    """Drops wanted, in hanging order. Labels are unique."""
    neighbours: tuple[Neighbours, ...] = ()
    """Walls that meet in a corner. Empty where nobody has told: then those whose drops follow one another do."""
    barred: frozenset[tuple[str, str]] = frozenset()
    """Labels of drops that must not be cut from a lot, with its label, though they could be."""
    is_priced: bool = False
    """True for a part of a job that counts cost: its own rolls count theirs, though they be of one price."""

    def __post_init__(self) -> None:
        cut_outs = [cut_out.label for drop in self.drops for cut_out in drop.cut_outs]
        for what, labels in (
            ("drop", [drop.label for drop in self.drops]),
            ("roll", [*(lot.label for lot in self.lots), *cut_outs]),
        ):
            twice = sorted(label for label, times in Counter(labels).items() if times > 1)
            if twice:
                raise CutplanError(f"{what} label {twice[0]!r} is used more than once")
        if self.counts_cost and any(lot.price is None for lot in self.rolls):
            raise CutplanError("price every roll or none: some rolls have a price and some have not")
        if not self.drops:
            raise CutplanError("a job needs at least one drop")
        if unknown := drops_without_wall(self.lots, self.drops):
            raise CutplanError(f"drop {unknown[0]} has no wall, though the paper is of several batches: name one")

    @property
    def rolls(self) -> tuple[Lot, ...]:
        """The lots that count as rolls: all but offcuts."""
        return tuple(lot for lot in self.lots if not lot.is_offcut)

    @property
    def drop_count(self) -> int:
        """Number of pieces wanted, counting alike ones."""
        return sum(drop.count for drop in self.drops)

    @property
    def counts_cost(self) -> bool:
        """True when rolls differ in price, so that the least cost is wanted; else the fewest rolls."""
        return self.is_priced or len({lot.price for lot in self.rolls}) > 1

    @property
    def buys_beside_hand(self) -> bool:
        """True when the fewest rolls are bought beside those in hand, and then the fewest opened."""
        return not self.is_priced and are_bought_beside(self.rolls)

    @cached_property
    def weight_of_bought(self) -> int:
        """What a roll bought counts where each in hand counts 1."""
        return weight_of_bought(self.rolls)

    def bought_in(self, value: Fraction) -> int:
        """Return how many rolls are bought, beside those in hand, in plans of this value."""
        return int(value) // self.weight_of_bought

    def opened_in(self, value: Fraction) -> int:
        """Return how many rolls are opened, beside rolls in hand or of those, in plans of this value."""
        return self.bought_in(value) + int(value) % self.weight_of_bought

    @property
    def has_sealed_rolls(self) -> bool:
        """True when some roll's start is unknown, so that «certain» and «at best» differ."""
        return any(lot.is_sealed for lot in self.rolls)

    @property
    def has_cut_outs(self) -> bool:
        """True when something falls out of a drop that another could be cut from."""
        return any(lot.cut_from is not None for lot in self.offcuts)

    @cached_property
    def batches(self) -> tuple[str, ...]:
        """Batches of the rolls as listed, then those that some drop must be of, then of offcuts; ``""`` if not told."""
        return batches_of(self.lots, self.drops)

    @property
    def batches_of_rolls(self) -> tuple[str, ...]:
        """Likewise, but of which there are only offcuts left out."""
        return batches_of(self.lots, self.drops, with_offcuts=False)

    @property
    def must_share_batches(self) -> bool:
        """True when the paper is of several batches, one not told among them, and each wall must be of one of them."""
        return len(self.batches) > 1 and all(drop.wall is not None for drop in self.drops)

    @property
    def settled_batches(self) -> dict[str, str]:
        """Return the batch of each wall that must be of a certain one."""
        return {drop.wall or "": drop.batch for drop in self.drops if drop.batch is not None}

    @cached_property
    def _rolls_for(self) -> Mapping[str, tuple[str, ...]]:
        return match_rolls(self.drops, self.rolls, self.barred)

    @cached_property
    def _offcuts(self) -> tuple[tuple[Lot, ...], Mapping[str, tuple[str, ...]]]:
        kept = [lot for lot in self.lots if lot.is_offcut]
        return match_offcuts(self.paper, kept, self.drops, self.rolls, self.barred)

    @property
    def offcuts(self) -> tuple[Lot, ...]:
        """Offcuts, kept or to come, that at best could hold some drop."""
        return self._offcuts[0]

    @cached_property
    def all_lots(self) -> tuple[Lot, ...]:
        """Rolls, then the offcuts that at best could hold some drop."""
        return (*self.rolls, *self.offcuts)

    def offcuts_for(self, drop: Drop) -> tuple[str, ...]:
        """Return the labels of the offcuts that could hold ``drop``, at best where their print is not measured."""
        return self._offcuts[1][drop.label]

    def lots_for(self, drop: Drop) -> tuple[str, ...]:
        """Return the labels of the rolls, however long, and of the offcuts that ``drop`` may be cut from."""
        return self._rolls_for[drop.label] + self.offcuts_for(drop)

    def kind_of(self, label: str) -> tuple[Length, Length]:
        """Return what makes drops alike: the first motif below the cut top, within the repeat, and the cut length."""
        return self._kinds[label]

    def motif_on(self, drop: Drop) -> Length | None:
        """Return how far below the cut top of ``drop`` the first motif lies; None for a free match.

        None too where the one point of the picture that a numbered set goes by is on another part of its sheet.
        """
        motif, is_free = self.kind_of(drop.label)[0], self.paper.pattern.is_free
        return None if is_free or (self.paper.sheets is not None and motif >= drop.cut_length) else motif

    @property
    def longest_drop(self) -> Length:
        """The longest cut length."""
        return max({length.as_integer_ratio(): length for _, length in self._kinds.values()}.values())

    @cached_property
    def _lots_by_label(self) -> dict[str, Lot]:
        return {lot.label: lot for lot in (*self.lots, *self.offcuts)}

    @cached_property
    def _kinds(self) -> dict[str, tuple[Length, Length]]:
        pattern = self.paper.pattern
        kinds: dict[tuple[tuple[int, int], ...], tuple[Length, Length]] = {}
        kind_of = {}
        for drop in self.drops:
            told = (drop.height, drop.first_motif, drop.trim_top, drop.trim_bottom)
            alike = tuple([length.as_integer_ratio() for length in told])
            if alike not in kinds:  # to add fractions takes longer than all else here
                motif = ZERO if pattern.is_free else pattern.within_repeat(drop.motif_below_cut)
                kinds[alike] = (motif, drop.cut_length)
            kind_of[drop.label] = kinds[alike]
        return kind_of

    @cached_property
    def _drops_by_label(self) -> dict[str, Drop]:
        return {drop.label: drop for drop in self.drops}

    def lot(self, label: str) -> Lot:
        """Return the roll or offcut with this label; KeyError when there is none."""
        return self._lots_by_label[label]

    def drop(self, label: str) -> Drop:
        """Return the drop with this label; KeyError when there is none."""
        return self._drops_by_label[label]

    def value_of(self, lot: Lot) -> Fraction:
        """Return what one of ``lot`` adds to a plan's value: 1, or its price where prices differ; 0 for an offcut.

        A roll bought beside rolls in hand adds more than all of those together.
        """
        if lot.is_offcut:
            return Fraction(0)
        if self.counts_cost:
            return lot.price or Fraction(0)
        return Fraction(1 if lot.count is not None else self.weight_of_bought)
