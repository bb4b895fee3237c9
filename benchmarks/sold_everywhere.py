"""Every kind of paper as it is sold, beside every sort of stock, through every command; each plan judged.

``python benchmarks/sold_everywhere.py --rooms 2`` makes so many invented rooms of each pair, asks every command about
each in a folder of its own, and prints how many rooms of each paper were planned, refused and too short of paper. What
is wrong with an answer, a refusal that nobody expects among it, ends it with status 1.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from pathlib import Path
from tempfile import TemporaryDirectory

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))

from papers_sold import PAPERS, STOCKS, scenario
from sold_commands import every_command


def main() -> int:
    """Ask every command about rooms, print what became of them, and return the exit status."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--rooms", type=int, default=1, help="how many rooms of each paper and stock")
    parser.add_argument("--first", type=int, default=0, help="number of the first room")
    parser.add_argument("--paper", choices=PAPERS, action="append", help="in which paper; all, if not told")
    parser.add_argument("--stock", choices=STOCKS, action="append", help="from which stock; all, if not told")
    options = parser.parse_args()
    is_wrong = False
    for paper in options.paper or PAPERS:
        became: Counter[str] = Counter()
        for stock in options.stock or STOCKS:
            for seed in range(options.first, options.first + options.rooms):
                with TemporaryDirectory() as folder:
                    path = Path(folder) / "room.toml"
                    path.write_text(scenario(paper, stock, seed), encoding="utf-8")
                    asked = every_command(path)
                became[asked.what_was_planned] += 1
                for fault in asked.faults:
                    print(f"{paper}, {stock}, {seed}: {fault.replace(folder, '')}")
                    is_wrong = True
        print(f"{paper}: {', '.join(f'{count} {what}' for what, count in sorted(became.items()))}", flush=True)
    return 1 if is_wrong else 0


if __name__ == "__main__":
    sys.exit(main())
