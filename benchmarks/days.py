"""A thousand random days at the table: every kind of entry, judged, and held against an exhaustive search.

python benchmarks/days.py [FIRST] [HOW_MANY]
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))

from random_days import random_day

if __name__ == "__main__":
    first, count = (int(word) for word in [*sys.argv[1:], "0", "1000"][:2]) if len(sys.argv) > 1 else (0, 1000)
    entries = wrong = 0
    for seed in range(first, first + count):
        day = random_day(seed)
        entries += day.entries
        wrong += bool(day.faults)
        for fault in day.faults:
            print(f"day {seed}: {fault}")
    print(f"{count} days, {entries} entries, {wrong} days with something untrue")
