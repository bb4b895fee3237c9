"""Papers as they are sold, from special stock, through the commands; all pairs in ``benchmarks/sold_everywhere.py``."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from papers_sold import scenario
from sold_commands import Asked, bought, in_a_contract, more_is_no_worse, planned, recorded

if TYPE_CHECKING:
    from pathlib import Path


@pytest.mark.parametrize(
    ("paper", "stock"),
    [("packet of doubles", "part rolls"), ("metre", "offcuts"), ("selvedge panels", "flaws"), ("reversed", "too few")],
)
def test_paper_as_it_is_sold_is_planned_bought_and_recorded_from_any_stock(
    tmp_path: Path, paper: str, stock: str
) -> None:
    """Every plan holds, what is bought is what the plan takes, one roll more is no worse, and the record holds."""
    path = tmp_path / "room.toml"
    path.write_text(scenario(paper, stock, 7), encoding="utf-8")
    asked = Asked(path)
    plan = planned(asked)

    assert plan is not None
    bought(asked, plan)
    more_is_no_worse(asked, plan)
    recorded(asked, plan)
    assert asked.faults == []


def test_too_few_rolls_of_two_batches_leave_it_to_the_plan_which_wall_is_of_which(tmp_path: Path) -> None:
    """What could be given up changes no drop's batch, which nobody told: the judge holds all four steps."""
    path = tmp_path / "room.toml"
    path.write_text(scenario("several pieces", "batches", 0), encoding="utf-8")
    asked = Asked(path)
    plan = planned(asked)

    assert plan is not None
    assert [step["kind"] for step in plan["given_up"]] == ["paper", "paper", "batch", "batch"]
    assert asked.faults == []


def test_rooms_share_lapped_cloth_by_the_metre(tmp_path: Path) -> None:
    """Three rooms, one of them mirrored: the contract holds, and so does each room written out."""
    path = tmp_path / "room.toml"
    path.write_text(scenario("lapped metre", "bought", 3), encoding="utf-8")
    asked = Asked(path)
    in_a_contract(asked)

    assert asked.faults == []
