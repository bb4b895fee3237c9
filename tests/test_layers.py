"""The order of the layers: each imports only what stands before it, and what is heavy is imported late."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections import Counter
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

import pytest

import cutplan

if TYPE_CHECKING:
    from collections.abc import Iterator

ROOT: Final = Path(cutplan.__file__).parent

ORDER: Final = (
    "plain_text",
    "interruption",
    "errors",
    "faults",
    "lengths",
    "wording",
    "paper",
    "room",
    "setting_out",
    "job",
    "lining",
    "materials",
    "plan",
    "table",
    "solve",
    "buying",
    "comparing",
    "too_few",
    "scenario",
    "parts",
    "whole_file",
    "asking",
    "quantity",
    "contract",
    "progress",
    "photograph",
    "render",
    "page",
    "check",
    "cli",
    "__main__",
)
"""Modules and folders of the package, each importing only earlier ones: domain first, edges last."""

MODULES: Final = sorted(path for path in ROOT.rglob("*.py") if path != ROOT / "__init__.py")

HEAVY: Final = ("ortools", "numpy", "pandas", "rich", "jinja2", "tabulate", "pydantic", "starlette", "uvicorn", "PIL")


def named(path: Path) -> str:
    """Return a module's dotted name below the package: ``solve.graph``, ``setting_out`` for its folder."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(part for part in parts if part != "__init__")


def parsed(path: Path) -> ast.Module:
    """Return a module as Python reads it."""
    return ast.parse(path.read_text(encoding="utf-8"))


def imports(tree: ast.Module) -> Iterator[str]:
    """Yield the dotted name of everything that a module imports, at the top or late, and for whatever purpose."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"from {'.' * node.level} is relative; name the module"
            if node.module == "cutplan":
                yield from (f"cutplan.{alias.name}" if alias.name in ORDER else "cutplan" for alias in node.names)
            else:
                yield node.module or ""


@cache
def own_imports(path: Path) -> frozenset[str]:
    """Return the dotted names below the package of what a module imports from it; ``""`` is its root."""
    found = (name for name in imports(parsed(path)) if name == "cutplan" or name.startswith("cutplan."))
    return frozenset(name.removeprefix("cutplan").removeprefix(".") for name in found)


def test_every_module_has_its_place_in_the_order() -> None:
    """A new module must be given its layer here, once, before it can be imported by another."""
    assert {named(path).split(".")[0] for path in MODULES} <= set(ORDER)


@pytest.mark.parametrize("path", MODULES, ids=named)
def test_imports_point_one_way(path: Path) -> None:
    """A module imports only its own folder and layers that stand before its own."""
    own = named(path).split(".")[0]
    before = ORDER[: ORDER.index(own)] if own in ORDER else ()

    assert {name.split(".")[0] for name in own_imports(path)} - {own, ""} <= set(before)


@pytest.mark.parametrize("path", MODULES, ids=named)
def test_root_of_the_package_is_not_imported(path: Path) -> None:
    """Importing the root makes cycles; only the command line does, outermost, for its names are loaded when used."""
    assert named(path).split(".")[0] == "cli" or "" not in own_imports(path)


@pytest.mark.parametrize("path", MODULES, ids=named)
def test_folder_is_not_imported_from_within(path: Path) -> None:
    """Inside a folder modules name one another; its ``__init__`` is for those outside."""
    own = named(path).split(".")[0]

    assert path.name == "__init__.py" or own not in own_imports(path)


def own_imports_when_run(path: Path) -> set[str]:
    """Return the modules of the package that a module imports when it runs, at the top or late."""
    tree = parsed(path)
    for node in ast.walk(tree):
        if isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
            node.body = []
    return {name.removeprefix("cutplan.") for name in imports(tree) if name.startswith("cutplan.")} - {named(path)}


def test_no_import_leads_back_to_its_module() -> None:
    """Late imports count too: what is in a circle cannot be understood, tested or moved one at a time."""
    unvisited = {named(path): own_imports_when_run(path) for path in MODULES}

    while leaves := [name for name, wanted in unvisited.items() if not wanted & unvisited.keys()]:
        for name in leaves:
            del unvisited[name]
    assert unvisited == {}


def test_no_two_modules_have_the_same_file_name() -> None:
    """Whoever reads a file's name in a message or a search knows which one it is."""
    names = sorted(path.name for path in MODULES if path.name != "__init__.py")

    assert names == sorted(set(names))


def test_one_name_means_one_thing_across_the_folders() -> None:
    """Outside the judge, which shares nothing, and the commands, which are called what they do."""
    names = [
        node.name
        for path in MODULES
        if named(path).split(".")[0] not in ("check", "cli", "__main__")
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.ClassDef | ast.FunctionDef) and not node.name.startswith("_")
    ]

    assert len(names) > 1000
    assert {name for name, times in Counter(names).items() if times > 1} == set()


def test_checker_imports_nothing_of_the_package() -> None:
    """The judge shares no code with the planner, or one fault would pass both."""
    judges = [path for path in MODULES if named(path).split(".")[0] == "check"]
    shared = {name for path in judges for name in own_imports(path) if name.split(".")[0] != "check"}

    assert len(judges) > 1
    assert shared == set()


def test_only_the_solver_imports_solvers() -> None:
    """No solver's object leaves its folder: nobody else could even name one."""
    solvers = {"ortools", "numpy", "scipy", "pandas"}
    users = {named(path) for path in MODULES if solvers & {name.split(".")[0] for name in imports(parsed(path))}}

    assert users
    assert {user.split(".")[0] for user in users} == {"solve"}


def test_few_ask_the_solver() -> None:
    """Buying, comparing, covering and planning anew ask it again; all else works on plans, wherever they come from."""
    users = {
        named(path).split(".")[0] for path in MODULES if "solve" in {name.split(".")[0] for name in own_imports(path)}
    }

    assert "buying" in users
    assert users <= {"solve", "buying", "comparing", "too_few", "quantity", "contract", "progress", "page", "cli"}


@pytest.mark.parametrize(
    "module",
    [
        "cutplan",
        "cutplan.cli",
        *(
            f"cutplan.cli.{name}_command"
            for name in ("buy", "check", "compare", "draw", "fit", "new", "page", "plan", "sheet")
        ),
    ],
)
def test_start_loads_nothing_heavy(module: str) -> None:
    """Help, mistakes and whatever needs no plan answer at once: solvers and pages are loaded by who needs them."""
    code = f"import sys, {module}; print(*sorted({set(HEAVY)!r} & set(sys.modules)), len(sys.modules))"
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)  # noqa: S603 - our own interpreter

    *heavy, count = shown.stdout.split()
    assert heavy == []
    assert (
        int(count) < 300
    )  # 147 of the program alone, 212 with the plan command, on Python 3.11; pandas alone brings 500.


def test_quantity_loads_no_survey_and_no_lining() -> None:
    """Sizes from a notebook are answered without what a survey, a purchase or a lining needs."""
    code = "import sys, cutplan.cli.quantity_command as _; print(*sys.modules)"
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)  # noqa: S603 - our own interpreter
    loaded = set(shown.stdout.split())

    assert "cutplan.quantity.answer_before_survey" in loaded
    assert loaded.isdisjoint({"cutplan.asking.questions", "cutplan.buying.how_many", "cutplan.lining.courses"})


@pytest.mark.skipif(not Path("/proc/self/task").is_dir(), reason="the system lists no threads")
def test_program_starts_no_thread_for_arrays() -> None:
    """The arrays' own threads keep every other processor busy for as long as loading takes, and are never used."""
    code = "import cutplan.__main__, numpy; from os import listdir; print(len(listdir('/proc/self/task')))"
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)  # noqa: S603 - our own interpreter

    assert int(shown.stdout) == 1


@pytest.mark.parametrize("scenario", ["reading-corner", "grasscloth"])
def test_room_proved_by_rule_loads_neither_solver_nor_arrays(scenario: str) -> None:
    """A small room's first plan meets the bound that rules give, and is cut as it hangs: nothing else is loaded."""
    code = f"import contextlib, io, sys; sys.argv[1:] = ['plan', 'scenarios/{scenario}.toml']"
    code += """
from cutplan.cli import main
with contextlib.suppress(SystemExit), contextlib.redirect_stdout(io.StringIO()):
    main()
"""
    code += f"print(*sorted({set(HEAVY)!r} & set(sys.modules)), len(sys.modules))"
    root = ROOT.parents[1]
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=root)  # noqa: S603 - our own interpreter

    *heavy, count = shown.stdout.split()
    assert heavy == ["tabulate"]
    assert int(count) < 370  # 348 on Python 3.11
