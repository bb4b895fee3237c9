"""A roll at the table: how much is left on it, for certain and at most, and where its print now begins."""

from __future__ import annotations

from fractions import Fraction
from itertools import accumulate, pairwise

from msgspec import Struct
from msgspec.structs import replace

from cutplan.lengths import ZERO, Length
from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Lot, Stretch, lot_of_stretches
from cutplan.progress.plan_in_use import StockLot


class RollAtTable(Struct, frozen=True):
    """One roll, from its present end."""

    label: str
    """What is written on it."""
    of: str
    """The scenario's lot that it belongs to, or the lot bought since."""
    like: Lot
    """The roll as it was listed: its batch, and which way it comes off."""
    left: Length
    most_left: Length
    """What is certain to be left of the stretch that is being cut, and what may be left at most. They differ by up to a
    repeat when a first cut was made by the print and nobody measured how much came off."""
    first_motif: Length | None
    """From its present end along the roll to the first motif; None while nobody knows, and for a free match."""
    until: Length
    """Where that stretch ends, from the outer end of the roll as it was listed."""
    ahead: tuple[Stretch, ...] = ()
    """Stretches beyond the one that is being cut, of a roll with flaws or a bolt in several pieces."""
    is_open: bool = False
    """True once it has been opened."""
    is_measured: bool = False
    """True once what is left on it has been measured, rather than worked out from what is marked on it."""
    last: str | None = None
    """The piece that was the last thing cut from it; None when something else was done to it since."""

    @property
    def is_certain(self) -> bool:
        """True when what is left is known exactly."""
        return self.left == self.most_left

    def as_lot(self, pattern: Pattern, price: Fraction | None, *, hoped: bool = False) -> Lot | None:
        """Return the roll as stock for a new plan, with what is certain to be left, or may be where ``hoped``.

        Where the print does not go on from one stretch to the next, each is a piece of its own. None when nothing is
        left.
        """
        left = self.most_left if hoped else self.left
        stretches = [*([Stretch(self.until - left, left, self.first_motif)] if left > 0 else []), *self.ahead]
        if not stretches:
            return None
        if not all(_goes_on(pattern, one, other) for one, other in pairwise(stretches)):
            starts = accumulate((stretch.length for stretch in stretches), initial=ZERO)
            stretches = [replace(stretch, start=start) for stretch, start in zip(stretches, starts, strict=False)]
        return lot_of_stretches(self.like, stretches, label=self.label, price=price)

    def opened(self, pattern: Pattern, first_motif: Length | None) -> RollAtTable:
        """Return the roll opened, its first motif measured or not."""
        motif = self.first_motif if first_motif is None else first_motif
        return replace(self, is_open=True, first_motif=motif, ahead=self._printed_on(pattern, self.left, motif))

    def flawed(self, pattern: Pattern, at: Length, length: Length) -> RollAtTable:
        """Return the roll with paper of no use found in its present stretch, ``at`` from its end; the print goes on."""
        beyond = self.left - at - length
        motif = None if self.first_motif is None else pattern.within_repeat(self.first_motif - at - length)
        rest = (Stretch(self.until - beyond, beyond, motif),) if beyond > 0 else ()
        until = self.until - self.left + at
        return replace(self, left=at, most_left=at, until=until, ahead=(*rest, *self.ahead), last=None)

    def measured(self, pattern: Pattern, left: Length, first_motif: Length | None) -> RollAtTable:
        """Return the roll with what is left of its present stretch measured, and its first motif or not."""
        motif = self.first_motif if first_motif is None else first_motif
        ahead = self._printed_on(pattern, left, motif)
        return replace(self, left=left, most_left=left, first_motif=motif, ahead=ahead, is_measured=True, last=None)

    def _printed_on(self, pattern: Pattern, left: Length, motif: Length | None) -> tuple[Stretch, ...]:
        """Return the stretches ahead, the print of those beyond flaws going on from ``motif`` at the present end."""
        before = Stretch(self.until - left, left, motif)
        ahead = list(self.ahead)
        for place, stretch in enumerate(ahead):
            if before.first_motif is None or stretch.start == before.start + before.length:
                break
            beyond = pattern.within_repeat(before.first_motif - (stretch.start - before.start))
            before = ahead[place] = replace(stretch, first_motif=beyond)
        return tuple(ahead)

    def cut_to(self, pattern: Pattern, motif_below: Length | None, length: Length | None) -> RollAtTable:
        """Return the roll with its end cut back until the first motif lies ``motif_below`` it.

        What comes off follows from the print where the present first motif is known; on a roll whose print is
        not known it is less than a repeat, and what is certain to be left is a repeat less. For a free match
        ``length`` comes off.
        """
        if pattern.is_free or motif_below is None:
            return self if length is None else self.cut_off(pattern, length)
        if self.first_motif is None:
            return replace(self, left=self.left - pattern.repeat, first_motif=motif_below)
        return self.cut_off(pattern, pattern.within_repeat(self.first_motif - motif_below))

    def cut_off(self, pattern: Pattern, length: Length) -> RollAtTable:
        """Return the roll with ``length`` cut off its end."""
        motif = None if self.first_motif is None else pattern.within_repeat(self.first_motif - length)
        return replace(self, left=self.left - length, most_left=self.most_left - length, first_motif=motif)

    def next_stretch(self) -> RollAtTable:
        """Return the roll with its present stretch laid aside and the next taken up."""
        after = self.ahead[0]
        return replace(
            self,
            left=after.length,
            most_left=after.length,
            first_motif=after.first_motif,
            until=after.start + after.length,
            ahead=self.ahead[1:],
        )


def _goes_on(pattern: Pattern, one: Stretch, other: Stretch) -> bool:
    """Return True when nothing but a flaw lies between two stretches, through which the print goes on."""
    if one.start + one.length >= other.start or pattern.is_free:
        return one.start + one.length < other.start
    return one.first_motif is not None and other.first_motif == pattern.within_repeat(
        one.first_motif - (other.start - one.start)
    )


def roll_at_table(label: str, held: StockLot) -> RollAtTable:
    """Return a roll of a lot in hand that nobody has opened yet."""
    first, *ahead = held.lot.stretches
    return RollAtTable(
        label=label,
        of=held.of,
        like=held.lot,
        left=first.length,
        most_left=first.length,
        first_motif=first.first_motif,
        until=first.start + first.length,
        ahead=tuple(ahead),
    )
