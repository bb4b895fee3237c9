"""More paper, or less to cut, never makes a proved answer worse: a sample of what ``benchmarks/monotone.py`` tries."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent.parent / "benchmarks"))

from monotone import Pair, pairs, worse


@pytest.mark.parametrize("pair", list(pairs(5000, 100)), ids=lambda pair: f"{pair.seed}: {pair.change}")
def test_more_paper_or_less_to_cut_is_never_worse(pair: Pair) -> None:
    """One roll or offcut more, a drop shorter or a drop fewer: the proved value stays or falls, batches included."""
    assert worse(pair) is None
