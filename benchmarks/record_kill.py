"""Kill a program that records, at random moments, hundreds of times, and look at what the record then holds.

Two programs are killed in turn: one that adds an entry after another and says so each time, and the command
``cutplan done`` itself. An entry that was acknowledged and is not in the record is lost; an entry in the record
that nobody wrote, or a record that cannot be read, is worse. Both are counted; both must be 0.

    python benchmarks/record_kill.py --runs 400
"""

from __future__ import annotations

import argparse
import random
import shutil
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

from cutplan.progress.record import RecordError, read_record

SCENARIO: Final = Path(__file__).parents[1] / "scenarios" / "third-drop-room.toml"

WRITER: Final = """
import sys
from pathlib import Path
from cutplan.progress.record import open_record

run, path = sys.argv[1], Path(sys.argv[2])
print("begun", flush=True)
for turn in range(100_000):
    with open_record(path) as held:
        entry = held.append("note", {"run": run, "turn": turn, "filling": "x" * (turn * 97 % 9000)})
    print(entry.number, flush=True)
"""


def killed(command: list[str], after: float, *, once_begun: bool) -> list[str]:
    """Return the whole lines that a program printed before it was killed."""
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)  # noqa: S603 - ours
    if once_begun and process.stdout is not None:
        process.stdout.readline()
    time.sleep(after)
    process.kill()
    shown, _ = process.communicate()
    return [line for line in shown.splitlines(keepends=True) if line.endswith("\n")]


def kill_writers(runs: int, chance: random.Random, folder: Path) -> Counter[str]:
    """Kill a program that does nothing but record."""
    found = Counter[str]()
    path = folder / "written.record.jsonl"
    for run in range(runs):
        command = [sys.executable, "-c", WRITER, str(run), str(path)]
        told = [int(line) for line in killed(command, chance.uniform(0, 0.06), once_begun=True)]
        found["killed"] += 1
        found["acknowledged"] += len(told)
        found["torn ends"] += path.exists() and not path.read_bytes().endswith(b"\n") and path.stat().st_size > 0
        try:
            kept = {entry.number: entry.facts for entry in read_record(path).entries}
        except RecordError:
            found["unreadable"] += 1
            return found
        found["lost"] += sum(kept.get(number, {}).get("run") != str(run) for number in told)
        turns = [facts["turn"] for facts in kept.values() if facts["run"] == str(run)]
        found["untrue"] += turns != list(range(len(turns)))
        found["kept though not yet acknowledged"] += len(turns) - len(told)
    return found


def kill_commands(runs: int, chance: random.Random, folder: Path) -> Counter[str]:
    """Kill ``cutplan done``, which records one step of a plan after another, and begins again when all are done."""
    found = Counter[str]()
    scenario = folder / SCENARIO.name
    shutil.copy(SCENARIO, scenario)
    path = folder / f"{SCENARIO.stem}.record.jsonl"
    last = 0
    program = [sys.executable, "-m", "cutplan", "done", str(scenario)]
    step, whole = 0, 0.0
    for _ in range(runs):
        if not step:  # the first step makes the plan, and is left to finish
            subprocess.run([*program, "1"], check=True, capture_output=True)  # noqa: S603 - ours
            last = _steps_of(path)
            began = time.monotonic()
            subprocess.run([*program, "2"], check=True, capture_output=True)  # noqa: S603 - ours
            step, whole = 3, time.monotonic() - began
        told = killed([*program, str(step)], chance.uniform(0, 1.3 * whole), once_begun=False)
        found["killed"] += 1
        found["acknowledged"] += bool(told)
        found["torn ends"] += not path.read_bytes().endswith(b"\n")
        try:
            entries = read_record(path).entries
        except RecordError:
            found["unreadable"] += 1
            return found
        done = [entry.facts["steps"] for entry in entries if entry.kind == "done"]
        found["untrue"] += done != [[number] for number in range(1, len(done) + 1)]
        found["lost"] += bool(told) and len(done) < step
        found["kept though not yet acknowledged"] += not told and len(done) == step
        step = len(done) + 1
        if step > last:
            path.unlink()
            path.with_suffix(".end").unlink(missing_ok=True)
            step = 0
    return found


def _steps_of(path: Path) -> int:
    """Return how many steps the plan in a record has."""
    steps = read_record(path).entries[0].facts["steps"]
    return len(steps) if isinstance(steps, list) else 0


def main() -> None:
    """Kill, and print what was found."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--runs", type=int, default=400, help="kills in all, half of each program")
    parser.add_argument("--seed", type=int, default=1, help="of the moments to kill at")
    given = parser.parse_args()
    chance = random.Random(given.seed)  # noqa: S311 - moments to kill at
    found = {}
    with TemporaryDirectory() as name:
        found["a program that only records"] = kill_writers(given.runs // 2, chance, Path(name))
        found["cutplan done"] = kill_commands(given.runs - given.runs // 2, chance, Path(name))
    for program, counts in found.items():
        print(f"{program}:")
        for what in (
            "killed",
            "acknowledged",
            "kept though not yet acknowledged",
            "torn ends",
            "lost",
            "untrue",
            "unreadable",
        ):
            print(f"  {what:<34}{counts[what]:>7}")
    if any(counts[what] for counts in found.values() for what in ("lost", "untrue", "unreadable")):
        sys.exit(1)


if __name__ == "__main__":
    main()
