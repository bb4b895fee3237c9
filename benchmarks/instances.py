"""Invented jobs to measure on, the same in every run, and readers for the published ones.

Rooms and houses hang one paper with a repeat of 640 mm on rolls of 10.05 m with 50 + 50 mm of trim, unless the
match is free.
"""

from __future__ import annotations

from fractions import Fraction
from math import ceil
from random import Random
from typing import TYPE_CHECKING, Final

from msgspec import Struct
from msgspec.structs import replace

from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.paper.pattern import FREE, Pattern
from cutplan.paper.stock import Lot, Paper

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from pathlib import Path

    from cutplan.scenario.read import Scenario

REPEAT: Final = Fraction(640)
TRIM: Final = Fraction(50)
ROLL_LENGTH: Final = Fraction(10050)
PARTS: Final = {
    "straight": Fraction(0),
    "half": Fraction(1, 2),
    "third": Fraction(1, 3),
    "quarter": Fraction(1, 4),
}
MATCHES: Final = ("free", *PARTS)
STOCKS: Final = ("sealed", "measured")
COLUMNS: Final = (10, 80)
"""Least and most columns of a room."""

ORDINARY_COLUMNS: Final = (10, 30)
"""Of an ordinary room: up to 16 m round, with paper of 53 cm."""

LARGE_COLUMNS: Final = (10, 60)

CONTRACTS: Final = (1_000, 10_000, 100_000, 1_000_000)
HOUSES: Final = (100, 200, 400)
TRIPLETS: Final = (60, 120, 249, 501)


class Instance(Struct, frozen=True):
    """A job to measure on.

    Attributes
    ----------
    name
        Unique in its set.
    group
        What it is counted with in a table.
    job
        The job.
    optimum
        Fewest rolls as published or by construction; None when not known beforehand.
    scenario
        What the job was read from; None when it was made as it stands.

    """

    name: str
    group: tuple[str, ...]
    job: Job
    optimum: int | None = None
    scenario: Scenario | None = None


def rooms(count: int, between: tuple[int, int] = COLUMNS) -> Iterator[Instance]:
    """Yield ``count`` rooms: every match, sealed and measured in turn, from the least number of columns to the most.

    In every second round of the ten groups heights differ by steps of 5 mm, in the others by any few mm.
    """
    groups = [(match, stock) for match in MATCHES for stock in STOCKS]
    rounds = ceil(count / len(groups))
    for number in range(count):
        round_, place = divmod(number, len(groups))
        match, stock = groups[place]
        least, most = between
        columns = least + (most - least) * round_ // max(1, rounds - 1)
        step = 5 if round_ % 2 == 0 else 1
        name = f"room {number}"
        yield Instance(name, (match, stock), room(name, match=match, stock=stock, columns=columns, step=step))


def room(seed: str, *, match: str, stock: str, columns: int, step: int) -> Job:
    """Return a room of ``columns`` columns whose heights differ by up to six steps of ``step`` mm."""
    rng = seeded(seed)
    pattern = pattern_of(match)
    drops = _room_drops(rng, pattern, columns, step)
    return Job(Paper("invented", pattern, ROLL_LENGTH), _stock(rng, stock, pattern, drops), _numbered(drops))


def _room_drops(rng: Random, pattern: Pattern, columns: int, step: int) -> list[Drop]:
    """Return a full drop a column, but over doors one short piece, and two pieces where a window is."""
    level = Fraction(rng.randrange(2300, 2900, 10))
    at_start = pattern.within_repeat(Fraction(rng.randrange(640)))
    door_head, window_head, sill = Fraction(2030), Fraction(2100), Fraction(rng.choice([450, 800, 950]))
    drops = []
    column = 0
    while column < columns:
        # About one opening in nine columns, each one to three columns wide.
        opening = rng.choices(["none", "door", "window"], [16, 1, 1])[0]
        for _ in range(1 if opening == "none" else rng.randint(1, 3)):
            height = level + step * rng.randint(0, 6)
            motif = pattern.first_motif(column, at_start)
            over = {"none": height, "door": height - door_head, "window": height - window_head}[opening]
            drops.append(_drop(over, motif))
            if opening == "window":
                drops.append(_drop(sill, pattern.within_repeat(motif - (height - sill))))
            column += 1
    return drops


def contracts(largest: int) -> Iterator[Instance]:
    """Yield hotels of a thousand drops and more, up to ``largest``, on sealed rolls; the same kinds for each match."""
    for size in CONTRACTS:
        for match in ("free", "half", "third"):
            if size <= largest:
                job = contract(f"contract {match}", match=match, size=size)
                yield Instance(f"contract {size} {match}", (f"{size}",), job)


def contract(seed: str, *, match: str, size: int) -> Job:
    """Return ``size`` drops: the kinds of one bedroom of 24 columns, each as often as shares it out."""
    rng = seeded(seed)
    pattern = pattern_of(match)
    kinds = _alike_together(_room_drops(rng, pattern, 24, 5))
    weights = [drop.count * rng.randint(1, 20) for drop in kinds]
    counts = [max(1, size * weight // sum(weights)) for weight in weights]
    counts[0] += size - sum(counts)
    drops = [replace(kind, count=count) for kind, count in zip(kinds, counts, strict=True)]
    return Job(Paper("invented", pattern, ROLL_LENGTH), _stock(rng, "sealed", pattern, drops), _numbered(drops))


def old_houses(sizes: Iterable[int]) -> Iterator[Instance]:
    """Yield a house of each size and match in which no two drops have the same length."""
    for size in sizes:
        for match in PARTS:
            if match != "quarter":
                name = f"old house {size} {match}"
                yield Instance(name, (f"{size}",), old_house(name, match=match, size=size))


def old_house(seed: str, *, match: str, size: int) -> Job:
    """Return ``size`` drops of 300–3000 mm, all different; every fifth begins under a window."""
    rng = seeded(seed)
    pattern = pattern_of(match)
    at_start = Fraction(rng.randrange(640))
    drops = []
    for column, height in enumerate(rng.sample(range(300, 3001), size)):
        below = Fraction(rng.randrange(1200, 2200)) if column % 5 == 0 else Fraction(0)
        motif = pattern.within_repeat(pattern.first_motif(column, at_start) - below)
        drops.append(_drop(Fraction(height), motif))
    return Job(Paper("invented", pattern, ROLL_LENGTH), _stock(rng, "sealed", pattern, drops), _numbered(drops))


def uniform(folder: Path, per_set: int) -> Iterator[Instance]:
    """Yield the first ``per_set`` problems of each of Falkenauer's uniform sets, read in place.

    ``folder`` holds ``binpack1.txt`` … ``binpack4.txt`` in the format of the OR-Library, and ``optima.csv`` with
    the proved optima.

    References
    ----------
    E. Falkenauer, "A hybrid grouping genetic algorithm for bin packing", Journal of Heuristics 2 (1996) 5–30.

    """
    lines = (folder / "optima.csv").read_text(encoding="utf-8").splitlines()[1:]
    optima = {name.removeprefix("Falkenauer_"): int(row[-1]) for name, *row in (ln.split(",") for ln in lines)}
    for number in range(1, 5):
        words = (folder / f"binpack{number}.txt").read_text(encoding="utf-8").split()
        place = 1
        for index in range(int(words[0])):
            name, capacity, items = words[place], int(words[place + 1]), int(words[place + 2])
            sizes = [int(word) for word in words[place + 4 : place + 4 + items]]
            place += 4 + items
            if index < per_set:
                yield Instance(name, (f"u{items}",), _packing(capacity, sizes), optima[name])


def triplets(per_set: int, totals: Iterable[int] = TRIPLETS) -> Iterator[Instance]:
    """Yield ``per_set`` problems of so many sizes each, of which three fill every roll, by Falkenauer's recipe.

    Of a capacity of 1000, the first takes 380–490, the second from 250 up to half of what is left, the third the
    rest (Falkenauer 1996, as above); so the optimum is a third of the number of sizes.
    """
    for total in totals:
        for number in range(per_set):
            name = f"t{total}_{number:02}"
            rng = seeded(name)
            sizes: list[int] = []
            while len(sizes) < total:
                first = rng.randint(380, 490)
                second = rng.randint(250, (1000 - first) // 2)
                sizes += [first, second, 1000 - first - second]
            rng.shuffle(sizes)
            yield Instance(name, (f"t{total}",), _packing(1000, sizes), total // 3)


def _packing(capacity: int, sizes: list[int]) -> Job:
    """Return the free-match job that is this bin-packing problem, a millimetre to the unit."""
    drops = [Drop("", Fraction(size), Fraction(0), Fraction(0), Fraction(0)) for size in sizes]
    lots = (Lot("roll", Fraction(capacity), count=None),)
    return Job(Paper("invented", FREE, Fraction(capacity)), lots, _numbered(drops))


def seeded(seed: str) -> Random:
    """Return chance that is the same for the same ``seed``."""
    return Random(seed)  # noqa: S311 - repeatable, nothing secret


def pattern_of(match: str) -> Pattern:
    """Return the print of a match by its name."""
    return FREE if match == "free" else Pattern(REPEAT, REPEAT * PARTS[match])


def _drop(height: Fraction, motif: Fraction) -> Drop:
    return Drop("", height, motif, TRIM, TRIM)


def _numbered(drops: list[Drop]) -> tuple[Drop, ...]:
    return tuple(replace(drop, label=f"{number}") for number, drop in enumerate(drops, start=1))


def _alike_together(drops: list[Drop]) -> list[Drop]:
    kinds: dict[tuple[Fraction, Fraction], Drop] = {}
    for drop in drops:
        known = kinds.get((drop.height, drop.first_motif))
        kinds[drop.height, drop.first_motif] = drop if known is None else replace(known, count=known.count + 1)
    return list(kinds.values())


def _stock(rng: Random, stock: str, pattern: Pattern, drops: list[Drop]) -> tuple[Lot, ...]:
    """Return sealed rolls as needed, or open ones, each with its own start: enough, and two to spare."""
    if stock == "sealed":
        return (Lot("roll", ROLL_LENGTH, count=None),)
    shares = (Fraction(1, int((ROLL_LENGTH - pattern.repeat) // (drop.cut_length + pattern.repeat))) for drop in drops)
    in_hand = ceil(sum(shares)) + 2
    starts = (pattern.within_repeat(Fraction(rng.randrange(640))) for _ in range(in_hand))
    return tuple(Lot(f"{number}", ROLL_LENGTH, start) for number, start in enumerate(starts, start=1))
