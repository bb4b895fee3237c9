"""Sessions in Markdown: blocks of commands with what they print, run as a reader would type them.

``python tests/sessions.py docs/PAGE.md`` runs a page's sessions and puts what they print now into the page.
"""

from __future__ import annotations

import os
import re
import shlex
import shutil
import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

from typer.testing import CliRunner

from cutplan.cli.all_commands import app

REPOSITORY: Final = Path(__file__).parents[1]
LEFT_OUT: Final = "[…]\n"
"""Stands in a page for any number of lines that are left out of what is shown."""

_BLOCK: Final = re.compile(r"^```console\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def sessions(page: str) -> list[tuple[str, str]]:
    """Return every command of a page's sessions, in order, with the output shown below it."""
    parts = [part for block in _BLOCK.findall(page) for part in re.split(r"^\$ ", block, flags=re.MULTILINE)]
    return [(command, shown) for command, _, shown in (part.partition("\n") for part in parts) if command]


def printed(command: str) -> str:
    """Return what a command of cutplan prints, errors included, in the present folder."""
    program, *arguments = shlex.split(command)
    assert program == "cutplan"
    return CliRunner().invoke(app, arguments).output


def shows(shown: str, whole: str) -> bool:
    """Return whether a page shows what was printed, but for the lines that it says are left out."""
    parts = [re.escape(part) for part in shown.split(LEFT_OUT)]
    return re.fullmatch("(?s:.*?)".join(parts), whole) is not None


def lay_out_scenarios(folder: Path) -> None:
    """Copy the scenarios into a folder, without records that somebody may have left beside them."""
    shutil.copytree(REPOSITORY / "scenarios", folder / "scenarios", ignore=shutil.ignore_patterns("*.jsonl"))


def renewed(page: str) -> str:
    """Return a page with what its commands print now; where lines are left out, it is looked over by hand."""

    def run(block: re.Match[str]) -> str:
        parts = [
            f"$ {command}\n{shown if LEFT_OUT in shown else printed(command)}" for command, shown in sessions(block[0])
        ]
        return "```console\n" + "".join(parts) + "```"

    return _BLOCK.sub(run, page)


if __name__ == "__main__":
    for path in [Path(name).resolve() for name in sys.argv[1:]]:
        with TemporaryDirectory() as name:
            lay_out_scenarios(Path(name))
            os.chdir(name)
            path.write_text(renewed(path.read_text(encoding="utf-8")), encoding="utf-8")
            os.chdir(path.parent)
