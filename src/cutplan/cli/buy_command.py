"""``cutplan buy``: how many rolls to buy, and what that rests on."""

from __future__ import annotations

from fractions import Fraction
from typing import Annotated, Final

import typer

import cutplan
from cutplan.cli.app import AsJson, InUnits, Output, ScenarioFile, TimeLimit, command
from cutplan.cli.in_and_out import BUYING, BUYING_PAGE, AnswerFile, Force
from cutplan.cli.terminal import STANDARD, number_in

_MOST_SHORT: Final = 20
"""A roll short by this many per cent or more is a part roll, or a slip of the finger."""


def _per_cent(text: str) -> str:
    """Return a number of per cent without its sign; anything else is wrong usage."""
    number = text.removesuffix("%").strip()
    percent = number_in(number)
    if percent is None or percent >= _MOST_SHORT:
        raise typer.BadParameter(f"must be a number of per cent from 0 to less than {_MOST_SHORT}, not {text!r}")
    return number


@command
def buy(
    scenario: ScenarioFile,
    *,
    draws: Annotated[
        int, typer.Option(min=100, max=1_000_000, metavar="NUMBER", help="How often to draw rolls for the odds.")
    ] = 1000,
    tolerance: Annotated[
        str, typer.Option(metavar="PERCENT", callback=_per_cent, help="How much shorter than marked a roll may be.")
    ] = "1.5",
    offered: Annotated[
        list[str] | None,
        typer.Option(metavar="[N x ]LENGTH=PRICE", help="A further size, or packet, on offer; may be repeated."),
    ] = None,
    spare: Annotated[bool, typer.Option("--spare", help="Count in one full drop of the longest, for repair.")] = False,
    as_json: AsJson = False,
    output: Output = STANDARD,
    force: Force = False,
    time_limit: TimeLimit = 10.0,
    units: InUnits = None,
) -> None:
    """Say how many rolls to buy: certain however they begin, and the odds of fewer.

    Rolls listed in the scenario are in hand and used first. Every figure is proved, or given as two bounds.
    """
    wishes = cutplan.Wishes(draws, Fraction(tolerance) / 100, wants_spare=spare, seconds=time_limit)
    target = AnswerFile(output, scenario, BUYING if as_json else BUYING_PAGE, force=force)
    from cutplan.cli.buy_work import answer_buying  # noqa: PLC0415 - help does without

    answer_buying(scenario, wishes, offered or [], target, units)
