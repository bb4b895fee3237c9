"""Try to break cutplan, and count what did not hold: ``python benchmarks/hard_to_break.py``.

Scenarios spoilt at random are read and planned; every command is interrupted, ended and killed at random moments; every
stream is closed or full; files have impossible names. Whatever does not end as it should is printed, and ends the run
with exit status 1. The table is written into README.md.
"""

from __future__ import annotations

import argparse
import json
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
from typing import Final

from cutplan.errors import NoPlanError, ScenarioError
from cutplan.plain_text import steers
from cutplan.render.pages.plan_page import plan_page
from cutplan.scenario.read import parse_scenario
from cutplan.solve import solve
from cutplan.table.sequence import sequence_of
from provenance import commit, provenance
from record_kill import kill_commands, kill_writers

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

BROKEN: Final = ("Traceback", "internal fault (", "Exception ignored", "Fatal Python", "Segmentation")
"""What must never be on a screen."""


@dataclass
class Tally:
    """What was tried and what of it did not hold."""

    tried: Counter[str] = field(default_factory=Counter)
    broken: list[tuple[str, str]] = field(default_factory=list)
    until: float = float("inf")

    def begin(self, seconds: float) -> None:
        """Begin a part, which makes no more attempts once it has had so many seconds."""
        self.until = time.monotonic() + seconds

    def is_over(self) -> bool:
        """Return True when the part has had its time."""
        return time.monotonic() > self.until

    def count(self, what: str, fault: str | None) -> None:
        """Count one attempt, and keep its fault when there is one."""
        self.tried[what] += 1
        if fault is not None:
            self.broken.append((what, fault))
            print(f"{what}: {fault}", file=sys.stderr, flush=True)

    def add_to(self, path: Path) -> None:
        """Add what a file has kept of other runs, and keep the sum there."""
        if path.exists():
            kept = json.loads(path.read_text(encoding="utf-8"))
            self.tried = Counter(kept["tried"]) + self.tried
            self.broken = [(what, fault) for what, fault in kept["broken"]] + self.broken
        path.write_text(json.dumps({"tried": self.tried, "broken": self.broken}, indent=1) + "\n", encoding="utf-8")

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


def fault_of_scenario(text: str) -> tuple[str, str | None]:
    """Read a scenario, plan it if it can be read, and return what became of it and what should not have."""
    became = "refused"
    try:
        scenario = parse_scenario(text, "spoilt.toml")
        became = "read, too large to plan here"
        if scenario.job.drop_count > PIECES_PLANNED:
            return became, None
        became = "read and planned"
        plan = solve(scenario.job, time_limit=1.0)
        shown = plan_page(sequence_of(plan), scenario.notes, scenario.units, scenario.setting_out, scenario.pace)
        lines = shown.split("\n")
    except ScenarioError as error:
        lines = error.lines()
    except NoPlanError as error:
        lines = str(error).split("\n")
    except Exception as error:  # noqa: BLE001 - whatever it is, it should not be
        return became, f"{type(error).__name__}: {str(error)[:200]} by\n{text}"
    steering = [line for line in lines if steers(line)]
    return became, f"a screen is steered by {steering[0]!r} from\n{text}" if steering else None


def spoil_scenarios(tally: Tally, times: int, chance: Random) -> None:
    """Read as many spoilt scenarios as asked for."""
    texts = [path.read_text(encoding="utf-8") for path in sorted(SCENARIOS.glob("*.toml"))]
    for _ in range(times):
        if tally.is_over():
            break
        became, fault = fault_of_scenario(spoilt(chance.choice(texts), chance))
        tally.count(f"spoilt scenarios {became}", fault)


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


OTHERS: Final = (signal.SIGTERM, signal.SIGHUP, signal.SIGUSR1, signal.SIGQUIT, signal.SIGALRM)
"""Signals other than Ctrl-C that end a program."""

OTHER_SIGNALS_EVERY: Final = 10
"""One of them is sent after so many of Ctrl-C."""


def program(words: str) -> list[str]:
    """Return how a command is run."""
    return [sys.executable, "-m", "cutplan", *words.split()]


BEGUN: Final = "begun"
"""Folder of the record as it is before each command."""


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
    (folder / BEGUN).mkdir(exist_ok=True)
    for record in folder.glob("begun.record*"):
        shutil.copy(record, folder / BEGUN)


def stopped(words: str, folder: Path, number: int, after: float) -> str | None:
    """Run a command, send it a signal after a while, and return what did not hold; None when all did."""
    for name in ("fresh.record.jsonl", "fresh.record.end", "new.toml"):
        (folder / name).unlink(missing_ok=True)
    for record in (folder / BEGUN).iterdir():  # or a step that a stopped command did record would be done twice
        shutil.copy(record, folder)
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
    """Interrupt each command, and end it otherwise, at random moments; all of them in turn, for time may run out."""
    commands = {name: words for name, words in COMMANDS.items() if only in (None, name)}
    whole: dict[str, float] = {}
    for turn in range(times):
        for name, words in commands.items():
            if tally.is_over():
                return
            if words not in whole:
                whole[words] = seconds_of(words, folder)
            fault = stopped(words, folder, signal.SIGINT, chance.uniform(0, whole[words]))
            tally.count(f"Ctrl-C during `cutplan {name}`", fault)
            if turn % OTHER_SIGNALS_EVERY == 0:
                fault = stopped(words, folder, chance.choice(OTHERS), chance.uniform(0, whole[words]))
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


NO_NAMES: Final = (
    "x" * 300 + ".toml",
    "x/" * 3000 + "y.toml",
    "nowhere/room.toml",
    "room.toml/y.toml",
    ".",
    "a\x1b[31mb",
)
"""What no file that is there can be called."""


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
            if tally.is_over():
                return
            tally.count("streams closed or full, of every command", fault_of_streams(words, streams, folder))


def name_files(tally: Tally, folder: Path) -> None:
    """Give every command a name for its first file, and for what it writes, that no file can have."""
    for words in COMMANDS.values():
        for name in NO_NAMES:
            wrong = re.sub(r"[a-z]+\.(toml|json)|(?<=-o )\S+", name, words, count=1)
            if wrong != words and not tally.is_over():
                tally.count("files with impossible names", fault_of_name(wrong, folder))


def fault_of_name(words: str, folder: Path) -> str | None:
    """Run a command on a file that cannot be, and return what did not hold."""
    done = subprocess.run(program(words), cwd=folder, check=False, capture_output=True, text=True, input="")  # noqa: S603 - our own program
    told = done.stderr.splitlines()
    if any(sign in done.stderr for sign in BROKEN) or done.returncode != 2 or not told:  # noqa: PLR2004 - wrong usage
        return f"{words[:60]}: status {done.returncode}: {done.stderr[-400:]}"
    return half_written(folder)


def kill_recorders(tally: Tally, times: int, chance: Random, folder: Path) -> None:
    """Kill what records, and look for entries lost, made up or unreadable."""
    for kill in (kill_writers, kill_commands):
        for _ in range(max(1, times // 2 // KILLS_AT_A_TIME)):
            if tally.is_over():
                break
            with TemporaryDirectory(dir=folder) as fresh:
                found = kill(min(KILLS_AT_A_TIME, times // 2), chance, Path(fresh))
            wrong = {what: found[what] for what in ("lost", "untrue", "unreadable") if found[what]}
            what = "kills of a program that records" if kill is kill_writers else "kills of `cutplan done`"
            tally.tried[what] += found["killed"] - 1
            tally.count(what, str(wrong) if wrong else None)


KILLS_AT_A_TIME: Final = 10
"""After so many kills a new record is begun."""


def try_everything(given: argparse.Namespace) -> Tally:
    """Return what was tried, each part within its time."""
    chance = Random(given.seed)  # noqa: S311 - moments and mistakes
    tally = Tally()
    with TemporaryDirectory() as name:
        folder = Path(name)
        parts = {
            "scenarios": lambda: spoil_scenarios(tally, given.scenarios, chance),
            "interrupts": lambda: stop_commands(tally, given.interrupts, chance, folder, given.only),
            "streams": lambda: close_streams(tally, folder),
            "names": lambda: name_files(tally, folder),
            "kills": lambda: kill_recorders(tally, given.kills, chance, folder),
        }
        prepare(folder)
        for part in given.parts or parts:
            tally.begin(given.seconds)
            parts[part]()
    return tally


PARTS: Final = ("scenarios", "interrupts", "streams", "names", "kills")


def main() -> int:
    """Try everything, print the table, and return the exit status."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n\n")[0])
    parser.add_argument("--scenarios", type=int, default=10_000, help="spoilt scenarios (default: %(default)s)")
    parser.add_argument("--interrupts", type=int, default=200, help="of each command (default: %(default)s)")
    parser.add_argument("--kills", type=int, default=500, help="of what records (default: %(default)s)")
    parser.add_argument("--seconds", type=float, default=36_000, help="for each part (default: %(default)s)")
    parser.add_argument("--seed", type=int, default=1, help="of mistakes and moments (default: %(default)s)")
    parser.add_argument("--only", choices=COMMANDS, help="interrupt this command alone")
    parser.add_argument("--parts", nargs="+", choices=PARTS, help="try these alone")
    parser.add_argument("--add-to", type=Path, metavar="FILE", help="add up runs that are made a part at a time")
    parser.add_argument("--dry-run", action="store_true", help="print the table, and leave README.md as it is")
    given = parser.parse_args()
    os.environ.setdefault("COLUMNS", "80")
    begun = commit()
    tally = try_everything(given)
    is_broken = bool(tally.broken)
    if given.add_to is not None:
        tally.add_to(given.add_to)
    text = f"{tally.table()}\n\n{provenance(begun, (), None)} Seed {given.seed}."
    print(text)
    if not given.dry_run:
        old = README.read_text(encoding="utf-8")
        place = re.compile(r"(<!-- hard-to-break: begin -->\n).*(<!-- hard-to-break: end -->)", re.DOTALL)
        README.write_text(place.sub(lambda found: f"{found[1]}{text}\n{found[2]}", old), encoding="utf-8")
    return 1 if is_broken else 0


if __name__ == "__main__":
    sys.exit(main())
