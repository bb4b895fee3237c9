"""The trial of small changes: a change takes its place in functions that are loaded, whatever else it takes away."""

from __future__ import annotations

import sys
import tomllib
from pathlib import Path
from types import FunctionType
from typing import Any, Final

import pytest

sys.path.insert(0, str(Path(__file__).parent.parent / "benchmarks"))
from changed_code import changed_codes, take_place

MODULE: Final = """\
def doubled(numbers):
    total = 0
    for number in (
        2 * number for number in numbers
    ):
        total += number
    return total


def first(numbers):
    return numbers[0]
"""
LOOP_LEFT_OUT: Final = MODULE.replace("(\n        2 * number for number in numbers\n    )", "[]")


def loaded(text: str) -> dict[str, Any]:
    """Return what a module holds."""
    held: dict[str, Any] = {}
    exec(compile(text, "module.py", "exec"), held)  # noqa: S102 - our own text
    return held


def put_in_place(held: dict[str, Any], changed: str, text: str = MODULE) -> bool:
    """Put the changed text's codes in place of those of a module that is loaded."""
    codes = changed_codes(compile(text, "module.py", "exec"), compile(changed, "module.py", "exec"))
    return take_place([function for function in held.values() if isinstance(function, FunctionType)], codes)


def test_loop_left_out_with_its_generator_is_put_in_place() -> None:
    """What stood in the loop's head has no code any more; the functions have theirs, though lines have moved."""
    held = loaded(MODULE)

    assert held["doubled"]([3]) == 6
    assert put_in_place(held, LOOP_LEFT_OUT)
    assert held["doubled"]([3]) == 0
    assert held["first"]([3]) == 3


def test_change_below_a_loop_left_out_is_put_in_place_too() -> None:
    """Each function is found by its name, wherever it stands now."""
    held = loaded(MODULE)

    assert put_in_place(held, LOOP_LEFT_OUT.replace("numbers[0]", "numbers[1]"))
    assert held["first"]([3, 4]) == 4


def test_function_that_closes_over_other_names_is_not_put_in_place() -> None:
    """Python gives no function code for other names than it holds, so such a module has to be loaded anew."""
    module = "def made(by):\n    def times(number):\n        return number * by\n    return times\ntriple = made(3)\n"
    held = loaded(module)

    assert not put_in_place(held, module.replace("number * by", "number"), module)
    assert held["triple"](2) == 6


@pytest.mark.parametrize(
    ("path", "clause", "changes"),
    [
        ("stated/json_text.py", "json.JSONDecodeError", ["CosmicRayTestingException"]),
        (
            "stated/json_text.py",
            "(ValueError, RecursionError)",
            ["(CosmicRayTestingException, RecursionError)", "(ValueError, CosmicRayTestingException)"],
        ),
    ],
)
def test_exception_told_with_its_module_is_changed_as_any_other(path: str, clause: str, changes: list[str]) -> None:
    """Each exception of a clause by itself; ``json.JSONDecodeError`` is one."""
    mutant_list = pytest.importorskip("mutant_list", reason="needs the group mutation", exc_type=ImportError)
    mutants = mutant_list.mutants_in(f"src/cutplan/check/{path}")
    told = [mutant.change() for mutant in mutants if "Exception" in mutant.operator]

    assert [change for change in told if change.startswith(f"except {clause} as error:")] == [
        f"except {clause} as error: -> except {becomes} as error:" for becomes in changes
    ]


def test_what_is_explained_still_stands_in_the_code() -> None:
    """A line that was rewritten since is tried anew, and what was said of it goes."""
    root = Path(__file__).parent.parent
    entries = tomllib.loads((root / "benchmarks" / "mutants_explained.toml").read_text(encoding="utf-8"))["explained"]
    for entry in entries:
        for change in entry["changes"]:
            path, _, lines = change.partition(": ")
            text = " ".join(map(str.strip, (root / path).read_text(encoding="utf-8").splitlines()))
            ends = (place for place in range(len(lines) + 1) if lines.startswith(" -> ", place) or place == len(lines))
            assert any(lines[:end] in text for end in ends), change
