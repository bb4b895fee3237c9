"""Small contracts with narrow end strips, doors, mirrored rooms and packets: is each proved, and does it hold.

python benchmarks/small_contracts.py --contracts 200
"""

from __future__ import annotations

import argparse
import json
import time
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Final

from cutplan.check import check_text
from cutplan.contract.read_contract import read_contract
from cutplan.contract.rooms import SharingWay
from cutplan.contract.ways import ContractPlanner
from cutplan.render.documents.contract_document import contract_document
from cutplan.solve.clock import Clock

if TYPE_CHECKING:
    from collections.abc import Iterator

MATCHES: Final = ("free", "54 cm", "54/27 cm", "54 cm/third", "64 cm/third")
PACKETS: Final = ("", "packet = 2\n", "packet = 3\n")
DOOR: Final = '[[wall.opening]]\nkind = "door"\nleft = 200\nwidth = 800\nheight = 2000\n'
SECONDS: Final = 10.0


def contract_files(number: int) -> tuple[dict[str, str], str]:
    """Return the rooms and the contract of one number: two to five rooms of up to three kinds."""
    random = Random(number)  # noqa: S311 - the same contracts on every run
    match = random.choice(MATCHES)
    paper = f'[paper]\nname = "Reed"\nroll_length = "10.05 m"\nroll_width = 530\nmatch = "{match}"\n'
    paper += ('offset_direction = "down"\n' if "third" in match else "") + random.choice(PACKETS)
    rooms, entries = {}, ""
    for kind in range(random.randint(1, 3)):
        width, height = random.choice([3000, 2500, 2750, 1400]), random.choice([2300, 2400, 2450, 2600])
        walls = "".join(
            f'[[wall]]\nname = "wall {each}"\nwidth = {width - each * 300}\nheight = {height}\n'
            + (DOOR if random.random() < 0.4 else "")  # noqa: PLR2004 - two walls in five
            for each in range(random.choice([1, 1, 2]))
        )
        motif = "" if match == "free" else f"motif_drop = {random.randrange(0, 540, 30)}\n"
        start = f'[start]\nwall = "wall 0"\nat = {random.choice([width // 2, 0, 300])}\nputs = "joint"\n{motif}'
        count = random.randint(1, 2) if kind else 2
        rooms[f"room-{kind}.toml"] = f'units = "mm"\n{paper}{walls}{start}'
        entries += f'[[rooms]]\nfile = "room-{kind}.toml"\ncount = {count}\nmirrored = {random.randint(0, count)}\n'
    return rooms, entries


def planner_of(folder: Path, number: int) -> ContractPlanner:
    """Return the planner of one contract, with ten seconds for it."""
    rooms, entries = contract_files(number)
    for name, text in {**rooms, "contract.toml": entries}.items():
        (folder / name).write_text(text, encoding="utf-8")
    return ContractPlanner(read_contract(str(folder / "contract.toml")), Clock(SECONDS))


def gaps_of(numbers: range) -> Iterator[str]:
    """Yield what is not proved, or refused, of contracts; at the end how many there were and how long they took."""
    began, with_gap, longest = time.perf_counter(), 0, 0.0
    for number in numbers:
        with TemporaryDirectory() as folder:
            begun = time.perf_counter()
            planner = planner_of(Path(folder), number)
            ways = [planner.way(way) for way in SharingWay]
            longest = max(longest, time.perf_counter() - begun)
            report = check_text(json.dumps(contract_document(planner, ways)))
        open_ways = [f"{way.way.value} {way.rolls}, bound {way.bound}" for way in ways if way.rolls != way.bound]
        with_gap += bool(open_ways)
        if open_ways or not report.holds:
            yield f"{number}: {'; '.join([*open_ways, *(broken.line() for broken in report.violations)])}"
    took = time.perf_counter() - began
    yield f"{len(numbers)} contracts, {with_gap} with a gap; {took:.0f} s, {longest:.1f} s the longest"


def main() -> None:
    """Print what is not proved, and how many contracts were tried."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--contracts", type=int, default=200)
    parser.add_argument("--first", type=int, default=0)
    wish = parser.parse_args()
    for line in gaps_of(range(wish.first, wish.first + wish.contracts)):
        print(line, flush=True)


if __name__ == "__main__":
    main()
