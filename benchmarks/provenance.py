"""What a table was measured on: the day, the commit, the machine, the versions."""

from __future__ import annotations

import os
import platform
import subprocess
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING

from commands import ROOT

if TYPE_CHECKING:
    from collections.abc import Iterable


def provenance(begun: str, versions: Iterable[str], time_limit: float | None) -> str:
    """Return the line under a table.

    ``begun`` is the commit when measuring began; ``versions`` are those of programs of which this Python does not know.
    """
    ended = commit()
    measured = begun if begun == ended else f"{begun} to {ended}"
    libraries = [f"{name} {version(name)}" for name in ("cutplan", "ortools", "numpy", "scipy")]
    limit = "" if time_limit is None else f" Limit {time_limit:g} s."
    return (
        f"{datetime.now(UTC).date()}, {measured}, {_machine()}; "
        f"Python {platform.python_version()}, {', '.join([*libraries, *versions])}.{limit}"
    )


def commit() -> str:
    """Return the commit that was measured, and whether files differed from it."""

    def git(*arguments: str) -> str:
        command = ["git", *arguments]
        return subprocess.run(  # noqa: S603 - fixed arguments
            command, cwd=ROOT, check=True, capture_output=True, text=True
        ).stdout.strip()

    try:
        changed = git("status", "--porcelain", "--untracked-files=no", "--", "src", "benchmarks/*.py")
        return f"commit {git('rev-parse', '--short', 'HEAD')}" + (" with changes" if changed else "")
    except (OSError, subprocess.CalledProcessError):
        return "no commit"


def _machine() -> str:
    """Return the processor, how many of it, and the memory, as far as the system says."""
    processor = platform.processor() or platform.machine()
    information = Path("/proc/cpuinfo")
    if information.exists():
        lines = information.read_text(encoding="utf-8").splitlines()
        names = [line.partition(":")[2].strip() for line in lines if line.startswith("model name")]
        processor = names[0] if names else processor
    memory = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
    return f"{os.cpu_count()} × {processor}, {memory:.0f} GB, {platform.system()}"
