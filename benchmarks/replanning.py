"""Planning again after random work and random spoiling: is every answer right, and is nothing lost from any echo.

Small jobs with every sort of special stock, walls of several batches, and surveyed rooms are begun; some steps are
done, some drops hung, some spoiled, rolls measured and bought; the rest is planned anew, often more than once. Whether
the paper is enough, and how many rolls are opened, is held against an exhaustive search with arithmetic of its own;
every plan is judged as ``cutplan check`` does, and its scenario read again.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from time import perf_counter
from typing import Final

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))

from replanned import replanned

JOBS: Final = 500


def main() -> None:
    """Print how many jobs were planned again, and each that was answered wrongly."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--jobs", type=int, default=JOBS, help="how many jobs to plan again")
    arguments.add_argument("--first", type=int, default=0, help="seed of the first job")
    chosen = arguments.parse_args()
    begin = perf_counter()
    seed, planned, enough, wrong = chosen.first, 0, 0, 0
    while planned < chosen.jobs:
        found = replanned(seed)
        if found is not None:
            planned += 1
            enough += found.answer.is_enough
            wrong += not found.is_right
            if not found.is_right:
                print(f"job {seed}: {found.answer.further} rolls, {found.least} by search; {', '.join(found.faults)}")
        seed += 1
    print(
        f"{planned} jobs planned again in {perf_counter() - begin:.0f} s: enough for {enough}, {wrong} answered wrongly"
    )


if __name__ == "__main__":
    main()
