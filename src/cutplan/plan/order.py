"""The order of cutting as a record: what it follows, how far it runs ahead of hanging, and what is proved of it."""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from cutplan.errors import CutplanError

if TYPE_CHECKING:
    from cutplan.job.drops import Drop

USUAL_OPEN_ROLLS: Final = 2
"""Rolls open at once, at most: more are not kept apart at a table."""


class Follow(Enum):
    """What the cutting keeps pace with: every drop as it is hung, whole walls, or nothing."""

    DROPS = "follow"
    WALLS = "walls"
    NOTHING = "once"


class CuttingHabit(Struct, frozen=True):
    """How somebody likes to cut."""

    follow: Follow = Follow.DROPS
    """What the cutting keeps pace with."""
    open_rolls: int = USUAL_OPEN_ROLLS
    """Rolls that may be open at once, 1 or more."""
    first_walls: tuple[str, ...] = ()
    """Walls that are papered before all others where the rolls are too few, in this order."""


class WallsUnknownError(CutplanError):
    """Drops that are to be cut wall by wall, though nobody has said on which wall they hang."""

    exit_status = 2


def refuse_unknown_walls(follow: Follow, drops: Iterable[Drop]) -> None:
    """Raise :class:`WallsUnknownError` when the cutting is to follow walls and some drop has none."""
    unknown = [drop.label for drop in drops if drop.wall is None]
    if follow is Follow.WALLS and unknown:
        have = (
            f"drop {unknown[0]} has none"
            if len(unknown) == 1
            else f"{unknown[0]} and {len(unknown) - 1} more have none"
        )
        raise WallsUnknownError(
            f'cutting wall by wall needs the wall of every drop, and {have}; write wall = "…" in each [[drop]]'
        )


class CuttingOrder(Struct, frozen=True):
    """In which order a plan's cuts are made.

    A drop is *waiting* from when it is cut until everything before it in the hanging order has been cut too:
    only then can it be hung. Where whole walls are followed, «everything before it» is every earlier wall, and
    distances are counted in walls.
    """

    follow: Follow
    """What the cutting keeps pace with."""
    open_rolls: int
    """No more rolls than this are open at once: from the first cut of each to its last. Offcuts are no rolls."""
    moves: tuple[int, ...]
    """Indices into the plan's layouts: each move makes the next cut of that layout."""
    most_waiting: int
    """The most drops that are waiting at any moment. 0 when every drop is hung as soon as it is cut."""
    furthest_ahead: int
    """How many places, at most, a drop stands in the hanging order behind the one that is then to be hung next."""
    most_waiting_bound: int
    """No plan with the same rolls has fewer waiting."""
    furthest_ahead_bound: int
    """No plan with the same rolls and as few waiting cuts less far ahead."""

    @property
    def is_proved(self) -> bool:
        """True when no plan with the same rolls has fewer waiting, nor, with as few, cuts less far ahead."""
        waits = self.most_waiting == self.most_waiting_bound
        return waits and self.furthest_ahead == self.furthest_ahead_bound
