"""How long whole commands take, from the start of the process to its end."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from instances import LARGE_COLUMNS, ORDINARY_COLUMNS, contract, rooms
from job_text import scenario_text
from sheet import scenario as surveyed_room

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

ROOT: Final = Path(__file__).resolve().parent.parent
TIMER: Final = Path(__file__).with_name("command_timer.py")
KILOBYTES_PER_MEGABYTE: Final = 1024
HOTEL: Final = Path("scenarios", "hotel-bedrooms.toml")
MILLION: Final = 1_000_000
ROOM_RUNS: Final = 3
"""Runs of each room, of which the median counts."""


class Run(Struct, frozen=True):
    """One command, run again and again.

    Attributes
    ----------
    command
        What is run, in Markdown.
    jobs
        How many different jobs it is run for.
    seconds
        Of each run of one job, or the median of each of several jobs; without the first run of any, which only warms
        the disk cache, unless it is the only one.
    megabytes
        Most memory held by any run.

    """

    command: str
    jobs: int
    seconds: tuple[float, ...]
    megabytes: float


def command_runs(times: int, count: int, hotel: int = MILLION) -> Iterator[Run]:
    """Yield the start of bare Python and of cutplan, then plans, a sheet and a check.

    ``count`` is the number of rooms of each size, ``hotel`` that of the pieces of the largest job.
    """
    program = str(Path(sys.executable).with_name("cutplan"))
    yield _run("`python -c pass`", [sys.executable, "-c", "pass"], times)
    for option in ("--version", "--help"):
        yield _run(f"`cutplan {option}`", [program, option], times)
    with TemporaryDirectory() as name:
        folder = Path(name)
        for between in (ORDINARY_COLUMNS, LARGE_COLUMNS):
            yield _rooms(program, folder, count, between)
        yield _run(f"`cutplan plan {HOTEL}`", [program, "plan", str(HOTEL)], times)
        large = _written(folder / "hotel.toml", scenario_text(contract("contract half", match="half", size=hotel)))
        yield _run(f"`cutplan plan`, a hotel of {hotel} pieces", [program, "plan", large], times)
        surveyed = _written(folder / "surveyed.toml", surveyed_room("64/32 cm"))
        yield _run("`cutplan plan`, a surveyed room of 40 columns", [program, "plan", surveyed], times)
        page = str(folder / "sheet.html")
        yield _run("`cutplan sheet`, the same room", [program, "sheet", surveyed, "--output", page], times)
        done = subprocess.run([program, "plan", surveyed, "--json"], check=True, capture_output=True, text=True)  # noqa: S603 - our own program
        plan = _written(folder / "plan.json", done.stdout)
        yield _run("`cutplan check`, its plan", [program, "check", plan], times)


def _written(path: Path, text: str) -> str:
    path.write_text(text, encoding="utf-8")
    return str(path)


def _rooms(program: str, folder: Path, count: int, between: tuple[int, int]) -> Run:
    """Return the run of ``plan`` for each of ``count`` rooms with so many columns."""
    medians, most = [], 0.0
    for instance in rooms(count, between):
        path = _written(folder / f"{instance.name}.toml", scenario_text(instance.job))
        run = _run("", [program, "plan", path], ROOM_RUNS)
        medians.append(median(run.seconds))
        most = max(most, run.megabytes)
    least, greatest = between
    return Run(f"`cutplan plan`, rooms of {least}–{greatest} columns", count, tuple(medians), most)


def _run(command: str, arguments: Sequence[str], times: int) -> Run:
    warming = 1 if times > 1 else 0
    measured = [once(arguments) for _ in range(warming + times)]
    seconds = tuple(seconds for seconds, *_ in measured[warming:])
    return Run(command, 1, seconds, max(megabytes for _, megabytes, _ in measured))


def once(arguments: Sequence[str]) -> tuple[float, float, float]:
    """Return the seconds, megabytes and processor's seconds that one run takes; CalledProcessError when it fails."""
    command = [sys.executable, "-I", "-S", str(TIMER), *arguments]
    done = subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True)  # noqa: S603 - our own program
    seconds, kilobytes, status, working = done.stdout.split()
    if int(status):
        raise subprocess.CalledProcessError(int(status), list(arguments))
    return float(seconds), int(kilobytes) / KILOBYTES_PER_MEGABYTE, float(working)
