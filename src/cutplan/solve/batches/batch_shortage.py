"""Jobs whose rolls are too few to paper each wall from one batch: which wall, which batch, and by how much."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from cutplan.solve.batches.batch_shares import NEVER, Amount, Shares, Walls
from cutplan.solve.shortage import short_of, uncut
from cutplan.wording import counted

if TYPE_CHECKING:
    from cutplan.solve.batches.batch_choice import Chooser


def why_none(shares: Shares, chooser: Chooser) -> str:
    """Return which wall no batch is enough for; or the choice that lacks the fewest rolls, and what it lacks."""
    hopeless = [
        number
        for number in range(len(shares.walls))
        if all(shares.answer(batch, 1 << number).value == NEVER for batch in shares.allowed[number])
    ]
    if hopeless:
        return "\n".join(_wall_short(shares, number) for number in hopeless)
    return _nearest(shares, chooser)


def _wall_short(shares: Shares, wall: int) -> str:
    lacking = "; ".join(_lacking(shares, batch, 1 << wall) for batch in shares.allowed[wall])
    why = "no batch has enough paper for all of it, and batches change at corners only"
    if len(shares.allowed[wall]) == 1:
        why = "it must be of one batch, which has not enough paper"
    return f'wall "{shares.walls[wall]}": {why}: {lacking}'


def _lacking(shares: Shares, batch: int, walls: Walls) -> str:
    outcome, scaled, job = shares.missing(batch, walls)
    short = short_of(scaled, outcome)
    missing = sum(short.values())
    if not missing:
        return f"{batch_called(shares.batches[batch])} has a roll too short for a drop"
    rolls = counted(missing, "more roll")
    amount = rolls if outcome.is_proved else f"at most {rolls}"
    lack = "lacks" if shares.batches[batch] else "lack"
    return f"{batch_called(shares.batches[batch])} {lack} {amount} (not cut: {', '.join(uncut(job, scaled, short))})"


def _nearest(shares: Shares, chooser: Chooser) -> str:
    """Say which choice lacks the fewest rolls."""
    missing: dict[tuple[int, Walls], int] = {}

    def known(batch: int, walls: Walls, *, is_least: bool) -> Amount:
        if (batch, walls) in missing and not is_least:
            return Fraction(missing[batch, walls])
        return Fraction(int(shares.bound_by_prices(batch, walls, is_least=is_least) == NEVER))

    while True:
        choice = chooser.cheapest(known, shares.clock)
        if choice is None:
            return "the walls cannot be shared out so that each is papered from one batch: rolls are too few"
        unasked = [batch for batch, walls in enumerate(choice.walls) if walls and (batch, walls) not in missing]
        if not unasked:
            break
        asked = unasked[0], choice.walls[unasked[0]]
        outcome, scaled, _ = shares.missing(*asked)
        missing[asked] = sum(short_of(scaled, outcome).values())
    shared = "; ".join(
        f"{_listed(shares, walls)} from {batch_called(shares.batches[batch])}"
        for batch, walls in enumerate(choice.walls)
        if walls
    )
    short = "; ".join(_lacking(shares, *held) for held in enumerate(choice.walls) if missing.get(held))
    return (
        "one batch for each wall is not possible with these rolls, and batches change at corners only; "
        f"nearest to it is {shared}: {short}"
    )


def _listed(shares: Shares, walls: Walls) -> str:
    return ", ".join(f'"{name}"' for number, name in enumerate(shares.walls) if walls >> number & 1)


def batch_called(batch: str) -> str:
    """Return how messages call a batch."""
    return f"batch {batch}" if batch else "the rolls without a batch number"
