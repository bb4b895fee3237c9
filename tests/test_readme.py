"""What README.md shows is true: its sessions print what they say, its program runs, its links lead somewhere."""

from __future__ import annotations

import re
from contextlib import redirect_stdout
from io import StringIO
from typing import TYPE_CHECKING, Final

import pytest

from sessions import LEFT_OUT, REPOSITORY, lay_out_scenarios, printed, sessions, shows

if TYPE_CHECKING:
    from pathlib import Path

README: Final = (REPOSITORY / "README.md").read_text(encoding="utf-8")
PAGES: Final = sorted([*REPOSITORY.glob("*.md"), *(REPOSITORY / "docs").rglob("*.md")])


def blocks(language: str) -> list[str]:
    """Return the fenced blocks of the README in one language, in order."""
    return re.findall(rf"^```{language}\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)


def test_sessions_print_what_the_readme_shows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each command in turn, in one folder, as a reader would type them."""
    lay_out_scenarios(tmp_path)
    monkeypatch.chdir(tmp_path)

    assert sessions(README)
    for command, shown in sessions(README):
        assert shows(shown, printed(command)), command


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
    assert test.endswith(".venv/bin/python -m pytest -q -n auto --dist worksteal")


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(REPOSITORY)))
def test_links_lead_somewhere(page: Path) -> None:
    """Every relative link of every page, pictures too, names a file or folder of the repository."""
    text = page.read_text(encoding="utf-8")
    targets = [link.split("#")[0] for link in re.findall(r"\]\(([^)]+)\)", text) if "://" not in link]

    assert [target for target in targets if target and not (page.parent / target).exists()] == []


def test_every_page_for_users_is_found_from_the_readme() -> None:
    """One page for each task, and none that nobody is sent to."""
    linked = re.findall(r"\]\((docs/[^)#]+)", README)

    assert {str(page.relative_to(REPOSITORY)) for page in (REPOSITORY / "docs").glob("*.md")} <= set(linked)


def test_no_long_listing_stands_twice() -> None:
    """Output of forty lines and more is shown in one place; another that needs it leaves lines out."""
    seen: set[str] = set()
    for page in PAGES:
        for _, shown in sessions(page.read_text(encoding="utf-8")):
            for part in shown.split(LEFT_OUT):
                lines = part.splitlines()
                runs = {"\n".join(lines[at : at + 40]) for at in range(len(lines) - 39)}
                assert not runs & seen, page
                seen |= runs
