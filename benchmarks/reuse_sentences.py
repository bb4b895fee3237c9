"""Whether what ``cutplan`` says of paper kept, of an offcut and of a room's walls is true, worked out another way.

Lists of drops are judged by trying everything, surveyed rooms from the walls and columns that ``cutplan plan --json``
prints. The judge is that of the tests, ``tests/reuse_judge.py``.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))

from reuse_asked import judged_list, judged_survey


def main() -> int:
    """Print what is false, and how much was judged; return 1 when anything is false."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n\n")[0])
    parser.add_argument("--lists", type=int, default=200, help="lists of drops to judge, each with an offcut")
    parser.add_argument("--surveys", type=int, default=100, help="surveyed rooms to judge")
    parser.add_argument("--first", type=int, default=0, help="number of the first room")
    options = parser.parse_args()
    rooms = stated = false = 0
    for judge, count in ((judged_list, options.lists), (judged_survey, options.surveys)):
        for seed in range(options.first, options.first + count):
            faults, number = judge(seed)
            rooms, stated, false = rooms + bool(number), stated + number, false + len(faults)
            if faults:
                print(f"{judge.__name__} {seed}: {'; '.join(faults)}")
    print(f"{rooms} rooms, {stated} statements, {false} false")
    return 1 if false else 0


if __name__ == "__main__":
    sys.exit(main())
