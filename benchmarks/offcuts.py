"""Rooms of 40 columns whose cut-outs are counted on, from plain and from special stock: are they proved, and how fast.

Each room is surveyed: four walls of uneven length, two doors, three windows and a fireplace, so that a dozen strips
have something cut out and some short pieces could come from it. It is planned from sealed rolls; from measured rolls;
from special stock (a flaw, a bolt in pieces, a roll foot first, two offcuts kept, the rest measured); and from two
batches, sealed, so that each wall must be given one. The time is that of the whole command, from the start of the
process to its end, with the plan as JSON, its cuts in order; each plan is then judged by ``cutplan check``.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path
from platform import machine, python_version, system
from random import Random
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter
from typing import TYPE_CHECKING, Any, Final

from msgspec import Struct
from tabulate import tabulate

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

COLUMNS: Final = 40
WIDTH: Final = 530
MATCHES: Final = {
    "free": ("free", 0),
    "straight": ("64 cm", 640),
    "half": ("64/32 cm", 640),
    "third": ("53 cm/third", 530),
    "quarter": ("64 cm/quarter", 640),
}
STOCKS: Final = ("sealed", "measured", "special", "batches")
ROOMS: Final = 3
"""Rooms of each match and stock."""

HEADS: Final = (
    "match", "stock", "rooms", "drops", "cut-outs", "offcuts used", "rolls saved", "proved",
    "s whole command: median", "worst", "judged right",
)  # fmt: skip


class Result(Struct, frozen=True):
    """One room: its drops, what falls out of them, the rolls saved, and how long the command took."""

    drops: int
    cut_outs: int
    offcuts_used: int
    saved: int
    is_proved: bool
    seconds: float
    is_right: bool


def main() -> int:
    """Print the table, or write it with what it was measured on; 1 when a plan was unproved, slow or wrong."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n\n")[0])
    parser.add_argument("--write", action="store_true", help="write offcuts.md beside this script")
    parser.add_argument("--rooms", type=int, default=ROOMS, help="rooms of each match and stock")
    options = parser.parse_args()
    results = {
        (match, stock): [_result(scenario(number, match, stock)) for number in range(options.rooms)]
        for match in MATCHES
        for stock in STOCKS
    }
    everything = [result for held in results.values() for result in held]
    rows = [_row(match, stock, held) for (match, stock), held in results.items()]
    table = tabulate([*rows, _row("**all**", "", everything)], headers=HEADS, tablefmt="github", disable_numparse=True)
    if options.write:
        Path(__file__).with_suffix(".md").write_text(_page(table), encoding="utf-8")
    print(table)
    return 0 if all(result.is_proved and result.is_right for result in everything) else 1


def scenario(number: int, match: str, stock: str) -> str:
    """Return a room of 40 columns as a scenario; the same for the same arguments."""
    chance = Random(f"{number} {match} {stock}")  # noqa: S311 - repeatable, nothing secret
    label, repeat = MATCHES[match]
    direction = 'offset_direction = "down"\n' if match in {"third", "quarter"} else ""
    motif = f"motif_drop = {chance.randrange(repeat)}\n" if repeat else ""
    return "\n".join(
        [
            'units = "mm"',
            f'[paper]\nroll_length = 10050\nroll_width = {WIDTH}\nmatch = "{label}"\n{direction}',
            *_rolls(chance, stock, repeat),
            "[room]\ncloses = true",
            *_walls(chance),
            f'[start]\nwall = "wall 1"\nat = "middle"\nputs = "joint"\n{motif}',
        ]
    )


def _walls(chance: Random) -> Iterator[str]:
    """Yield four walls that take 40 strips, all of about one height, with their openings."""
    whole = COLUMNS * WIDTH - 4 * 20 - chance.randrange(100)
    long = whole // 4 + chance.randrange(0, 900, 10)
    widths = [long, whole // 2 - long, long + 37, whole - whole // 2 - long - 37]
    height = chance.randrange(2350, 2750, 5)
    opened = {
        1: [("fireplace", "hearth", 1400, 0, 1150)],
        2: [("door", "door", 900, 0, 2030), ("window", "window", 1100, 900, 1150)],
        3: [("window", "left", 1000, 850, 1250), ("window", "right", 1000, 850, 1250)],
        4: [("door", "door", 850, 0, 2030)],
    }
    for number, width in enumerate(widths, 1):
        yield f'[[wall]]\nname = "wall {number}"\nwidth = {width}\nheight = {height + chance.randrange(-10, 11, 5)}'
        share = width // len(opened[number])
        for place, (kind, name, wide, foot, high) in enumerate(opened[number]):
            left = place * share + chance.randrange(100, share - wide - 100)
            yield (
                f'[[wall.opening]]\nkind = "{kind}"\nname = "{name}"\nleft = {left}\nwidth = {wide}\n'
                f"foot = {foot}\nheight = {high}"
            )


def _rolls(chance: Random, stock: str, repeat: int) -> Iterator[str]:
    """Yield the rolls and offcuts of a stock."""

    def motif() -> str:
        return f"first_motif = {chance.randrange(repeat)}\n" if repeat else ""

    if stock == "batches":
        for batch in ("2207", "2208"):
            yield f'[[roll]]\nlabel = "{batch}"\ncount = 11\nbatch = {batch}'
    if stock not in {"measured", "special"}:
        return
    for number in range(1, 18 if stock == "measured" else 15):
        yield f'[[roll]]\nlabel = "A{number}"\n{motif()}'
    if stock == "special":
        flaw = chance.randrange(1000, 9000, 10)
        yield f'[[roll]]\nlabel = "flawed"\n{motif()}flaws = [{{ from = {flaw}, to = {flaw + 60} }}]'
        first = chance.randrange(3000, 7000, 10)
        pieces = [
            f"{{ length = {length}, {motif().strip()} }}".replace(",  }", " }") for length in (first, 10050 - first)
        ]
        yield f'[[roll]]\nlabel = "pieces"\npieces = [{", ".join(pieces)}]'
        yield f'[[roll]]\nlabel = "foot"\nfoot_first = true\n{motif()}'
        yield f'[[offcut]]\nlabel = "wide"\nlength = {chance.randrange(900, 2800, 10)}\n{motif()}'
        left = chance.randrange(0, 200, 10)
        yield f'[[offcut]]\nlabel = "narrow"\nlength = {chance.randrange(500, 1500, 10)}\nleft = {left}\n{motif()}'


def _result(text: str) -> Result:
    with TemporaryDirectory() as folder:
        path = Path(folder, "room.toml")
        path.write_text(text, encoding="utf-8")
        started = perf_counter()
        planned = _cutplan("plan", str(path), "--json")
        seconds = perf_counter() - started
        plan: dict[str, Any] = json.loads(planned.stdout)
        Path(folder, "plan.json").write_text(planned.stdout, encoding="utf-8")
        judged = _cutplan("check", str(Path(folder, "plan.json")))
    from cutplan.scenario.read import parse_scenario  # noqa: PLC0415 - late: not part of what is measured

    drops = parse_scenario(text, "room.toml").job.drops
    lots = {roll["lot"] for roll in plan["rolls"]}
    names = {cut_out.label for drop in drops for cut_out in drop.cut_outs} | {"wide", "narrow"}
    without = plan.get("without_offcuts", {}).get("rolls_needed")
    return Result(
        drops=len(drops),
        cut_outs=sum(len(drop.cut_outs) for drop in drops),
        offcuts_used=len(lots & names),
        saved=0 if without is None else without - plan["rolls_needed"],
        is_proved=plan["status"] == "optimal" and plan["proof"]["by"] != "none",
        seconds=seconds,
        is_right=judged.returncode == 0,
    )


def _cutplan(*arguments: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "cutplan", *arguments]
    return subprocess.run(command, check=False, capture_output=True, text=True)  # noqa: S603 - our own program


def _row(match: str, stock: str, results: Sequence[Result]) -> tuple[str, ...]:
    seconds = sorted(result.seconds for result in results)
    return (
        match,
        stock,
        str(len(results)),
        _range([result.drops for result in results]),
        _range([result.cut_outs for result in results]),
        _range([result.offcuts_used for result in results]),
        str(sum(result.saved for result in results)),
        f"{sum(result.is_proved for result in results)}/{len(results)}",
        f"{median(seconds):.2f}",
        f"{seconds[-1]:.2f}",
        f"{sum(result.is_right for result in results)}/{len(results)}",
    )


def _range(numbers: Sequence[int]) -> str:
    low, high = min(numbers), max(numbers)
    return str(low) if low == high else f"{low}–{high}"


def _page(table: str) -> str:
    about = (__doc__ or "").strip()
    commit = subprocess.run(["git", "rev-parse", "--short", "HEAD"], check=True, capture_output=True, text=True)  # noqa: S607 - whichever git there is
    measured = f"Measured on {datetime.now(UTC):%Y-%m-%d} at commit {commit.stdout.strip()}, Python {python_version()}"
    return f"# Offcuts and special stock\n\n{about}\n\n{table}\n\n{measured}, {system()} {machine()}, 2 cores.\n"


if __name__ == "__main__":
    sys.exit(main())
