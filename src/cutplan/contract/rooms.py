"""What a contract is: rooms of so many kinds, one paper for all of them, and the rolls there are."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from enum import Enum
from fractions import Fraction
from functools import cached_property
from typing import TypeAlias

from msgspec import Struct

from cutplan.job.drops import Drop
from cutplan.lengths import ZERO, Length
from cutplan.paper.sale import Sale
from cutplan.paper.stock import Lot, Paper
from cutplan.scenario.read import Scenario

Alike: TypeAlias = "tuple[Length, Length]"
"""What makes drops alike: the first motif below the cut top, within the repeat, and the cut length."""


class SharingWay(Enum):
    """How rooms may share rolls."""

    POOLED = "pooled"
    IN_ORDER = "in order"
    APART = "apart"


class OneBatchTo(Enum):
    """What is papered from rolls of one batch."""

    ROOM = "room"
    WALL = "wall"


class RoomKind(Struct, frozen=True, dict=True):
    """Rooms alike."""

    name: str
    """What they are called; rooms are numbered behind it: ``bedroom 17``."""
    count: int
    scenario: Scenario
    """One of them as an ordinary scenario, mirrored already, whose rolls are bought as needed."""
    surveyed: Scenario | None = None
    """The room that they mirror; None for rooms that are as surveyed."""
    to_order: Scenario | None = None
    """The same room by itself, in paper that is cut to order; None for paper in rolls."""

    @cached_property
    def alike(self) -> dict[str, Alike]:
        """What each drop, by its label, is alike in with others."""
        job = self.scenario.job
        return {drop.label: job.kind_of(drop.label) for drop in job.drops}

    @cached_property
    def walls(self) -> tuple[str | None, ...]:
        """The walls on which its drops hang, in the order in which they are hung."""
        return tuple(dict.fromkeys(drop.wall for drop in self.scenario.job.drops))

    def room(self, number: int) -> str:
        """Return what room ``number``, from 1, is called."""
        return f"{self.name} {number}"


class Contract(Struct, frozen=True, dict=True):
    """Several rooms in one paper."""

    kinds: tuple[RoomKind, ...]
    """The rooms, in the order in which they are papered."""
    lots: tuple[Lot, ...]
    """Rolls, alike but for their batch, of which a room takes one; one lot without a count where they are bought."""
    ways: tuple[SharingWay, ...] = tuple(SharingWay)
    spare: Fraction = ZERO
    """Part of the rolls that is bought besides: 1/20 is 5 %."""
    source: str = ""
    one_batch_to: OneBatchTo = OneBatchTo.ROOM
    """What is papered from one batch: a room, or a wall."""

    @property
    def paper(self) -> Paper:
        """The paper of every room."""
        return self.kinds[0].scenario.job.paper

    @property
    def sold(self) -> Sale:
        """How the paper is sold; the rolls of rooms in paper that is cut to order are the shop's."""
        return (self.kinds[0].to_order or self.kinds[0].scenario).job.paper.sale

    @property
    def goes_by_wall(self) -> bool:
        """True when the rolls are of several batches, and each wall takes one of them."""
        return self.one_batch_to is OneBatchTo.WALL and len(self.lots) > 1

    @property
    def room_count(self) -> int:
        """Number of rooms."""
        return sum(kind.count for kind in self.kinds)

    @cached_property
    def labels(self) -> dict[Alike, str]:
        """What pieces alike are called in the whole contract: after the first room and drop that want them."""
        labels: dict[Alike, str] = {}
        for kind in self.kinds:
            for drop, alike in kind.alike.items():
                labels.setdefault(alike, f"{kind.name}/{drop}")
        return labels

    def pieces(self, wanted: Iterable[tuple[int, Iterable[Alike]]]) -> tuple[Drop, ...]:
        """Return drops by count: ``wanted`` are numbers of rooms, each with what one of them takes.

        Their trims count as height, for rooms may differ in them.
        """
        counts: Counter[Alike] = Counter()
        for rooms, pieces in wanted:
            for alike in pieces if rooms else ():
                counts[alike] += rooms
        return tuple(
            Drop(label, alike[1], alike[0], ZERO, ZERO, counts[alike])
            for alike, label in self.labels.items()
            if counts[alike]
        )
