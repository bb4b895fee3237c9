"""What README.md shows is true: its sessions print what they say, its program runs, its links lead somewhere."""

from __future__ import annotations

import re
import shlex
import shutil
from contextlib import redirect_stdout
from io import StringIO
from pathlib import Path
from typing import Final

import pytest
from typer.testing import CliRunner

from cutplan.cli.all_commands import app

REPOSITORY: Final = Path(__file__).parents[1]
README: Final = (REPOSITORY / "README.md").read_text(encoding="utf-8")


def blocks(language: str) -> list[str]:
    """Return the fenced blocks of the README in one language, in order."""
    return re.findall(rf"^```{language}\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)


def sessions() -> list[tuple[str, str]]:
    """Return every command of the README's sessions with the output shown below it."""
    parts = [part for block in blocks("console") for part in re.split(r"^\$ ", block, flags=re.MULTILINE)]
    return [(command, shown) for command, _, shown in (part.partition("\n") for part in parts) if command]


def test_sessions_print_what_the_readme_shows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each command in turn, in one folder, as a reader would type them."""
    shutil.copytree(REPOSITORY / "scenarios", tmp_path / "scenarios")
    monkeypatch.chdir(tmp_path)

    assert sessions()
    for command, shown in sessions():
        program, *arguments = shlex.split(command)
        assert program == "cutplan"
        assert CliRunner().invoke(app, arguments).output == shown, command


def test_program_of_the_readme_prints_what_it_says(monkeypatch: pytest.MonkeyPatch) -> None:
    """The library in ten lines, run from the repository; its output is the text block below it."""
    monkeypatch.chdir(REPOSITORY)
    (program,) = blocks("python")
    printed = StringIO()
    with redirect_stdout(printed):
        exec(compile(program, "README.md", "exec"), {})  # noqa: S102 - our own README

    assert printed.getvalue() == blocks("text")[0]


def test_two_commands_set_everything_up() -> None:
    """One line each: the first ends with a plan, the second with the tests. CI reads them from here too."""
    plan, test = (block.strip() for block in blocks("sh"))

    assert plan.count("\n") == test.count("\n") == 0
    assert plan.endswith("cutplan plan scenarios/feature-wall.toml")
    assert test.endswith("python -m pytest -q")


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md", "CHANGELOG.md"])
def test_links_lead_somewhere(page: str) -> None:
    """Every relative link names a file or folder of the repository."""
    text = (REPOSITORY / page).read_text(encoding="utf-8")
    targets = [link.split("#")[0] for link in re.findall(r"\]\(([^)]+)\)", text) if "://" not in link]

    assert [target for target in targets if not (REPOSITORY / target).exists()] == []
