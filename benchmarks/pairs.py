"""Two trees of cutplan over the tables of run.py, job by job in turn: ``pairs.py OTHER --table rooms``.

Each job is answered by both trees, one after the other and so several times, and the least processor time of each
counts: other work on the machine then slows neither, and the ratio is what is read. A worse value or bound is printed,
and ends the run with exit status 1.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
from pathlib import Path
from statistics import geometric_mean, median
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any, Final

from msgspec import Struct, field

from figures import duration, markdown
from instances import ORDINARY_COLUMNS, rooms
from job_text import scenario_text
from sheet import scenario as surveyed_room

if TYPE_CHECKING:
    from collections.abc import Iterator

HERE: Final = Path(__file__).parent.parent
WORKER: Final = Path(__file__).with_name("pair_worker.py")
COUNTS: Final = {"rooms": 200, "nested": 100, "contracts": 1_000_000, "houses": 0, "packing": 10, "sweep": 0}
HEADS: Final = ("jobs", "how many", "other", "this", "ratio of sums", "median ratio", "mean", "worst", "changed")


class Group(Struct):
    """What the jobs of one group took: other, this."""

    seconds: list[tuple[float, float]] = field(default_factory=list)
    changed: int = 0

    def row(self, name: str) -> list[str]:
        """Return the row of the table."""
        ratios = [this / other for other, this in self.seconds]
        other, this = (sum(side) for side in zip(*self.seconds, strict=True))
        shares = [this / other, median(ratios), geometric_mean(ratios), max(ratios)]
        figures = [duration(other), duration(this), *(f"{share:.2f}" for share in shares)]
        return [name, f"{len(ratios)}", *figures, f"{self.changed}"]


def main() -> int:
    """Measure what is asked for."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n\n")[0])
    parser.add_argument("other", type=Path, help="the other tree")
    parser.add_argument("--table", action="append", choices=(*COUNTS, "commands"), help="may be repeated")
    parser.add_argument("--count", type=int, help="how many jobs, or the largest contract")
    parser.add_argument("--times", type=int, default=3, help="how often each tree answers each job")
    options = parser.parse_args()
    for table in options.table or [*COUNTS, "commands"]:
        count = COUNTS.get(table, 12) if options.count is None else options.count
        pair = _commands if table == "commands" else _tables
        groups = pair(options.other.resolve(), table, count, options.times)
        rows = [group.row(name) for name, group in groups.items()]
        print(f"{table}\n\n{markdown(rows, list(HEADS), texts=1)}\n", flush=True)
    return 0


def _tables(other: Path, table: str, count: int, times: int) -> dict[str, Group]:
    sides = [_worker(tree, table, count) for tree in (other, HERE)]
    names, again = (json.loads(side.stdout.readline()) for side in sides)
    if names != again:
        raise SystemExit(f"the trees have other jobs in {table}")
    groups: dict[str, Group] = {}
    for number, name in enumerate(names):
        answers: list[list[Any]] = [[], []]
        for _ in range(times):
            for side, worker in enumerate(sides):
                worker.stdin.write(f"{number}\n")
                worker.stdin.flush()
                answers[side].append(json.loads(worker.stdout.readline()))
        group = groups.setdefault(name.partition("|")[0], Group())
        group.seconds.append((min(one[0] for one in answers[0]), min(one[0] for one in answers[1])))
        if answers[0][0][1:] != answers[1][0][1:]:
            group.changed += 1
            print(f"{name}: {answers[0][0][1:]} in the other tree, {answers[1][0][1:]} here", flush=True)
    return groups


def _worker(tree: Path, table: str, count: int) -> Any:  # noqa: ANN401 - its pipes are never None here
    return subprocess.Popen(  # noqa: S603 - our own program
        [sys.executable, str(WORKER), str(tree), table, str(count)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env=_environment(tree),
    )


def _environment(tree: Path) -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": str(tree / "src")}


def _commands(other: Path, _table: str, count: int, times: int) -> dict[str, Group]:
    groups: dict[str, Group] = {}
    with TemporaryDirectory() as folder:
        for name, *arguments in _command_lines(other, Path(folder), count):
            sides = list(zip((other, HERE), (arguments[0], arguments[-1]), strict=True))
            found = [[_once(*side) for side in sides] for _ in range(1 + times)][1:]
            there, here = (min(side) for side in zip(*found, strict=True))
            groups.setdefault(name, Group()).seconds.append((there, here))
    return groups


def _once(tree: Path, arguments: list[str]) -> float:
    return processor_seconds(arguments, _environment(tree))


def processor_seconds(arguments: list[str], environment: dict[str, str]) -> float:
    """Return the processor seconds of a whole command of cutplan, from the start of its process to its end.

    It finds its modules compiled, as it does where it is installed, whatever this process was told: compiling all that
    is loaded takes longer than most commands.
    """
    environment = {key: value for key, value in environment.items() if key != "PYTHONDONTWRITEBYTECODE"}
    quiet = [(os.POSIX_SPAWN_OPEN, output, os.devnull, os.O_WRONLY, 0) for output in (1, 2)]
    command = [sys.executable, "-m", "cutplan", *arguments]
    process = os.posix_spawn(command[0], command, environment, file_actions=quiet)
    _, status, usage = os.wait4(process, 0)
    if os.waitstatus_to_exitcode(status):
        raise subprocess.CalledProcessError(os.waitstatus_to_exitcode(status), command)
    return usage.ru_utime + usage.ru_stime


def _command_lines(other: Path, folder: Path, count: int) -> Iterator[tuple[str, *tuple[list[str], ...]]]:
    """Yield the name of a command and its arguments, those for this tree last where they are not the same."""
    yield "--help", ["--help"]
    paths = [folder / f"{number}.toml" for number in range(count)]
    for path, instance in zip(paths, rooms(count, ORDINARY_COLUMNS), strict=True):
        path.write_text(scenario_text(instance.job), encoding="utf-8")
    surveyed = folder / "surveyed.toml"
    surveyed.write_text(surveyed_room("64/32 cm"), encoding="utf-8")
    for command in ("plan", "buy"):
        yield from ((f"{command}, rooms of 10-30 columns", [command, str(path)]) for path in paths)
    for command in ("plan", "buy", "compare"):
        yield f"{command}, a surveyed room of 40 columns", [command, str(surveyed)]
    sheets = (["sheet", str(surveyed), "--output", str(folder / name)] for name in ("theirs.html", "ours.html"))
    yield "sheet, a surveyed room of 40 columns", *sheets
    plans = [folder / "theirs.json", folder / "ours.json"]
    planned = [sys.executable, "-m", "cutplan", "plan", str(surveyed), "--json"]
    for tree, path in zip((other, HERE), plans, strict=True):
        done = subprocess.run(planned, check=True, capture_output=True, env=_environment(tree))  # noqa: S603 - our own
        path.write_bytes(done.stdout)
    yield "check, its plan", *(["check", str(path)] for path in plans)


if __name__ == "__main__":
    sys.exit(main())
