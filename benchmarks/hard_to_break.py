"""Try to break cutplan, and count what did not hold: ``python benchmarks/hard_to_break.py``.

Scenarios spoilt at random are read and planned; faults are planted in plans and in a record, and judged; every command
is interrupted, ended and killed at random moments; every stream is closed or full; files have impossible names.
Whatever does not end as it should is printed, and ends the run with exit status 1. The table is written into README.md.
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
from functools import partial
from importlib import import_module
from itertools import islice, product
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory, TemporaryFile
from typing import Final

from msgspec import Struct, field

from cutplan import interruption
from cutplan.cli import main as main_of_cli
from cutplan.errors import NoPlanError
from cutplan.faults import ScenarioError
from cutplan.plain_text import steers
from cutplan.progress.record import RecordError, read_record
from cutplan.render.pages.plan_page import plan_page
from cutplan.scenario.read import parse_scenario
from cutplan.solve import solve
from cutplan.table.sequence import sequence_of
from planted_faults import FAULTS, RECORD, documents, drawn_evenly, faults_of, planted, reason_of, recorded
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

SWALLOWED: Final = re.compile(
    r"Exception ignored in: <function _get_module_lock.*\nTraceback .*\n(?: (?!.*cutplan/).*\n)+KeyboardInterrupt: ?\n"
)
"""What Python says of a Ctrl-C that it dropped in its import lock; cutplan itself raises none there."""

BROKEN: Final = ("Traceback", "internal fault (", "Exception ignored", "Fatal Python", "Segmentation")
"""What must never be on a screen."""


class Tally(Struct):
    """What was tried, what of it did not hold, and how many seconds each command takes."""

    tried: Counter[str] = field(default_factory=Counter)
    broken: list[tuple[str, str]] = field(default_factory=list)
    seconds: dict[str, float] = field(default_factory=dict)
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

    def take_up(self, path: Path) -> None:
        """Go on from what a file has kept of other runs."""
        if path.exists():
            kept = json.loads(path.read_text(encoding="utf-8"))
            self.tried, self.seconds = Counter(kept["tried"]), kept["seconds"]
            self.broken = [(what, fault) for what, fault in kept["broken"]]

    def keep(self, path: Path) -> None:
        """Keep all that was tried, and how long each command takes."""
        kept = {"tried": self.tried, "broken": self.broken, "seconds": self.seconds}
        path.write_text(json.dumps(kept, indent=1) + "\n", encoding="utf-8")

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


def plant_faults(tally: Tally, times: int, chance: Random) -> None:
    """Judge plans and a record with a fault in each: none may pass that is not true still, or named as on trust."""
    plans = dict(documents())
    every = [(name, fault) for name, document in plans.items() for fault in faults_of(document)]
    with TemporaryDirectory() as folder:
        record = recorded(Path(folder))
        plans[RECORD] = record.document()
        every += [(RECORD, fault) for fault in record.faults()]
        for name, fault, told in planted(plans, drawn_evenly(every, times, chance), record):
            if tally.is_over():
                break
            became = "refused" if told is None else "true still, or named as taken on trust"
            is_missed = told is not None and reason_of(name, fault) is None
            tally.count(f"planted faults {became}", f"{name}: {fault.path} {fault.change}" if is_missed else None)


# Commands that are interrupted

COMMANDS: Final = {
    "plan": "plan room.toml -o out.txt --force",
    "plan of bands and a lining": "plan banded.toml",
    "plan of too few rolls": "plan few.toml",
    "plan --json": "plan wall.toml --json -o out.json --force",
    "buy": "buy wall.toml",
    "compare": "compare room.toml",
    "contract": "contract contract.toml",
    "check": "check plan.json",
    "check of a record": "check begun.record.jsonl",
    "draw": "draw room.toml -o out.svg --force",
    "sheet": "sheet room.toml -o out.html --force",
    "sheet --customer": "sheet room.toml --customer -o outside.html --force",
    "fit": "fit wall.toml --length 3m --first-motif 200",
    "quantity": "quantity --height 2400 --around 16m --match 64cm",
    "new": "new new.toml",
    "page": "page wall.toml --no-open",
    "begin": "begin fresh.toml",
    "done": "done begun.toml 4",
    "cut": "cut begun.toml 1 2450mm",
    "pasted": "pasted begun.toml 1",
    "hung": "hung begun.toml 1",
    "spoiled": "spoiled begun.toml 1 --why torn",
    "measured": "measured begun.toml A-1 7m",
    "flaw": "flaw begun.toml A-1 100mm --at 1m",
    "bought": "bought begun.toml 2",
    "corrected": "corrected altered.toml",
    "stop": "stop begun.toml",
    "resume": "resume begun.toml --by Ann",
    "undo": "undo begun.toml",
    "status": "status begun.toml",
    "replan": "replan begun.toml",
    "--help": "--help",
}
"""Each command, as it is tried in a folder of :func:`prepare`."""

PAPER: Final = 'units = "mm"\n[paper]\nroll_length = "10.05 m"\nroll_width = 530\nmatch = "64/32 cm"\n'
DROPS: Final = '[[roll]]\nlabel = "A"\ncount = 4\n[[drop]]\nlabel = "1"\nheight = 2400\nfirst_motif = 95\n'
TEXTS: Final = {
    "wall": PAPER + DROPS + '[[drop]]\nlabel = "2"\nheight = 2400\nfirst_motif = 415\ncount = 5\n',
    "few": PAPER + DROPS.replace("= 4", "= 1") + '[[drop]]\nlabel = "2"\nheight = 2400\nfirst_motif = 415\ncount = 5\n',
    "drops": PAPER + DROPS[DROPS.index("[[drop]]") :],
    "room": PAPER
    + '[[wall]]\nname = "south"\nwidth = 1600\nheight = 2400\n[[wall]]\nname = "east"\nwidth = 1500\nheight = 2400\n'
    + '[start]\nwall = "south"\nat = 800\nputs = "joint"\nmotif_drop = 95\n',
    "banded": PAPER.replace("[paper]", '[[wall]]\nname = "south"\nwidth = 1600\nheight = 2400\n[paper]')
    + '[start]\nwall = "south"\nat = 800\nputs = "joint"\nmotif_drop = 95\n[lining]\nroll_length = "10 m"\n'
    + "roll_width = 560\n",
    "contract": '[[rooms]]\nfile = "room.toml"\ncount = 3\n[[rooms]]\nfile = "drops.toml"\n',
}
"""Small jobs, so that a command is soon over and a moment falls as often into its reading as into its search."""

STOPPED_FOR_GOOD: Final = {signal.SIGSTOP, signal.SIGTSTP, signal.SIGTTIN, signal.SIGTTOU}
"""Signals that stop a program until another lets it go on."""

UNHEARD: Final = {signal.SIGKILL, signal.SIGSEGV, signal.SIGBUS, signal.SIGFPE, signal.SIGILL, signal.SIGABRT}
"""What no program can hear, and faults of its own: killed while it writes, it may leave a part file behind."""

OTHERS: Final = sorted(number for number in signal.valid_signals() if number in {*signal.Signals} - {signal.SIGINT})
"""Every signal that has a name, but Ctrl-C."""

MOST_SECONDS: Final = 60
"""Of a command after a signal."""

ENDING: Final = {signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGKILL}
WHOLE_RUNS: Final = 5
SOON: Final = 0.005
"""Seconds between two looks whether a command has ended."""
SERVED_SECONDS: Final = 1
"""Of the page after a signal that does not end it."""

EARLY, PAGE_BEGINS = 0.15, 1.5
"""Seconds in which a program loads what it needs to hear at all, and in which the page begins to be served."""


PAGE_REFUSES: Final = 10
"""Seconds in which the page ends by itself, where it has nowhere to tell its address."""


def program(words: str) -> list[str]:
    """Return how a command is run."""
    return [sys.executable, "-m", "cutplan", *words.split()]


BEGUN: Final = "records"
"""Folder of the records as they are before each command."""


def prepare(folder: Path) -> None:
    """Put the scenarios, a plan and records into a folder."""
    for name, text in TEXTS.items():
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    for name in ("fresh", "begun", "altered"):
        shutil.copy(folder / "wall.toml", folder / f"{name}.toml")
    for words in (
        "plan wall.toml --json -o plan.json",
        *(words for name in ("begun", "altered") for words in (f"begin {name}.toml", f"done {name}.toml 1-3")),
    ):
        subprocess.run(program(words), cwd=folder, check=True, capture_output=True)  # noqa: S603 - our own program
    altered = folder / "altered.toml"
    altered.write_text(altered.read_text(encoding="utf-8").replace("415", "425"), encoding="utf-8")
    (folder / BEGUN).mkdir(exist_ok=True)
    for record in folder.glob("*.record*"):
        shutil.copy(record, folder / BEGUN)


def begin_again(folder: Path) -> None:
    """Put the records back, or a step that a stopped command did record would be done twice, and what is made away."""
    for path in (*folder.glob("*.record*"), folder / "new.toml"):
        path.unlink(missing_ok=True)
    for record in (folder / BEGUN).iterdir():
        shutil.copy(record, folder)


class Forked:
    """A command run by a copy of this program, which has loaded all: so it is soon over, and nearly all of it work."""

    def __init__(self, words: str, folder: Path) -> None:
        self.told = TemporaryFile(), TemporaryFile()  # noqa: SIM115 - gone with this object
        self.returncode = 0
        before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
        self.pid = os.fork()
        if not self.pid:
            try:
                os.chdir(folder)
                sys.argv = ["cutplan", *words.split()]
                handles = os.open(os.devnull, os.O_RDONLY), *(file.fileno() for file in self.told)
                for number, handle in enumerate(handles):
                    os.dup2(handle, number)
                interruption.listen()
                signal.pthread_sigmask(signal.SIG_SETMASK, before)
                os._exit(main_of_cli())
            finally:
                os._exit(1)
        signal.pthread_sigmask(signal.SIG_SETMASK, before)

    def send_signal(self, number: int) -> None:
        """Send it a signal."""
        os.kill(self.pid, number)

    def kill(self) -> None:
        """End it."""
        os.kill(self.pid, signal.SIGKILL)

    def communicate(self, timeout: float = MOST_SECONDS) -> tuple[str, str]:
        """Wait until it ends, and return what it printed; TimeoutExpired where it does not end."""
        until = time.monotonic() + timeout
        while not (ended := os.waitpid(self.pid, os.WNOHANG))[0]:
            if time.monotonic() > until:
                raise subprocess.TimeoutExpired("cutplan", timeout)
            time.sleep(SOON)
        self.returncode = os.waitstatus_to_exitcode(ended[1])
        for file in self.told:
            file.seek(0)
        out, err = (file.read().decode() for file in self.told)
        return out, err


def begun(words: str, folder: Path, *, is_loaded: bool = False) -> Forked | subprocess.Popen[str]:
    """Begin a command, by a fresh interpreter or in a copy of this program, which has loaded it."""
    begin_again(folder)
    if is_loaded:
        return Forked(words, folder)
    return subprocess.Popen(  # noqa: S603 - our own program
        program(words),
        cwd=folder,
        stdin=subprocess.PIPE if words.startswith("new") else subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def stopped(words: str, folder: Path, number: int, after: float, *, is_loaded: bool = False) -> str | None:
    """Run a command, send it a signal after a while, and return what did not hold; None when all did."""
    process = begun(words, folder, is_loaded=is_loaded)
    time.sleep(after)
    process.send_signal(number)
    if number in STOPPED_FOR_GOOD:
        process.send_signal(signal.SIGCONT)
    is_served = words.startswith("page")  # which goes on until Ctrl-C, whatever else it has heard
    try:
        out, err = process.communicate(timeout=SERVED_SECONDS if is_served and number not in ENDING else MOST_SECONDS)
    except subprocess.TimeoutExpired:
        process.kill()
        process.communicate()
        return None if is_served and number not in ENDING else f"{words}: ran on for a minute after signal {number}"
    err = heard_by_cutplan(err)
    if (
        "cutplan/" not in err
        and "cutplan:" not in err
        and (process.returncode == -number or "KeyboardInterrupt" in err or "Fatal Python error: init_" in err)
    ):
        return half_written(folder, is_killed=number in UNHEARD)  # It may not have come to our first line yet.
    allowed = {0, 3, 130} if number == signal.SIGINT else {0, 3, -number}
    if words.startswith("new"):  # its answers end too soon
        allowed.add(2)
    told = f"{words}: status {process.returncode} after {after:.3f} s, signal {number}: {err[-600:]}"
    if process.returncode not in allowed or any(sign in out + err for sign in BROKEN):
        return told
    if any(steers(line) for line in (out + err).replace("\r", "").split("\n")):
        return f"{told}: a screen is steered"
    return half_written(folder, is_killed=number in UNHEARD)


def heard_by_cutplan(told: str) -> str:
    """Return what was told but for the Ctrl-C that Python itself dropped while it started."""
    return SWALLOWED.sub("", told)


def half_written(folder: Path, *, is_killed: bool = False) -> str | None:
    """Return what is left half written in a folder, or unreadable there; None when nothing is."""
    for path in folder.iterdir():
        if path.name.endswith(".part"):
            path.unlink()
            if not is_killed:
                return f"{path.name} was left behind"
            continue
        content = path.read_text(encoding="utf-8") if path.name.startswith("out") else ""
        if content and not re.search(r"(cutplan-[a-z-]+/1 [0-9a-f]{16}.*|\})\n$", content):
            return f"{path.name} is not whole"
        if path.name.endswith(".record.jsonl"):
            try:
                read_record(path)
            except RecordError as error:
                return str(error)
    return None


def seconds_of(tally: Tally, name: str, folder: Path, *, is_loaded: bool = False) -> float:
    """Return how long a command takes; of the page, how long it takes to begin."""
    key = f"{name}, loaded" if is_loaded else name
    if COMMANDS[name].startswith("page"):
        return PAGE_BEGINS
    if key not in tally.seconds:
        since = time.monotonic()
        begun(COMMANDS[name], folder, is_loaded=is_loaded).communicate()
        tally.seconds[key] = time.monotonic() - since
    return tally.seconds[key]


def stop_commands(tally: Tally, times: int, chance: Random, folder: Path, only: str | None = None) -> None:
    """Interrupt each command at random moments; all of them in turn, for time may run out.

    Half of the moments fall into the loading of what is needed to hear at all; of the others one in :data:`WHOLE_RUNS`
    at any time, and the rest into its work.
    """
    import_module("cutplan.cli.all_commands")
    for turn in range(times):
        for name, words in COMMANDS.items() if only is None else ((only, COMMANDS[only]),):
            what = f"Ctrl-C during {name}"
            if tally.is_over():
                return
            if tally.tried[what] > turn:
                continue
            is_loaded = chance.randrange(WHOLE_RUNS) > 0 and not words.startswith(("new", "page"))
            is_early = chance.randrange(2) == 0
            most = EARLY if is_early else seconds_of(tally, name, folder, is_loaded=is_loaded)
            is_loaded = is_loaded and not is_early
            fault = stopped(words, folder, signal.SIGINT, chance.uniform(0, most), is_loaded=is_loaded)
            tally.count(what, fault)


def end_commands(tally: Tally, chance: Random, folder: Path, only: str | None = None) -> None:
    """Send each command every signal but Ctrl-C."""
    for number in OTHERS:
        what = f"signal {number} during every command"
        for place, name in enumerate(COMMANDS if only is None else (only,)):
            if tally.is_over():
                return
            if tally.tried[what] == place:
                most = chance.choice((EARLY, seconds_of(tally, name, folder)))
                tally.count(what, stopped(COMMANDS[name], folder, number, chance.uniform(0, most)))


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
    """Run a command with streams that are closed or full, and return what did not hold; None when all did.

    The page, which goes on until Ctrl-C, hears it where it can tell its address.
    """
    begin_again(folder)
    command = f"exec {' '.join(program(words))} {streams}"
    none, pipe = subprocess.DEVNULL, subprocess.PIPE
    process = subprocess.Popen(command, shell=True, cwd=folder, stdin=none, stdout=pipe, stderr=pipe, text=True)  # noqa: S602 - our own program
    is_served, ending = words.startswith("page"), {0, 2, 3}
    try:
        out, err = process.communicate(timeout=PAGE_REFUSES if is_served else 2 * MOST_SECONDS)
    except subprocess.TimeoutExpired:
        process.send_signal(signal.SIGINT if is_served else signal.SIGKILL)
        out, err = process.communicate()
        ending = {0, 130}
    if any(sign in out + err for sign in BROKEN) or process.returncode not in ending:
        return f"{words} {streams}: status {process.returncode}: {(out + err)[-400:]}"
    prints = " -o " not in words and not words.startswith("new")
    if "1" in STREAMS[streams] and prints and process.returncode != 2:  # noqa: PLR2004 - wrong usage
        return f"{words} {streams}: status {process.returncode} though nobody could read its answer"
    if "1" in STREAMS[streams] and prints and "2" not in STREAMS[streams] and len(err.splitlines()) < 1:
        return f"{words} {streams}: not a word of it"
    return half_written(folder)


def close_streams(tally: Tally, folder: Path) -> None:
    """Run every command with every stream closed or full, from where an earlier run stopped."""
    what = "streams closed or full, of every command"
    for words, streams in islice(product(COMMANDS.values(), STREAMS), tally.tried[what], None):
        if tally.is_over():
            return
        tally.count(what, fault_of_streams(words, streams, folder))


def name_files(tally: Tally, folder: Path) -> None:
    """Give every command a name for its first file, and for what it writes, that no file can have."""
    for words in COMMANDS.values():
        for name in NO_NAMES:
            wrong = re.sub(r"[a-z]+\.(toml|json)|(?<=-o )\S+", name, words, count=1)
            if wrong != words and not tally.is_over():
                tally.count("files with impossible names", fault_of_name(wrong, folder))


def fault_of_name(words: str, folder: Path) -> str | None:
    """Run a command on a file that cannot be, and return what did not hold."""
    run = partial(subprocess.run, cwd=folder, check=False, capture_output=True, text=True, input="")
    try:
        done = run(program(words), timeout=MOST_SECONDS)
    except subprocess.TimeoutExpired:
        return f"{words[:60]}: ran on for a minute"
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
    if given.add_to is not None:
        tally.take_up(given.add_to)
    with TemporaryDirectory() as name:
        folder = Path(name)
        parts = {
            "scenarios": lambda: spoil_scenarios(tally, given.scenarios, chance),
            "faults": lambda: plant_faults(tally, given.faults, chance),
            "interrupts": lambda: stop_commands(tally, given.interrupts, chance, folder, given.only),
            "signals": lambda: end_commands(tally, chance, folder, given.only),
            "streams": lambda: close_streams(tally, folder),
            "names": lambda: name_files(tally, folder),
            "kills": lambda: kill_recorders(tally, given.kills, chance, folder),
        }
        prepare(folder)
        for part in given.parts or parts:
            tally.begin(given.seconds)
            parts[part]()
            if given.add_to is not None:
                tally.keep(given.add_to)
    return tally


PARTS: Final = ("scenarios", "faults", "interrupts", "signals", "streams", "names", "kills")


def hear_every_signal() -> None:
    """Let the commands that are started hear every signal: a shell lets what it runs in the background ignore some."""
    for number in signal.valid_signals():
        if signal.getsignal(number) is signal.SIG_IGN and number not in {signal.SIGPIPE, signal.SIGXFSZ}:
            signal.signal(number, signal.SIG_DFL)


def main() -> int:
    """Try everything, print the table, and return the exit status."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n\n")[0])
    parser.add_argument("--scenarios", type=int, default=10_000, help="spoilt scenarios (default: %(default)s)")
    parser.add_argument("--faults", type=int, default=FAULTS, help="planted in plans (default: %(default)s)")
    parser.add_argument("--interrupts", type=int, default=200, help="of each command (default: %(default)s)")
    parser.add_argument("--kills", type=int, default=500, help="of what records (default: %(default)s)")
    parser.add_argument("--seconds", type=float, default=36_000, help="for each part (default: %(default)s)")
    parser.add_argument("--seed", type=int, default=1, help="of mistakes and moments (default: %(default)s)")
    parser.add_argument("--only", choices=COMMANDS, help="interrupt this command alone")
    parser.add_argument("--parts", nargs="+", choices=PARTS, help="try these alone")
    parser.add_argument("--add-to", type=Path, metavar="FILE", help="go on from runs that were made a part at a time")
    parser.add_argument("--dry-run", action="store_true", help="print the table, and leave README.md as it is")
    given = parser.parse_args()
    os.environ.setdefault("COLUMNS", "80")
    hear_every_signal()
    begun = commit()
    tally = try_everything(given)
    is_broken = bool(tally.broken)
    text = f"{tally.table()}\n\n{provenance(begun, (), None)} Seed {given.seed}."
    print(text)
    if not given.dry_run:
        old = README.read_text(encoding="utf-8")
        place = re.compile(r"(<!-- hard-to-break: begin -->\n).*(<!-- hard-to-break: end -->)", re.DOTALL)
        README.write_text(place.sub(lambda found: f"{found[1]}{text}\n{found[2]}", old), encoding="utf-8")
    return 1 if is_broken else 0


if __name__ == "__main__":
    sys.exit(main())
