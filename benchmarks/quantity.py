"""The range before a survey against rooms set out in every way: does any leave it, is it attained, how wide is it.

python benchmarks/quantity.py --small 100        # every start and every place of a door on a grid of 5 mm
python benchmarks/quantity.py --rooms 200 --places 40        # larger rooms, at random
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from pathlib import Path
from random import Random

from msgspec.structs import replace

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))

from cutplan.job.drops import drops_of
from cutplan.job.job import Job
from cutplan.paper.sale import Edges
from cutplan.paper.stock import Lot
from cutplan.quantity.anywhere import anywhere
from cutplan.quantity.sizes_told import Gap, Notebook
from cutplan.room.finding import RoomError
from cutplan.room.profile import Profile
from cutplan.room.walls import Corner, CornerKind, Opening, OpeningKind, Room, Wall
from cutplan.setting_out import Puts, Start, set_out
from cutplan.solve.clock import Clock
from test_quantity import notebook, placed, rolls_of

GRID = 5
HEIGHT = 2400
STRIP = 130
KINDS = ("one wall", "one wall, lapped", "room of four walls")


def main() -> None:
    """Print how many answers lay outside, how many were attained, and how wide the ranges were."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--small", type=int, default=0, help="small rooms of which everything is tried")
    parser.add_argument("--from-room", type=int, default=0, help="the first of them")
    parser.add_argument("--rooms", type=int, default=200)
    parser.add_argument("--places", type=int, default=40)
    wish = parser.parse_args()
    if wish.small:
        every_place(range(wish.from_room, wish.from_room + wish.small))
    else:
        some_places(wish.rooms, wish.places)


# Every start and every place of a door


def every_place(numbers: range) -> None:
    """Print a row for each kind of room: ranges, rooms set out, those outside, and how often an end is attained."""
    rows: dict[str, Counter[str]] = {kind: Counter() for kind in KINDS}
    for number in numbers:
        kind, row = KINDS[number % len(KINDS)], rows[KINDS[number % len(KINDS)]]
        sizes, widths = small_room(number, kind)
        found = anywhere(sizes, Clock(5))
        counts = Counter(counts_everywhere(sizes, widths))
        row["rooms"] += 1
        row["set out"] += sum(counts.values())
        row["outside"] += sum(times for rolls, times in counts.items() if not found.least <= rolls <= found.certain)
        row["least attained"] += found.least in counts
        row["certain attained"] += found.certain in counts
        row["one number"] += found.least == found.certain
    for kind, row in rows.items():
        told = ("rooms", "set out", "outside", "one number", "least attained", "certain attained")
        print(f"| {kind} | " + " | ".join(f"{row[key]:,}".replace(",", " ") for key in told) + " |", flush=True)


def small_room(number: int, kind: str) -> tuple[Notebook, list[Fraction]]:
    """Return a small room's sizes and its walls: a door, narrow strips, and rolls of two to four drops."""
    random = Random(number)  # noqa: S311 - the same rooms on every run
    few = random.choice([2, 3, 4])
    roll = (f"{few * (HEIGHT + 100) + 700} mm", f"{STRIP} mm")
    match = random.choice(["free", "64 cm", "64/32 cm", "60 cm/third"])
    count, most = (4, 150) if kind == KINDS[2] else (1, 450)
    widths = [Fraction(random.randrange(most * 9 // 10 if count > 1 else most // 2, most, GRID)) for _ in range(count)]
    wide = random.randrange(100, 130 if count > 1 else 200, GRID)
    gap = Gap(OpeningKind.DOOR, Fraction(wide), Fraction(random.randrange(1700, 2200, 10)))
    corners = count if count > 1 else 0
    sizes = notebook(f"{HEIGHT} mm", (f"{sum(widths, Fraction(0))} mm",), roll, match, gaps=(gap,), corners=corners)
    if kind == KINDS[1]:
        sizes = replace(sizes, paper=replace(sizes.paper, edges=Edges(overlap=Fraction(random.choice([10, 30])))))
    return sizes, widths


def counts_everywhere(sizes: Notebook, widths: list[Fraction]) -> Iterator[int]:
    """Yield the rolls that the room takes with its door at every place and hanging begun at every place."""

    @cache
    def solved(_key: object) -> int:
        return rolls_of((), job)

    for room in rooms_with_a_door(sizes, widths):
        for wall, width in enumerate(widths):
            for at in range(0, int(width) + 1, GRID):
                try:
                    found = set_out(room, sizes.paper, Start(wall, Fraction(at), Puts.JOINT, Fraction(0)))
                except RoomError:
                    continue
                drops = drops_of(found, sizes.trim_top, sizes.trim_bottom, counts_cut_outs=True)
                job = Job(sizes.paper, (Lot("roll", sizes.paper.roll_length, count=None),), drops)
                yield solved(what_matters(job))


def rooms_with_a_door(sizes: Notebook, widths: list[Fraction]) -> Iterator[Room]:
    """Yield the room with its door at every place."""
    (gap,) = sizes.gaps
    top, floor = Profile.at_height(sizes.height), Profile.at_height(Fraction(0))
    closes = len(widths) > 1
    corners = (Corner.usual(CornerKind.INTERNAL),) * len(widths) if closes else ()
    for on, width in enumerate(widths):
        for left in range(0, int(width - gap.width) + 1, GRID):
            door = Opening("door", gap.kind, Fraction(left), gap.width, Fraction(0), gap.height)
            walls = (
                Wall(str(number), wide, top, floor, (door,) if number == on else ())
                for number, wide in enumerate(widths)
            )
            yield Room(tuple(walls), corners, closes=closes)


def what_matters(job: Job) -> object:
    """Return what the number of rolls depends on: drops, and which of them could be cut from which offcuts."""
    lots = tuple((lot.label, lot.length, lot.first_motif, lot.cut_from) for lot in job.offcuts)
    return lots, tuple((drop.height, drop.first_motif, job.offcuts_for(drop), widths_where_reused(job, drop.label))
                       for drop in job.drops)  # fmt: skip


def widths_where_reused(job: Job, label: str) -> object:
    """Return a drop's widths where it could itself be cut from an offcut and have one: how wide that is then."""
    drop = job.drop(label)
    return (drop.left, drop.right, drop.cut_outs) if job.offcuts_for(drop) and drop.cut_outs else None


# Larger rooms, at random


def some_places(rooms: int, places: int) -> None:
    """Print how many of so many placements lay outside, and how wide the ranges were."""
    random = Random(1)  # noqa: S311 - the same rooms on every run
    outside, tried, widths, seconds = 0, 0, Counter[int](), []
    for _ in range(rooms):
        walls = [Fraction(random.randrange(1300, 4500, 5)) for _ in range(4)]
        kind = random.choice([OpeningKind.DOOR, OpeningKind.WINDOW])
        gap = Gap(kind, Fraction(random.randrange(400, 1300, 5)), Fraction(random.randrange(1000, 2050, 10)))
        roll = (random.choice(["5.3 m", "7.5 m", "10.05 m"]), random.choice(["0.5 m", "0.53 m", "0.7 m"]))
        match = random.choice(["free", "64 cm", "64/32 cm", "60 cm/third"])
        height = f"{random.randrange(2100, 2700, 10)} mm"
        sizes = notebook(height, (f"{sum(walls, Fraction(0))} mm",), roll, match, gaps=(gap,))
        began = time.perf_counter()
        found = anywhere(sizes, Clock(2))
        seconds.append(time.perf_counter() - began)
        widths[found.certain - found.least] += 1
        for _ in range(places):
            job = placed(sizes, walls, random)
            if job is not None:
                tried += 1
                outside += not found.least <= rolls_of(job.drops, job) <= found.certain
    seconds.sort()
    print(f"{rooms} rooms, {tried} placements: {outside} outside their range")
    print("rolls between bound and certain:", dict(sorted(widths.items())))
    print(f"range: median {seconds[len(seconds) // 2] * 1000:.0f} ms, worst {seconds[-1] * 1000:.0f} ms")


if __name__ == "__main__":
    main()
