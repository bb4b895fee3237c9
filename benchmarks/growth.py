"""How time and memory grow with the job: ``python benchmarks/growth.py``, whole commands, processor time.

Three sorts of job: one bedroom's kinds of drop, a thousand to a million drops in all; drops that each have a height of
their own; and places for the start of one room, from some two hundred to some ten thousand. The exponent beside a row
says to which power of the size time has grown since the row above.
"""

from __future__ import annotations

import argparse
import json
import sys
from math import log
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from commands import once
from comparing import CEILINGS
from figures import markdown
from instances import CONTRACTS, contract
from job_text import scenario_text
from provenance import commit, provenance
from time_kept import drops

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

PROGRAM: Final = str(Path(sys.executable).with_name("cutplan"))
COMPARING: Final = str(Path(__file__).with_name("comparing.py"))
DIFFERENT: Final = (1_000, 2_000, 5_000, 10_000, 20_000)
PLACES: Final = (200, 1_000, 10_000)
LIMIT: Final = 5
"""Seconds that a plan of drops all different may take."""


class Grown(Struct, frozen=True):
    """What one command took: of what sort of job, its size, seconds of processor time, and most megabytes held."""

    sort: str
    size: int
    said: str
    seconds: float
    megabytes: float


def main() -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n\n")[0])
    parser.add_argument("--quick", action="store_true", help="only the smallest of each sort")
    sizes = [sizes[: 1 if parser.parse_args().quick else None] for sizes in (CONTRACTS, DIFFERENT, PLACES)]
    begun = commit()
    with TemporaryDirectory() as name:
        folder = Path(name)
        grown = [
            *_planned(folder, "drops of one bedroom's kinds", {size: _hotel(size) for size in sizes[0]}),
            *_planned(folder, "drops all different", {size: drops(size) for size in sizes[1]}),
            *(_swept(ceiling, size) for ceiling in CEILINGS for size in sizes[2]),
        ]
    print(growth_table(grown))
    print(provenance(begun, (), None))
    return 0


def growth_table(grown: list[Grown]) -> str:
    """Return a row for each command, in Markdown; the exponent is between a row and the next smaller of its sort."""
    smaller: dict[str, Grown] = {}
    rows = []
    for each in grown:
        before = smaller.get(each.sort)
        power = "" if before is None else f"{log(each.seconds / before.seconds) / log(each.size / before.size):.2f}"
        rows.append([each.sort, each.said, str(each.size), f"{each.seconds:.2f}", power, f"{each.megabytes:.0f}"])
        smaller[each.sort] = each
    return markdown(rows, ["job", "answer", "size", "seconds", "exponent", "MB"], texts=2)


def _hotel(size: int) -> str:
    return scenario_text(contract("contract half", match="half", size=size))


def _planned(folder: Path, sort: str, scenarios: dict[int, str]) -> Iterator[Grown]:
    """Yield ``plan`` of each scenario, then ``check`` of each plan."""
    for size, text in scenarios.items():
        scenario = folder / f"{size}.toml"
        scenario.write_text(text, encoding="utf-8")
        arguments = ["plan", str(scenario), "--time-limit", str(LIMIT), "--json", "-o", str(folder / f"{size}.json")]
        cost = _cost([PROGRAM, *arguments])
        plan = json.loads((folder / f"{size}.json").read_text(encoding="utf-8"))
        yield Grown(f"`plan`, {sort}", size, f"{plan['rolls_needed']} rolls, at least {plan['lower_bound']}", *cost)
    for size in scenarios:
        yield Grown(f"`check`, {sort}", size, "", *_cost([PROGRAM, "check", str(folder / f"{size}.json")]))


def _swept(ceiling: str, size: int) -> Grown:
    arguments = ["--processes", "1", "--sizes", str(size), "--ceilings", ceiling]
    return Grown(f"places for the start, {ceiling}", size, "", *_cost([sys.executable, COMPARING, *arguments]))


def _cost(command: Sequence[str]) -> tuple[float, float]:
    """Return the seconds of the processor and the megabytes that a command takes."""
    _, megabytes, working = once(command)
    return working, megabytes


if __name__ == "__main__":
    sys.exit(main())
