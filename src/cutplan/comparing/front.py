"""The few placements that nobody would overrule: each of the others is matched in every respect, and beaten in one."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import Final

from msgspec import Struct

from cutplan.comparing.figures import Compared
from cutplan.comparing.proving import Proved
from cutplan.lengths import ZERO
from cutplan.setting_out import Puts
from cutplan.setting_out.notices import NEAR

WIDTHS_ALIKE: Final = Fraction(50)
"""Narrowest strips are told apart in steps of this, in millimetres: less shows to nobody [practice]."""
COLUMNS_ALIKE: Final = 3
"""Columns with a motif cut at the ceiling are told apart in steps of so many: one more or less shows to nobody."""

_CENTRED: Final = {Puts.MOTIF: 2, Puts.JOINT: 1, Puts.MIDDLE: 1, None: 0}
"""With a printed motif one centres the motif; else a joint or the middle of a strip [practice]."""


class Merits(Struct, frozen=True):
    """What a placement is judged by; in each respect more is better."""

    saved: Fraction
    """Rolls or cost, taken negative."""
    centred: int
    """Whether the focal point has the motif (2), a joint or the middle of a strip (1), or nothing on it (0)."""
    width: int
    """Of the narrowest strip, in steps of :data:`WIDTHS_ALIKE`."""
    clear: Fraction
    """Nearest joint to an opening, up to the distance from which nobody minds it."""
    whole: int
    """Columns with a motif cut at the ceiling, taken negative, in steps of :data:`COLUMNS_ALIKE`."""
    hidden: int
    """Place of the finish in the trade's order, taken negative."""
    lined: int = 0
    """Joints of the lining under it that come too near, taken negative."""

    @property
    def respects(self) -> tuple[Fraction | int, ...]:
        """All of them, in the order in which placements are listed."""
        return (self.saved, self.centred, self.hidden, self.clear, self.lined, self.width, self.whole)

    def beats(self, other: Merits) -> bool:
        """Return True when this is as good in every respect and better in one."""
        pairs = list(zip(self.respects, other.respects, strict=True))
        return all(mine >= theirs for mine, theirs in pairs) and self != other


def worth_of(compared: Compared, proved: Proved) -> Merits:
    """Return what a placement is judged by, given what its rolls come to."""
    return Merits(
        saved=-proved.value,
        centred=_CENTRED[compared.placement.on_focus],
        width=int(compared.narrowest // WIDTHS_ALIKE),
        clear=NEAR if compared.to_opening is None else min(NEAR, compared.to_opening),
        whole=-(compared.cut_at_top // COLUMNS_ALIKE),
        hidden=-compared.placement.finish_rank,
        lined=-(compared.clashes or 0),
    )


def front_of(candidates: Iterable[Compared]) -> tuple[Compared, ...]:
    """Return the placements that no other beats, cheapest first; of those judged alike, one.

    Of those judged alike the scenario's own stands for all; else the one whose closing joint is least out, and of
    these the one with the widest narrow strip. Placements without a plan are left out.
    """
    best: dict[Merits, Compared] = {}
    for compared in candidates:
        if compared.proved is None:
            continue
        worth = worth_of(compared, compared.proved)
        if worth not in best or _sooner(compared) > _sooner(best[worth]):
            best[worth] = compared
    kept = [worth for worth in best if not any(other.beats(worth) for other in best)]
    return tuple(best[worth] for worth in sorted(kept, key=lambda worth: worth.respects, reverse=True))


def _sooner(compared: Compared) -> tuple[bool, Fraction, Fraction]:
    """Return by what a placement stands for others that are judged alike; more is sooner."""
    closing = compared.closing
    out = ZERO if closing is None else abs(closing.height) + abs(closing.sideways)
    return compared.placement.is_own, -out, compared.narrowest


def beaten_by(own: Compared, front: Iterable[Compared]) -> Compared | None:
    """Return a placement that beats ``own`` in some respect and in none falls short of it; None when none does."""
    if own.proved is None:
        return None
    worth = worth_of(own, own.proved)
    return next(
        (other for other in front if other.proved is not None and worth_of(other, other.proved).beats(worth)), None
    )
