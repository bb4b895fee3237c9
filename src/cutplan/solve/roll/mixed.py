"""What rolls of several sorts can hold: foot first, or too narrow for some kinds."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cached_property
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from cutplan.solve.instance import Instance, RollType
from cutplan.solve.layout import Layout
from cutplan.solve.roll.network import WAITING, Arc, Network

if TYPE_CHECKING:
    from cutplan.solve.roll.holding import Prices, Rolls, Worth


class _Sort(Struct, frozen=True):
    """Rolls alike in what they can hold, as an instance of their own.

    ``kinds`` and ``roll_types`` are the places of its kinds and roll types in the whole instance.
    """

    rolls: Rolls
    kinds: tuple[int, ...]
    roll_types: tuple[int, ...]

    def layout(self, layout: Layout) -> Layout:
        """Return one of its layouts in the numbers of the whole instance."""
        return Layout(self.roll_types[layout.roll_type], tuple(self.kinds[kind] for kind in layout.kinds))


class MixedWorth(Struct, frozen=True, dict=True):
    """The worths of all sorts together."""

    rolls: MixedRolls
    worths: tuple[Worth, ...]

    @cached_property
    def by_type(self) -> list[int]:
        """The most that the drops on one roll of each type can be worth."""
        most = [0] * self.rolls.types
        for sort, worth in zip(self.rolls.sorts, self.worths, strict=True):
            for roll_type, value in zip(sort.roll_types, worth.by_type, strict=True):
                most[roll_type] = value
        return most

    def layouts_above(self, allowance: Sequence[int]) -> list[Layout]:
        """Return layouts worth more than the allowance of their roll type."""
        return [
            sort.layout(layout)
            for sort, worth in zip(self.rolls.sorts, self.worths, strict=True)
            for layout in worth.layouts_above([allowance[roll_type] for roll_type in sort.roll_types])
        ]

    def fill(self, roll_type: int, remaining: Sequence[int]) -> Layout:
        """Return a valuable layout of one roll with no more than ``remaining`` of each kind."""
        for sort, worth in zip(self.rolls.sorts, self.worths, strict=True):
            if roll_type in sort.roll_types:
                own = sort.roll_types.index(roll_type)
                return sort.layout(worth.fill(own, [remaining[kind] for kind in sort.kinds]))
        raise IndexError(f"no roll type {roll_type}")


class MixedRolls:
    """The rolls of an instance, each sort in a graph of its own."""

    def __init__(self, instance: Instance, plain_rolls_of: Callable[[Instance], Rolls]) -> None:
        self.types = len(instance.roll_types)
        by_sort: dict[tuple[bool, frozenset[int] | None], list[int]] = {}
        for index, roll_type in enumerate(instance.roll_types):
            by_sort.setdefault((roll_type.is_mirrored, roll_type.holds), []).append(index)
        self.sorts = tuple(_sort(instance, roll_types, plain_rolls_of) for roll_types in by_sort.values())

    def worth(self, prices: Prices) -> MixedWorth:
        """Return what rolls of every sort can be worth."""
        return MixedWorth(
            self, tuple(sort.rolls.worth([int(prices[kind]) for kind in sort.kinds]) for sort in self.sorts)
        )

    def networks(self, prices: Sequence[int], least: Sequence[int]) -> list[Network]:
        """Return, for each roll type, the steps through which some layout is worth ``least`` of it."""
        return [
            _whole(sort, network)
            for sort in self.sorts
            for network in sort.rolls.networks(
                [prices[kind] for kind in sort.kinds], [least[roll_type] for roll_type in sort.roll_types]
            )
        ]


def _sort(instance: Instance, roll_types: list[int], plain_rolls_of: Callable[[Instance], Rolls]) -> _Sort:
    like = instance.roll_types[roll_types[0]]
    kinds = tuple(kind for kind in range(len(instance.kinds)) if like.holds is None or kind in like.holds)
    own = replace(
        instance,
        kinds=tuple(replace(instance.kinds[kind], phase=instance.phase_on(kind, like)) for kind in kinds),
        roll_types=tuple(_plain(instance.roll_types[roll_type]) for roll_type in roll_types),
    )
    return _Sort(plain_rolls_of(own), kinds, tuple(roll_types))


def _plain(roll_type: RollType) -> RollType:
    return replace(roll_type, is_mirrored=False, holds=None)


def _whole(sort: _Sort, network: Network) -> Network:
    arcs = (Arc(arc.tail, arc.head, arc.kind if arc.kind == WAITING else sort.kinds[arc.kind]) for arc in network.arcs)
    return Network(sort.roll_types[network.roll_type], network.first, network.last, tuple(arcs))
