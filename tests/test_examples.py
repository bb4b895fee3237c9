"""The examples in docstrings are run."""

from __future__ import annotations

import doctest
import importlib
from pathlib import Path
from typing import Final

import pytest

import cutplan

ROOT: Final = Path(cutplan.__file__).parent

MODULES: Final = sorted(
    ".".join(("cutplan", *path.relative_to(ROOT).with_suffix("").parts))
    for path in ROOT.rglob("*.py")
    if ">>> " in path.read_text(encoding="utf-8")
)


def test_some_modules_have_examples() -> None:
    """Arithmetic is shown by example, so there are examples to run."""
    assert "cutplan.lengths" in MODULES


@pytest.mark.parametrize("module", MODULES)
def test_examples_give_what_they_say(module: str) -> None:
    """Each docstring's example prints what stands below it."""
    outcome = doctest.testmod(importlib.import_module(module))

    assert outcome.attempted > 0
    assert outcome.failed == 0
