"""Every range before a survey against rooms set out at random on a grid of 5 mm: does any leave it, and how wide is it.

python benchmarks/quantity.py --rooms 200 --places 40
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from fractions import Fraction
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))

from cutplan.quantity.anywhere import anywhere
from cutplan.quantity.sizes_told import Gap
from cutplan.room.walls import OpeningKind
from test_quantity import notebook, placed, rolls_of


def main() -> None:
    """Print how many answers lay outside, and how wide the ranges were."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rooms", type=int, default=200)
    parser.add_argument("--places", type=int, default=40)
    wish = parser.parse_args()
    random = Random(1)  # noqa: S311 - the same rooms on every run
    outside, tried, widths, seconds = 0, 0, Counter[int](), []
    for _ in range(wish.rooms):
        walls = [Fraction(random.randrange(1300, 4500, 5)) for _ in range(4)]
        kind = random.choice([OpeningKind.DOOR, OpeningKind.WINDOW])
        gap = Gap(kind, Fraction(random.randrange(400, 1300, 5)), Fraction(random.randrange(1000, 2050, 10)))
        roll = (random.choice(["5.3 m", "7.5 m", "10.05 m"]), random.choice(["0.5 m", "0.53 m", "0.7 m"]))
        match = random.choice(["free", "64 cm", "64/32 cm", "60 cm/third"])
        height = f"{random.randrange(2100, 2700, 10)} mm"
        sizes = notebook(height, (f"{sum(walls, Fraction(0))} mm",), roll, match, gaps=(gap,))
        began = time.perf_counter()
        found = anywhere(sizes, 2)
        seconds.append(time.perf_counter() - began)
        widths[found.certain - found.least] += 1
        for _ in range(wish.places):
            job = placed(sizes, walls, random)
            if job is not None:
                tried += 1
                outside += not found.least <= rolls_of(job.drops, job) <= found.certain
    seconds.sort()
    print(f"{wish.rooms} rooms, {tried} placements: {outside} outside their range")
    print("rolls between bound and certain:", dict(sorted(widths.items())))
    print(f"range: median {seconds[len(seconds) // 2] * 1000:.0f} ms, worst {seconds[-1] * 1000:.0f} ms")


if __name__ == "__main__":
    main()
