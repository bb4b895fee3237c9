"""Invented jobs, the same for the same seed: every match, doors and windows, uneven heights, any stock."""

from __future__ import annotations

from fractions import Fraction
from random import Random
from typing import Final

from msgspec.structs import replace

from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.paper.pattern import FREE, Pattern
from cutplan.paper.stock import Lot, Paper

TRIM: Final = Fraction(50)
ROLL_LENGTH: Final = Fraction(10050)
MATCHES: Final = ("free", "straight", "half", "third", "quarter")
STOCKS: Final = ("sealed", "measured", "mixed", "prices")
_PARTS: Final = {
    "straight": Fraction(0),
    "half": Fraction(1, 2),
    "third": Fraction(1, 3),
    "quarter": Fraction(1, 4),
}


def random_room(seed: int, *, match: str, stock: str, most_columns: int) -> Job:
    """Return a room of 3 to ``most_columns`` columns, hung with ``match`` from ``stock``."""
    rng = Random(f"{seed} {match} {stock}")  # noqa: S311 - repeatable, nothing secret
    pattern = _pattern(rng, match)
    drops = _alike_together(_drops(rng, pattern, rng.randint(3, most_columns)))
    paper = Paper("invented", pattern, ROLL_LENGTH)
    return Job(paper, _lots(rng, stock, pattern, drops), drops)


def random_small_job(seed: int) -> Job:
    """Return one to six pieces on short rolls of one to three lots: some sealed, some few, some dear."""
    rng = Random(f"{seed} small")  # noqa: S311 - repeatable, nothing secret
    repeat = rng.choice([Fraction(0), Fraction(200), Fraction(530), Fraction(640, 3)])
    pattern = Pattern(repeat, Fraction(0))
    pieces = rng.randint(1, 6)
    trim_top, trim_bottom = Fraction(rng.choice([0, 40])), Fraction(rng.choice([0, 60]))
    drops: list[Drop] = []
    while sum(drop.count for drop in drops) < pieces:
        drops.append(
            Drop(
                label=f"{len(drops) + 1}",
                height=Fraction(rng.randrange(1000, 6000, rng.choice([1, 50])), 3),
                first_motif=pattern.within_repeat(Fraction(rng.randrange(0, 700, 10))),
                trim_top=trim_top,
                trim_bottom=trim_bottom,
                count=rng.randint(1, pieces - sum(drop.count for drop in drops)),
            )
        )
    paper = Paper("invented", pattern, Fraction(5500))
    if rng.random() < 1 / 4:
        return Job(paper, (Lot("roll", paper.roll_length, count=None),), tuple(drops))
    priced = rng.random() < 1 / 2
    lots = tuple(
        Lot(
            label="ABC"[number],
            length=Fraction(rng.choice([2300, 3000, 4100, 5500])),
            first_motif=rng.choice([None, None, pattern.within_repeat(Fraction(rng.randrange(700)))]),
            count=rng.choice([1, 2, pieces]),
            price=Fraction(rng.choice([20, 35, 50])) if priced else None,
        )
        for number in range(rng.randint(1, 3))
    )
    return Job(paper, lots, tuple(drops))


def _pattern(rng: Random, match: str) -> Pattern:
    if match == "free":
        return FREE
    repeat = rng.choice([Fraction(320), Fraction(530), Fraction(640), Fraction("457.2")])  # the last is 18 in
    lower = repeat * _PARTS[match]
    return Pattern(repeat, rng.choice([lower, (repeat - lower) % repeat]))


def _drops(rng: Random, pattern: Pattern, columns: int) -> list[Drop]:
    """Return full columns, and in their place here and there a piece over a door or two at a window."""
    level = Fraction(rng.randrange(2200, 3000, 5))
    out_of_level = rng.choice([[0], [0, 5, 10], [0, 3, 4, 7]])
    at_start = pattern.within_repeat(Fraction(rng.randrange(1000)))
    drops: list[Drop] = []
    column = 0
    while column < columns:
        opening = rng.choices(["none", "door", "window"], [8, 1, 1])[0]
        for _ in range(1 if opening == "none" else rng.randint(1, 3)):
            motif = pattern.first_motif(column, at_start)
            height = level + rng.choice(out_of_level)
            if opening == "none":
                drops.append(Drop(f"{column}", height, motif, TRIM, TRIM))
            else:
                drops.append(Drop(f"{column} over", height - 2030, motif, TRIM, TRIM))
            if opening == "window":
                sill = Fraction(rng.choice([800, 905]))
                below = pattern.within_repeat(motif - (height - sill))
                drops.append(Drop(f"{column} under", sill, below, TRIM, TRIM))
            column += 1
    return drops


def _alike_together(drops: list[Drop]) -> tuple[Drop, ...]:
    """Return ``drops`` with those that are cut alike written once, with their count."""
    kinds: dict[tuple[Fraction, Fraction], Drop] = {}
    for drop in drops:
        kind = (drop.height, drop.first_motif)
        known = kinds.get(kind)
        kinds[kind] = drop if known is None else replace(known, count=known.count + 1)
    return tuple(kinds.values())


def _lots(rng: Random, stock: str, pattern: Pattern, drops: tuple[Drop, ...]) -> tuple[Lot, ...]:
    if stock == "sealed":
        return (Lot("roll", ROLL_LENGTH, count=None),)
    paper = sum(drop.count * (drop.cut_length + pattern.repeat) for drop in drops)
    in_hand = int(paper / ROLL_LENGTH) + 2
    if stock == "prices":
        return (
            Lot("long", ROLL_LENGTH, count=in_hand, price=Fraction(84)),
            Lot("short", Fraction(5000), count=2 * in_hand, price=Fraction(45)),
            Lot("end", Fraction(7200), pattern.within_repeat(Fraction(135)), count=1, price=Fraction(20)),
        )
    if stock == "measured" and pattern.is_free:
        return (Lot("open", ROLL_LENGTH, Fraction(0), count=in_hand),)
    opened = in_hand if stock == "measured" else in_hand // 2
    measured = tuple(
        Lot(f"{number}", ROLL_LENGTH, pattern.within_repeat(Fraction(rng.randrange(0, 1000, 5))))
        for number in range(opened)
    )
    return measured if stock == "measured" else (*measured, Lot("sealed", ROLL_LENGTH, count=in_hand))
