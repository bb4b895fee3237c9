"""A thousand random days at the table: every kind of entry, judged, and held against an exhaustive search.

python benchmarks/days.py [FIRST] [HOW_MANY]
"""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))

from random_days import random_day

if __name__ == "__main__":
    first, count = (int(word) for word in [*sys.argv[1:], *["0", "1000"][len(sys.argv) - 1 :]])
    kinds: Counter[str] = Counter()
    days = wrong = 0
    for seed in range(first, first + count):
        day = random_day(seed)
        if day is not None:
            kinds.update(day.kinds)
            days += 1
            wrong += bool(day.faults)
            for fault in day.faults:
                print(f"day {seed}: {fault}")
    print(f"{days} days ({count - days} jobs have too few rolls to begin), {wrong} of them with something untrue")
    print(f"{kinds.total()} entries: {', '.join(f'{kind} {number}' for kind, number in kinds.most_common())}")
