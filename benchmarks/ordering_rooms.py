"""Rooms of up to 40 columns to put in order, from every sort of stock."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from msgspec.structs import replace

from cutplan.paper.stock import Lot, Stretch
from instances import REPEAT, ROLL_LENGTH, room, seeded
from instances import STOCKS as PLAIN_STOCKS

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from random import Random

    from cutplan.job.job import Job
    from cutplan.paper.pattern import Pattern

STOCKS: Final = (*PLAIN_STOCKS, "part rolls", "special", "batches")

COLUMNS: Final = (10, 40)

SORTS: Final = ("whole", "flawed", "pieces", "foot first")

_WALL: Final = 6
"""Pieces on a wall, where paper of several batches must know its wall."""


def rooms_to_order(match: str, stock: str, rounds: int, columns_between: tuple[int, int] = COLUMNS) -> Iterator[Job]:
    """Yield ``rounds`` rooms, from the fewest columns to the most; heights differ by steps of 5 mm and 1 mm in turn."""
    least, most = columns_between
    for number in range(rounds):
        name = f"order {match} {stock} {number}"
        columns = least + (most - least) * number // max(1, rounds - 1)
        plain = stock if stock in PLAIN_STOCKS else "measured"
        job = room(name, match=match, stock=plain, columns=columns, step=(5, 1)[number % 2])
        yield job if stock == plain else _from_other_stock(job, stock, seeded(f"{name} stock"))


def _from_other_stock(job: Job, stock: str, rng: Random) -> Job:
    """Return a room on measured rolls with other rolls instead, and some more of them, since those give less."""
    pattern = job.paper.pattern
    if stock == "part rolls":
        lots = [replace(lot, length=ROLL_LENGTH - rng.randrange(0, 5000, 10)) for lot in job.lots[1::2]]
        more = (Fraction(rng.randrange(4000, 9000, 10)) for _ in job.lots[::2])
        return replace(job, lots=(*job.lots[::2], *lots, *_more(more, pattern, rng)))
    if stock == "special":
        lots = [_special(lot, SORTS[number % len(SORTS)], pattern, rng) for number, lot in enumerate(job.lots)]
        return replace(job, lots=(*lots, *_more([ROLL_LENGTH] * (len(lots) // 2), pattern, rng)))
    lots = [*job.lots, *_more([ROLL_LENGTH] * (2 * len(job.lots) // 3 + 2), pattern, rng)]
    drops = tuple(replace(drop, wall=f"wall {number // _WALL + 1}") for number, drop in enumerate(job.drops))
    return replace(job, lots=tuple(replace(lot, batch="AB"[n % 2]) for n, lot in enumerate(lots)), drops=drops)


def _more(lengths: Iterable[Fraction], pattern: Pattern, rng: Random) -> Iterator[Lot]:
    for number, length in enumerate(lengths, start=1):
        yield Lot(f"more {number}", length, _start(pattern, rng))


def _start(pattern: Pattern, rng: Random) -> Fraction:
    return pattern.within_repeat(Fraction(rng.randrange(int(REPEAT))))


def _special(lot: Lot, sort: str, pattern: Pattern, rng: Random) -> Lot:
    """Return the roll as it is, with a flaw of 40 mm, in two pieces, or coming off foot first."""
    if sort in ("whole", "foot first"):
        return replace(lot, is_foot_first=sort == "foot first")
    end = Fraction(rng.randrange(2800, 7200, 10))
    further = end + (40 if sort == "flawed" else 0)
    # Past a flaw the print runs on; a second piece begins anywhere.
    motif = _start(pattern, rng) if sort == "pieces" else pattern.within_repeat((lot.first_motif or 0) - further)
    parts = (Stretch(Fraction(0), end, lot.first_motif), Stretch(further, lot.length - further, motif))
    return replace(lot, parts=parts)
