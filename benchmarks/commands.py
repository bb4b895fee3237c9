"""How long whole commands take, from the start of the process to its end."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterator

ROOT: Final = Path(__file__).resolve().parent.parent
KILOBYTES_PER_MEGABYTE: Final = 1024


@dataclass(frozen=True, slots=True)
class Run:
    """One command, run again and again.

    Attributes
    ----------
    command
        As one types it.
    seconds
        Of each run but the first, which only warms the disk cache.
    megabytes
        Most memory held by any run.

    """

    command: str
    seconds: tuple[float, ...]
    megabytes: float


def command_runs(times: int) -> Iterator[Run]:
    """Yield the start of bare Python, of cutplan, then a plan for every scenario, and a check of the last one."""
    program = str(Path(sys.executable).with_name("cutplan"))
    yield _run("python -c pass", [sys.executable, "-c", "pass"], times)
    for option in ("--version", "--help"):
        yield _run(f"cutplan {option}", [program, option], times)
    scenarios = sorted(path.relative_to(ROOT) for path in (ROOT / "scenarios").glob("*.toml"))
    for scenario in scenarios:
        yield _run(f"cutplan plan {scenario}", [program, "plan", str(scenario)], times)
    with TemporaryDirectory() as folder:
        plan = Path(folder) / "plan.json"
        done = subprocess.run(  # noqa: S603 - our own program
            [program, "plan", str(scenarios[-1]), "--json"], cwd=ROOT, check=True, capture_output=True
        )
        plan.write_bytes(done.stdout)
        yield _run("cutplan check plan.json", [program, "check", str(plan)], times)


def _run(command: str, arguments: list[str], times: int) -> Run:
    measured = [_once(arguments) for _ in range(times + 1)]
    seconds = tuple(seconds for seconds, _ in measured[1:])
    return Run(command, seconds, max(megabytes for _, megabytes in measured))


def _once(arguments: list[str]) -> tuple[float, float]:
    """Return the seconds and megabytes that one run of the command takes; CalledProcessError when it fails."""
    start = perf_counter()
    process = subprocess.Popen(  # noqa: S603 - our own program
        arguments, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    _, status, usage = os.wait4(process.pid, 0)
    seconds = perf_counter() - start
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise subprocess.CalledProcessError(process.returncode, arguments)
    return seconds, usage.ru_maxrss / KILOBYTES_PER_MEGABYTE
