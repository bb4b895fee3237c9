"""How long each command that searches runs on beyond its time limit: ``python benchmarks/time_kept.py``.

Every scenario of scenarios/ and jobs that were made to be hard meet every command that takes ``--time-limit``, each
in a fork that has loaded all. What is counted begins when the file has been read, and is the processor's time, by which
the program's own clock goes too: so other work on the machine changes nothing. ``compare``, which works in several
processes, is left out.
"""

from __future__ import annotations

import argparse
import os
import re
import resource
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from importlib import import_module
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from typing import Final, NamedTuple

from tabulate import tabulate

from cutplan.contract.read_contract import read_contract
from cutplan.errors import CutplanError
from cutplan.page.asked import Asked
from cutplan.page.desk import TIME_LIMIT, Desk
from cutplan.page.parts_part import ROOMS, all_content
from cutplan.page.rolls_part import BUYING, FITTING, buy_content, where_it_fits
from cutplan.parts.part import PartedJob
from cutplan.parts.read_parts import read_job
from cutplan.solve import clock
from hard_to_break import PAPER, SCENARIOS, Forked
from provenance import commit, provenance

SEARCHES: Final = {
    "plan": "plan {file}",
    "plan --json": "plan {file} --json",
    "buy": "buy {file}",
    "sheet": "sheet {file} -o out.html --force",
    "draw --what table": "draw {file} --what table",
    "fit": "fit {file} --length 3m --first-motif 200mm",
    "begin": "begin {file}",
    "replan": "replan {file} --only-answer",
    "contract": "contract {file}",
}
"""Each command that takes ``--time-limit``; those of a record begin one."""

OF_PAGE: Final[dict[str, tuple[float, Callable[[Desk], object]]]] = {
    "the page's plan": (TIME_LIMIT, lambda desk: desk.planned()),
    "what it buys": (BUYING, buy_content),
    "where an offcut fits": (
        FITTING,
        lambda desk: where_it_fits(desk, Asked({"length": "3m", "first_motif": "200mm"})),
    ),
    "all rooms of a contract": (ROOMS, all_content),
}
"""What the page works out by a limit of its own, in seconds."""

MOST: Final = 150.0
"""Seconds after which a command is ended."""

ALLOWED_SECONDS, ALLOWED_PART = 0.5, 0.1
"""What may be run over: so much, or a part of the limit, whichever is more."""

FOR_EACH_PIECE: Final = 0.002
"""Seconds besides for each piece, for what is set out and written of it."""

PRINT: Final = 640


def drops(number: int, repeat: str = "640 mm", seed: int = 1) -> str:
    """Return a scenario of drops that each have a length and a first motif of their own."""
    chance = Random(seed)  # noqa: S311 - sizes
    paper = PAPER.replace("64/32 cm", repeat)
    return paper + "".join(
        f'[[drop]]\nlabel = "{place}"\nheight = {chance.randrange(1_000_000, 3_000_000) / 1000}\n'
        f"first_motif = {chance.randrange(0, 640_000 if repeat == '640 mm' else 1000) / 1000}\n"
        for place in range(1, number + 1)
    )


def hard_jobs() -> dict[str, str]:
    """Return jobs that were made to be hard, by name."""
    parlour = (SCENARIOS / "parlour.toml").read_text(encoding="utf-8")
    rolls = "".join(
        f'[[roll]]\nlabel = "R{place}"\nlength = {9000 + 13 * place}\nfirst_motif = {place * 7 % PRINT}\n'
        for place in range(60)
    )
    batches = "".join(f'[[roll]]\nlabel = "B{place}"\ncount = 9\nbatch = "{place}"\n' for place in range(12))
    pace = '[pace]\npasted = "paper"\nsoak = 7\n'
    return {
        "20 drops, repeat of 1 mm": drops(20, "1 mm"),
        "600 drops all different": drops(600),
        "1 000 drops all different": drops(1000),
        "5 000 drops all different": drops(5000),
        "20 000 drops all different": drops(20_000),
        "a parlour in paper 0.53 mm wide": re.sub(r"(?m)^roll_width = .*$", 'roll_width = "0.53 mm"', parlour).replace(
            "motif_from_left = 260", "motif_from_left = 0.1"
        ),
        "300 drops all different, free match": drops(300).replace('"640 mm"', '"free"').replace("first_motif", "#"),
        "120 drops, 60 measured rolls": drops(120) + rolls,
        "100 drops, 12 batches": drops(100) + batches,
        "80 drops by the clock": drops(80) + pace,
        "2 000 drops by the clock": drops(2000) + pace,
        "200 drops, 5 rolls": drops(200) + '[[roll]]\nlabel = "A"\ncount = 5\n',
    }


class Job(NamedTuple):
    """A file, what it is called, and how many pieces are cut for it."""

    name: str
    file: str
    pieces: int
    reading: float


class Run(NamedTuple):
    """How a command ended: seconds beyond the limit and the reading, its status and last words."""

    command: str
    job: Job
    limit: float
    over: float
    status: int
    words: str

    @property
    def is_late(self) -> bool:
        """Return True when it ran on for longer than it may."""
        allowed = max(ALLOWED_SECONDS, ALLOWED_PART * self.limit) + FOR_EACH_PIECE * self.job.pieces
        return self.over > allowed or self.status not in {0, 2, 3}


def jobs_in(folder: Path) -> Iterator[Job]:
    """Put the scenarios into a folder, and yield those that can be read."""
    shutil.copytree(SCENARIOS, folder, dirs_exist_ok=True)
    for place, text in enumerate(hard_jobs().values()):
        (folder / f"hard-{place}.toml").write_text(text, encoding="utf-8")
    called = {f"hard-{place}.toml": name for place, name in enumerate(hard_jobs())}
    os.chdir(folder)
    for path in sorted(Path().rglob("*.toml"), key=lambda path: (path.name not in called, path)):
        since = time.process_time()
        pieces = _pieces(str(path))
        yield Job(called.get(path.name, str(path)), str(path), pieces, time.process_time() - since)


def _pieces(file: str) -> int:
    """Return how many pieces are cut for what a file holds, a room, several parts or a contract; 0 for nothing."""
    try:
        if file.endswith("contract.toml"):
            return sum(kind.count * kind.scenario.job.drop_count for kind in read_contract(file).kinds)
        found = read_job(file)
    except CutplanError:
        return 0
    scenarios = [part.scenario for part in found.parts] if isinstance(found, PartedJob) else [found]
    return sum(scenario.job.drop_count for scenario in scenarios)


def run(command: str, job: Job, limit: float, folder: Path) -> Run:
    """Run a command with a time limit."""
    words = f"{SEARCHES[command].format(file=job.file)} --time-limit {limit}"
    for old in folder.rglob("*.record*"):
        old.unlink()
    if command == "replan":
        Forked(f"begin {job.file} --time-limit {limit}", folder).communicate(MOST)
    before = _busy()
    process = Forked(words, folder)
    try:
        out, err = process.communicate(MOST)
    except subprocess.TimeoutExpired:
        process.kill()
        out, err = process.communicate()
        process.returncode = -9
    spent = _busy() - before
    last = ([line for line in (err or out).splitlines() if line.strip()] or [""])[-1]
    return Run(command, job, limit, spent - limit - job.reading, process.returncode, last)


def run_of_page(what: str, job: Job) -> Run:
    """Let the page work out something by its own limit."""
    limit, work = OF_PAGE[what]
    before = _busy()
    child = os.fork()
    if not child:
        try:
            work(Desk(Path(job.file)))
        except CutplanError:
            os._exit(3)
        except BaseException:  # noqa: BLE001 - no fork may go on with the rest
            os._exit(1)
        os._exit(0)
    status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    return Run(what, job, limit, _busy() - before - limit - job.reading, status, "")


class _Processor:
    """Stands for the module ``time`` where the program looks at the clock."""

    monotonic = staticmethod(time.process_time)


def _busy() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def table(runs: list[Run]) -> str:
    """Return what ran over the most, by command and job."""
    rows = [
        (each.command, each.job.name, each.job.pieces, f"{each.limit:g}", f"{each.over:.2f}", each.status)
        for each in sorted(runs, key=lambda each: -each.over)
    ]
    heads = ("command", "job", "pieces", "limit, s", "over, s", "status")
    return tabulate(rows, heads, tablefmt="pipe", disable_numparse=True)


def asked_for(given: argparse.Namespace, *, is_contract: bool) -> Iterator[tuple[str, float]]:
    """Yield what a job is given to, and with which limit; a contract what is about contracts, and nothing else."""
    limits = {what: [limit] for what, (limit, _) in OF_PAGE.items()} if given.page else None
    for what, each in (limits or dict.fromkeys(given.commands, given.limits)).items():
        if ("contract" in what) == is_contract:
            yield from ((what, limit) for limit in each)


def main() -> int:
    """Run what was asked for, print the table, and return 1 when something ran on for longer than it may."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n\n")[0])
    parser.add_argument("--limits", type=float, nargs="+", default=[1.0, 0.3], help="seconds (default: 1 and 0.3)")
    parser.add_argument("--commands", nargs="+", choices=SEARCHES, default=list(SEARCHES), help="these alone")
    parser.add_argument("--page", action="store_true", help="what the page works out, by its own limits, instead")
    parser.add_argument("--jobs", default="", help="only jobs whose name matches")
    parser.add_argument("--seconds", type=float, default=36_000, help="of all (default: %(default)s)")
    given = parser.parse_args()
    os.environ.setdefault("COLUMNS", "80")
    begun, until = commit(), time.monotonic() + given.seconds
    import_module("cutplan.cli.all_commands")
    setattr(clock, "time", _Processor)  # noqa: B010 - not its own name
    runs: list[Run] = []
    with TemporaryDirectory() as name:
        folder = Path(name)
        for job in [job for job in jobs_in(folder) if re.search(given.jobs, job.name)]:
            is_contract = job.file.endswith("contract.toml")
            for what, limit in asked_for(given, is_contract=is_contract):
                if time.monotonic() > until:
                    break
                runs.append(run_of_page(what, job) if given.page else run(what, job, limit, folder))
                each = runs[-1]
                verdict = "LATE" if each.is_late else "ok"
                print(
                    f"{verdict:5}{each.over:7.2f} {each.limit:g} {each.command}: {job.name} ({job.pieces})"
                    f" [{each.status}] {each.words[:90]}",
                    flush=True,
                )
    late = [each for each in runs if each.is_late]
    print(f"\n{len(runs)} runs, {len(late)} late\n\n{table(late or runs[:0])}\n\n{provenance(begun, (), None)}")
    return 1 if late else 0


if __name__ == "__main__":
    sys.exit(main())
