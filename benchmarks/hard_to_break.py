"""Try to break cutplan, and count what did not hold: ``python benchmarks/hard_to_break.py``.

Scenarios spoilt at random are read and planned; every command is interrupted, ended and killed at random moments; every
stream is closed or full. Whatever does not end as it should is printed, and ends the run with exit status 1. The table
is written into README.md.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import signal
import subprocess
import sys
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Final

from cutplan.errors import NoPlanError, ScenarioError
from cutplan.plain_text import steers
from cutplan.render.pages.plan_page import plan_page
from cutplan.scenario.read import parse_scenario
from cutplan.solve import solve
from cutplan.table.sequence import sequence_of
from provenance import commit, provenance
from record_kill import kill_commands, kill_writers

if TYPE_CHECKING:
    from collections.abc import Iterator

README: Final = Path(__file__).with_name("README.md")
SCENARIOS: Final = Path(__file__).parent.parent / "scenarios"

NASTY: Final = (
    *("0", "-1", "1e-30", "1e400", "nan", "inf", "95.000000000000001", "9" * 25, "1_000_000_000_000", "true"),
    *('""', '" "', '"1\\n2"', '"\\u001b[31mred"', '"\\u202e21"', '"0.000001 mm"', '"1/0 in"', '"1 km"', '"½ in"'),
    *(
        "[]",
        "{}",
        "[[[]]]",
        "[[0, 1], [2]]",
        "1979-05-27",
        '"' + "x" * 5000 + '"',
        '"64/32 cm"',
        '"free"',
        "{a = {b = 1}}",
    ),
)
"""Values that a key may be given by mistake or in malice."""

LINES: Final = (
    '"\\u001b[2J" = 1',
    "[drop]",
    "[[paper]]",
    "[[wall]]",
    "x = " + "[" * 600 + "]" * 600,
    "colour\u202e = 3",
    "= 4",
    '"""',
    "\x1b[31m",
    "units = 'ell'",
)
"""Lines that have no place in a scenario."""

PIECES_PLANNED: Final = 200
"""A spoilt scenario that can still be read is planned when it has no more pieces."""

BROKEN: Final = ("Traceback", "internal fault", "Exception ignored", "Fatal Python", "Segmentation")
"""What must never be on a screen."""


@dataclass
class Tally:
    """What was tried and what of it did not hold."""

    tried: Counter[str] = field(default_factory=Counter)
    broken: list[tuple[str, str]] = field(default_factory=list)

    def count(self, what: str, fault: str | None) -> None:
        """Count one attempt, and keep its fault when there is one."""
        self.tried[what] += 1
        if fault is not None:
            self.broken.append((what, fault))
            print(f"{what}: {fault}", file=sys.stderr, flush=True)

    def table(self) -> str:
        """Return the table of README.md."""
        failed = Counter(what for what, _ in self.broken)
        lines = ["| what was tried | times | did not hold |", "|:--|--:|--:|"]
        lines += [f"| {what} | {times} | {failed[what]} |" for what, times in self.tried.items()]
        return "\n".join(lines)


# Spoilt scenarios


def spoilt(text: str, chance: Random) -> str:
    """Return a scenario with one to four mistakes in it."""
    lines = text.splitlines()
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(len(lines))
        key, equals, _ = lines[at].partition("=")
        match chance.randrange(6):
            case 0 | 1 if equals:
                lines[at] = f"{key}= {chance.choice(NASTY)}"
            case 2:
                del lines[at : at + chance.randint(1, 3)]
                lines = lines or [""]
            case 3:
                lines.insert(at, chance.choice((*LINES, lines[at])))
            case 4 if equals and len(key) > 1:
                place = chance.randrange(len(key))
                lines[at] = f"{key[:place]}{key[place + 1 :]}={lines[at].partition('=')[2]}"
            case _:
                place = chance.randrange(len(lines[at]) + 1)
                lines[at] = lines[at][:place] + chance.choice("\"[]{}=#,.'0\x00\x9b\u2028é") + lines[at][place:]
    return "\n".join(lines) + "\n"


def fault_of_scenario(text: str) -> str | None:
    """Read a scenario, plan it if it can be read, and return what went wrong that should not; None when nothing did."""
    try:
        scenario = parse_scenario(text, "spoilt.toml")
        if scenario.job.drop_count > PIECES_PLANNED:
            return None
        plan = solve(scenario.job, time_limit=1.0)
        shown = plan_page(sequence_of(plan), scenario.notes, scenario.units, scenario.setting_out, scenario.pace)
        lines = shown.split("\n")
    except ScenarioError as error:
        lines = error.lines()
    except NoPlanError as error:
        lines = str(error).split("\n")
    except Exception as error:  # noqa: BLE001 - whatever it is, it should not be
        return f"{type(error).__name__}: {str(error)[:200]} by\n{text}"
    steering = [line for line in lines if steers(line)]
    return f"a screen is steered by {steering[0]!r} from\n{text}" if steering else None


def spoil_scenarios(tally: Tally, times: int, chance: Random) -> None:
    """Read as many spoilt scenarios as asked for."""
    texts = [path.read_text(encoding="utf-8") for path in sorted(SCENARIOS.glob("*.toml"))]
    for _ in range(times):
        tally.count(
            "spoilt scenarios read, and planned where they could be",
            fault_of_scenario(spoilt(chance.choice(texts), chance)),
        )


# Commands that are interrupted

COMMANDS: Final = {
    "plan": "plan room.toml -o out.txt --force",
    "plan --json": "plan wall.toml --json -o out.json",
    "buy": "buy wall.toml",
    "compare": "compare room.toml",
    "check": "check plan.json",
    "draw": "draw room.toml -o out.svg",
    "sheet": "sheet room.toml -o out.html",
    "sheet --customer": "sheet room.toml --customer -o page.html",
    "fit": "fit wall.toml --length 3m --first-motif 200",
    "quantity": "quantity --height 2400 --around 16m --match 64cm",
    "new": "new new.toml",
    "begin": "begin fresh.toml",
    "done": "done begun.toml 2",
    "status": "status begun.toml",
    "replan": "replan begun.toml",
    "--help": "--help",
}
"""Each command, as it is tried in a folder of :func:`prepare`."""


def program(words: str) -> list[str]:
    """Return how a command is run."""
    return [sys.executable, "-m", "cutplan", *words.split()]


def prepare(folder: Path) -> None:
    """Put the scenarios, a plan and a record into a folder."""
    for name, source in (
        ("room", "parlour"),
        ("wall", "feature-wall"),
        ("fresh", "feature-wall"),
        ("begun", "third-drop-room"),
    ):
        shutil.copy(SCENARIOS / f"{source}.toml", folder / f"{name}.toml")
    for words in ("plan wall.toml --json -o plan.json", "begin begun.toml", "done begun.toml 1"):
        subprocess.run(program(words), cwd=folder, check=True, capture_output=True)  # noqa: S603 - our own program


def stopped(words: str, folder: Path, number: int, after: float) -> str | None:
    """Run a command, send it a signal after a while, and return what did not hold; None when all did."""
    for name in ("fresh.record.jsonl", "fresh.record.end", "new.toml"):
        (folder / name).unlink(missing_ok=True)
    process = subprocess.Popen(  # noqa: S603 - our own program
        program(words),
        cwd=folder,
        stdin=subprocess.PIPE if words.startswith("new") else subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    time.sleep(after)
    process.send_signal(number)
    try:
        _, err = process.communicate(timeout=60)
    except subprocess.TimeoutExpired:
        process.kill()
        process.communicate()
        return f"{words}: ran on for a minute after signal {number}"
    if "cutplan/" not in err and "cutplan:" not in err and process.returncode in (1, -number):
        return None  # Python had not come to our first line yet.
    allowed = {0, 3, 130} if number == signal.SIGINT else {0, 3, -number}
    if words.startswith("new"):  # its answers end too soon
        allowed.add(2)
    if process.returncode not in allowed:
        return f"{words}: status {process.returncode} after {after:.3f} s, signal {number}: {err[-300:]}"
    if any(sign in err for sign in BROKEN):
        return f"{words}: after {after:.3f} s, signal {number}: {err[-600:]}"
    return half_written(folder)


def half_written(folder: Path) -> str | None:
    """Return what is left half written in a folder; None when nothing is."""
    for path in folder.iterdir():
        if path.name.endswith(".part"):
            path.unlink()
            return f"{path.name} was left behind"
        content = path.read_text(encoding="utf-8") if path.name.startswith("out") else ""
        if content and not re.search(r"(cutplan-[a-z-]+/1 [0-9a-f]{16}.*|\})\n$", content):
            return f"{path.name} is not whole"
    return None


def seconds_of(words: str, folder: Path) -> float:
    """Return how long a command takes."""
    began = time.monotonic()
    subprocess.run(program(words), cwd=folder, check=False, capture_output=True, input=b"")  # noqa: S603 - our own program
    return time.monotonic() - began


def stop_commands(tally: Tally, times: int, chance: Random, folder: Path, only: str | None = None) -> None:
    """Interrupt each command, and end it otherwise, at random moments."""
    prepare(folder)
    others = [signal.SIGTERM, signal.SIGHUP, signal.SIGUSR1, signal.SIGQUIT, signal.SIGALRM]
    for name, words in COMMANDS.items():
        if not times or (only is not None and name != only):
            continue
        whole = seconds_of(words, folder)
        for _ in range(times):
            tally.count(
                f"Ctrl-C during `cutplan {name}`", stopped(words, folder, signal.SIGINT, chance.uniform(0, whole))
            )
        for number in others:
            for _ in range(max(1, times // 50)):
                fault = stopped(words, folder, number, chance.uniform(0, whole))
                tally.count("other signals during any command", fault)


# Streams that are closed or full

STREAMS: Final = {
    ">&-": "1",
    ">/dev/full": "1",
    "2>&-": "2",
    "2>/dev/full": "2",
    "<&-": "0",
    ">&- 2>&-": "12",
    ">/dev/full 2>&-": "12",
    "<&- >&- 2>&-": "012",
}
"""What a shell may do to a program's streams, and which of them are then of no use."""


def fault_of_streams(words: str, streams: str, folder: Path) -> str | None:
    """Run a command with streams that are closed or full, and return what did not hold; None when all did."""
    (folder / "fresh.record.jsonl").unlink(missing_ok=True)
    (folder / "fresh.record.end").unlink(missing_ok=True)
    (folder / "new.toml").unlink(missing_ok=True)
    command = " ".join(program(words)) + f" {streams}"
    done = subprocess.run(command, shell=True, cwd=folder, check=False, capture_output=True, text=True, timeout=120)  # noqa: S602 - our own program
    said = done.stdout + done.stderr
    if any(sign in said for sign in BROKEN) or done.returncode not in (0, 2, 3):
        return f"{words} {streams}: status {done.returncode}: {said[-400:]}"
    prints = " -o " not in words and not words.startswith("new")
    if "1" in STREAMS[streams] and prints and done.returncode != 2:  # noqa: PLR2004 - wrong usage
        return f"{words} {streams}: status {done.returncode} though nobody could read its answer"
    if "1" in STREAMS[streams] and prints and "2" not in STREAMS[streams] and len(done.stderr.splitlines()) < 1:
        return f"{words} {streams}: not a word of it"
    return half_written(folder)


def close_streams(tally: Tally, folder: Path) -> None:
    """Run every command with every stream closed or full."""
    for words in COMMANDS.values():
        for streams in STREAMS:
            tally.count("streams closed or full, of every command", fault_of_streams(words, streams, folder))


def kill_recorders(tally: Tally, times: int, chance: Random, folder: Path) -> None:
    """Kill what records, and look for entries lost, made up or unreadable."""
    found = kill_writers(times - times // 2, chance, folder) + kill_commands(times // 2, chance, folder)
    wrong = {what: found[what] for what in ("lost", "untrue", "unreadable") if found[what]}
    for _ in range(found["killed"] - 1):
        tally.count("kills of what records", None)
    tally.count("kills of what records", str(wrong) if wrong else None)


def _moments(given: argparse.Namespace) -> Iterator[Tally]:
    chance = Random(given.seed)  # noqa: S311 - moments and mistakes
    tally = Tally()
    with TemporaryDirectory() as name:
        folder = Path(name)
        spoil_scenarios(tally, given.scenarios, chance)
        yield tally
        stop_commands(tally, given.interrupts, chance, folder, given.only)
        yield tally
        close_streams(tally, folder)
        yield tally
    with TemporaryDirectory() as name:
        kill_recorders(tally, given.kills, chance, Path(name))
        yield tally


def main() -> int:
    """Try everything, print the table, and return the exit status."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n\n")[0])
    parser.add_argument("--scenarios", type=int, default=10_000, help="spoilt scenarios (default: %(default)s)")
    parser.add_argument("--interrupts", type=int, default=200, help="of each command (default: %(default)s)")
    parser.add_argument("--kills", type=int, default=500, help="of what records (default: %(default)s)")
    parser.add_argument("--seed", type=int, default=1, help="of mistakes and moments (default: %(default)s)")
    parser.add_argument("--only", choices=COMMANDS, help="interrupt this command alone")
    parser.add_argument("--dry-run", action="store_true", help="print the table, and leave README.md as it is")
    given = parser.parse_args()
    os.environ.setdefault("COLUMNS", "80")
    begun = commit()
    *_, tally = _moments(given)
    text = f"{tally.table()}\n\n{provenance(begun, (), None)} Seed {given.seed}."
    print(text)
    if not given.dry_run:
        old = README.read_text(encoding="utf-8")
        place = re.compile(r"(<!-- hard-to-break: begin -->\n).*(<!-- hard-to-break: end -->)", re.DOTALL)
        README.write_text(place.sub(lambda found: f"{found[1]}{text}\n{found[2]}", old), encoding="utf-8")
    return 1 if tally.broken else 0


if __name__ == "__main__":
    sys.exit(main())
