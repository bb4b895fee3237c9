"""How far cutting runs ahead of hanging: the two figures by which cutting orders are compared."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import groupby

from msgspec import Struct

from cutplan.job.job import Job
from cutplan.plan.order import Follow
from cutplan.plan.plan import Plan


class Waiting(Struct, frozen=True, order=True):
    """How far a cutting order runs ahead: the smaller the better, the most waiting first.

    ``most`` and ``furthest`` are the ``most_waiting`` and ``furthest_ahead`` of
    :class:`~cutplan.plan.order.CuttingOrder`.
    """

    most: int
    furthest: int


def turns_of(job: Job, follow: Follow) -> tuple[int, ...]:
    """Return for each piece, in hanging order, its turn: pieces of one turn are cut together before any is hung.

    Turns count from 0. A drop of several pieces has them one after another. Drops without a wall make one turn
    with their neighbours that have none either.
    """
    pieces = [drop for drop in job.drops for _ in range(drop.count)]
    if follow is Follow.DROPS:
        return tuple(range(len(pieces)))
    if follow is Follow.NOTHING:
        return (0,) * len(pieces)
    walls = groupby(pieces, key=lambda drop: drop.wall)
    return tuple(turn for turn, (_, held) in enumerate(walls) for _ in held)


def pieces_in_order(plan: Plan, moves: Iterable[int]) -> list[int]:
    """Return the pieces in the order in which they are cut, as their places in the hanging order, from 0.

    Of several pieces alike under one label the first to be cut is the first to be hung.
    """
    following = {}
    place = 0
    for drop in plan.job.drops:
        following[drop.label] = place
        place += drop.count
    made = [0] * len(plan.layouts)
    pieces: list[int] = []
    for index in moves:
        layout = plan.layouts[index]
        label = layout.cuts[made[index]].drop
        made[index] += 1
        pieces.extend(range(following[label], following[label] + layout.count))
        following[label] += layout.count
    return pieces


def waiting(pieces: Sequence[int], turns: Sequence[int]) -> Waiting:
    """Return how far the cutting of ``pieces``, in this order, runs ahead of their ``turns``.

    >>> waiting([0, 2, 3, 1], [0, 1, 2, 3])
    Waiting(most=2, furthest=2)

    """
    in_turn = Counter(turns)
    cut_of_turn: Counter[int] = Counter()
    now = hung = most = furthest = 0
    for cut, piece in enumerate(pieces, start=1):
        turn = turns[piece]
        cut_of_turn[turn] += 1
        furthest = max(furthest, turn - now)
        if turn > now:
            most = max(most, cut - hung - cut_of_turn[now])
        while now in in_turn and cut_of_turn[now] == in_turn[now]:
            hung += in_turn[now]
            now += 1
    return Waiting(most, furthest)
