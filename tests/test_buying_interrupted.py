"""Ctrl-C while it is reckoned how many rolls to buy: what is certain by then is said."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from typer.testing import CliRunner

from cutplan.buying.how_many import Wishes, how_many_rolls
from cutplan.buying.reckoning import SureOnly
from cutplan.cli import load
from cutplan.cli.app import app
from cutplan.parts.read_parts import read_scenario
from cutplan.solve.instance import scale
from cutplan.solve.roll.choice import rolls_of

if TYPE_CHECKING:
    from cutplan.scenario.read import Scenario

FEATURE_WALL = "scenarios/feature-wall.toml"


@pytest.fixture
def wall() -> Scenario:
    """Return a wall for which rolls are still to be bought."""
    return read_scenario(FEATURE_WALL)


@pytest.mark.parametrize("moment", ["every combination of starts", "short rolls", "what would save a roll"])
def test_interrupted_later_than_what_is_certain_keeps_that(wall: Scenario, moment: str) -> None:
    """Whatever was looked at when Ctrl-C came, the certain figure is that of the whole answer."""

    def interrupt(news: str) -> None:
        if news == moment:
            raise KeyboardInterrupt

    with pytest.raises(SureOnly) as caught:
        how_many_rolls(wall.job, Wishes(draws=100), interrupt)

    assert caught.value.sure.figure == how_many_rolls(wall.job, Wishes(draws=100)).sure.figure


def test_buy_prints_what_is_certain_and_ends_with_130(wall: Scenario, monkeypatch: pytest.MonkeyPatch) -> None:
    """The command says the certain figure, that no more was found out, and that it was interrupted."""
    load(["buy"])

    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    certain = how_many_rolls(wall.job, Wishes(draws=100)).sure.figure.enough
    monkeypatch.setattr("cutplan.buying.how_many.recommend", interrupt)

    result = CliRunner().invoke(app, ["buy", FEATURE_WALL])

    assert (result.exit_code, result.stderr) == (130, "cutplan: interrupted\n")
    said = re.sub(r"\s+", " ", result.stdout)
    assert said.startswith(f"{certain} rolls are certain to be enough, cut one after another as they come, however")
    assert said.endswith("Interrupted: no more was found out. ")


def test_work_that_keeps_nothing_is_ended_by_ctrl_c(wall: Scenario, monkeypatch: pytest.MonkeyPatch) -> None:
    """What rolls can hold, reckoned without a limit, is given up as an interruption, not as time that ran out."""
    instance = scale(wall.job, certain=True).instance
    monkeypatch.setattr("cutplan.interruption._ear.is_asked", True)

    with pytest.raises(KeyboardInterrupt):
        rolls_of(instance)
