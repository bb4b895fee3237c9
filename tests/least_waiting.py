"""The least waiting of a tiny plan's rolls, by trying every order of cuts on every roll.

Nothing of the planner is used: where a piece falls on a roll, when a roll is open and when a drop waits are
worked out here, from their definitions alone.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct, field

if TYPE_CHECKING:
    from collections.abc import Sequence
    from fractions import Fraction

    from cutplan.job.job import Job
    from cutplan.paper.stock import Lot
    from cutplan.plan.plan import Plan


class Piece(Struct, frozen=True):
    """A piece: its cut length, from its cut top down to a motif datum, and its turn."""

    length: Fraction
    datum: Fraction
    turn: int


class Roll(Struct):
    """A roll: up to where it may be cut, where it has been cut to, a datum of its print, and when it was cut.

    A sealed roll is counted from its first cut on: its room is a repeat less, and its print is free to fall.
    """

    lot: str
    room: Fraction
    datum: Fraction | None
    end: Fraction
    cuts: list[int] = field(default_factory=list)


class Trial(Struct):
    """Tries every order; ``best`` is the least (most waiting, furthest ahead) of those that are allowed."""

    repeat: Fraction
    pieces: Sequence[Piece]
    rolls: list[Roll]
    open_rolls: int
    best: tuple[int, int] | None = None

    def go_on(self, cut: list[int], so_far: tuple[int, int]) -> None:
        """Make every next cut."""
        if self.best is not None and so_far >= self.best:
            return
        if len(cut) == len(self.pieces):
            if self.is_allowed(len(cut)):
                self.best = so_far
            return
        for number, piece in enumerate(self.pieces):
            if number in cut:
                continue
            figures = self.after(cut, number, so_far)
            for roll in self.worth_trying():
                self.lay(roll, piece, [*cut, number], figures)

    def worth_trying(self) -> list[Roll]:
        """Return every roll that is begun, and one of each lot that is not."""
        fresh = {roll.lot: roll for roll in reversed(self.rolls) if not roll.cuts}
        return [*(roll for roll in self.rolls if roll.cuts), *fresh.values()]

    def lay(self, roll: Roll, piece: Piece, cut: list[int], figures: tuple[int, int]) -> None:
        """Cut ``piece`` from ``roll`` at the first place where its print agrees, if it fits, and go on."""
        start = roll.end
        if self.repeat and roll.datum is not None:
            start += (roll.datum - piece.datum - roll.end) % self.repeat
        if start + piece.length > roll.room:
            return
        before = roll.end, roll.datum
        roll.end, roll.datum = start + piece.length, start + piece.datum
        roll.cuts.append(len(cut) - 1)
        self.go_on(cut, figures)
        roll.end, roll.datum = before
        roll.cuts.pop()

    def after(self, cut: list[int], number: int, so_far: tuple[int, int]) -> tuple[int, int]:
        """Return the two figures once ``number`` is cut after ``cut``."""
        now = min(piece.turn for other, piece in enumerate(self.pieces) if other not in cut)
        ahead = self.pieces[number].turn - now
        lying = sum(self.pieces[other].turn > now for other in [*cut, number])
        return max(so_far[0], lying), max(so_far[1], ahead)

    def is_allowed(self, cuts: int) -> bool:
        """Return True when never more rolls were open, each from its first cut to its last."""
        used = [roll.cuts for roll in self.rolls if roll.cuts]
        return all(sum(times[0] <= time <= times[-1] for times in used) <= self.open_rolls for time in range(cuts))


def least_waiting(plan: Plan, turns: Sequence[int], open_rolls: int) -> tuple[int, int]:
    """Return the least (most waiting, furthest ahead) over all ways to cut the rolls that ``plan`` opens.

    Meant for up to six pieces and for rolls that are whole and come off head first.
    """
    job = plan.job
    repeat = job.paper.pattern.repeat
    drops = [drop for drop in job.drops for _ in range(drop.count)]
    pieces = [
        Piece(drop.cut_length, drop.trim_top + drop.first_motif, turn) for drop, turn in zip(drops, turns, strict=True)
    ]
    rolls = [_roll(job, job.lot(layout.lot)) for layout in plan.layouts for _ in range(layout.count)]
    trial = Trial(repeat, pieces, rolls, open_rolls)
    trial.go_on([], (0, 0))
    assert trial.best is not None
    return trial.best


def _roll(job: Job, lot: Lot) -> Roll:
    zero = job.paper.pattern.repeat * 0
    if lot.first_motif is None:
        return Roll(lot.label, lot.length - job.paper.pattern.repeat, None, zero)
    return Roll(lot.label, lot.length, lot.first_motif, zero)
