"""Handing out like things to the places of layouts that are cut many times, in runs, never one by one."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

Runs = tuple[tuple[int, int], ...]
"""Things by index, each with how many times it is handed out in a row."""


def hand_out(things: Iterable[int], left: list[int], wanted: int) -> Runs | None:
    """Take ``wanted`` of ``things``, the first ones first, from what is ``left`` of each.

    Returns None, and takes some, when too few are left.
    """
    runs = []
    for thing in things:
        number = min(left[thing], wanted)
        if number:
            left[thing] -= number
            wanted -= number
            runs.append((thing, number))
    return None if wanted else tuple(runs)


def split(places: Sequence[Runs]) -> Iterator[tuple[tuple[int, ...], int]]:
    """Yield what stands at all places together, and how many times in a row.

    Every place must be handed the same number in all.

    >>> list(split([((7, 2), (8, 1)), ((9, 3),)]))
    [((7, 9), 2), ((8, 9), 1)]

    """
    queues = [list(reversed(runs)) for runs in places]
    while queues and queues[0]:
        times = min(queue[-1][1] for queue in queues)
        yield tuple(queue[-1][0] for queue in queues), times
        for queue in queues:
            thing, number = queue.pop()
            if number > times:
                queue.append((thing, number - times))
