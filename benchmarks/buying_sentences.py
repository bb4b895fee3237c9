"""Whether what ``cutplan buy`` says is true: every sentence with a number or a promise, worked out another way.

Small rooms are judged by exhaustive search, larger ones by the plan that ``cutplan plan`` prints. The judge is that of
the tests, ``tests/buying_judge.py``.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))

from buying_asked import judged, judged_large


def main() -> int:
    """Print what is false, and how much was judged; return 1 when anything is false."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n\n")[0])
    parser.add_argument("--small", type=int, default=300, help="small rooms to judge")
    parser.add_argument("--large", type=int, default=30, help="rooms of usual size to judge")
    parser.add_argument("--first", type=int, default=0, help="number of the first room")
    options = parser.parse_args()
    rooms = stated = false = 0
    for judge, count in ((judged, options.small), (judged_large, options.large)):
        for seed in range(options.first, options.first + count):
            faults, number = judge(seed)
            rooms, stated, false = rooms + 1, stated + number, false + len(faults)
            if faults:
                print(f"{judge.__name__} room {seed}: {'; '.join(faults)}")
    print(f"{rooms} rooms, {stated} statements, {false} false")
    return 1 if false else 0


if __name__ == "__main__":
    sys.exit(main())
