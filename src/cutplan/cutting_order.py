"""The order of cutting as a record: what it follows, how far it runs ahead of hanging, and what is proved of it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Final

USUAL_OPEN_ROLLS: Final = 2
"""Rolls open at once, at most: more are not kept apart at a table."""


class Follow(Enum):
    """What the cutting keeps pace with."""

    DROPS = "drop by drop"
    WALLS = "wall by wall"
    NOTHING = "all at once"


@dataclass(frozen=True, slots=True)
class CuttingOrder:
    """In which order a plan's cuts are made.

    A drop is *waiting* from when it is cut until everything before it in the hanging order has been cut too:
    only then can it be hung. Where whole walls are followed, «everything before it» is every earlier wall, and
    distances are counted in walls.

    Attributes
    ----------
    follow
        What the cutting keeps pace with.
    open_rolls
        No more rolls than this are open at once: from the first cut of each to its last. Offcuts are no rolls.
    moves
        Indices into the plan's layouts: each move makes the next cut of that layout.
    most_waiting
        The most drops that are waiting at any moment. 0 when every drop is hung as soon as it is cut.
    furthest_ahead
        How many places, at most, a drop stands in the hanging order behind the one that is then to be hung next.
    most_waiting_bound
        No plan with the same rolls has fewer waiting.
    furthest_ahead_bound
        No plan with the same rolls and as few waiting cuts less far ahead.

    """

    follow: Follow
    open_rolls: int
    moves: tuple[int, ...]
    most_waiting: int
    furthest_ahead: int
    most_waiting_bound: int
    furthest_ahead_bound: int

    @property
    def is_proved(self) -> bool:
        """True when no plan with the same rolls has fewer waiting, nor, with as few, cuts less far ahead."""
        waits = self.most_waiting == self.most_waiting_bound
        return waits and self.furthest_ahead == self.furthest_ahead_bound
