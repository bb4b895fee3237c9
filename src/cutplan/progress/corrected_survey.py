"""A scenario corrected while the work goes on: which drops of it the pieces that are cut and hung now are."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cutplan.progress.entries import Corrected
from cutplan.progress.record import fingerprint
from cutplan.progress.state import NotPossibleError, drop_of

if TYPE_CHECKING:
    from cutplan.job.drops import Drop
    from cutplan.progress.state import State
    from cutplan.scenario.read import Scenario

FIXED: Final = ("units", "paper", "roll", "offcut")
"""Tables that stay as they were: what proves otherwise of a roll is measured, and recorded."""


def correction(state: State, before: Scenario, now: Scenario) -> Corrected:
    """Return the entry that records ``now`` as the scenario that counts, in place of ``before``.

    What is hung stays: it is each drop that now hangs where it does. What lies on the table is the drop whose place
    its own has become, if its print and its length are right for it, and otherwise paper.

    Raises
    ------
    NotPossibleError
        When the paper or the rolls are not what they were.

    """
    changed = [key for key in FIXED if before.document.get(key) != now.document.get(key)]
    if changed:
        raise NotPossibleError(
            f"[{changed[0]}] has changed, and paper is cut already: put it back as it was, and record what happens to "
            "rolls at the table (cutplan measured, cutplan bought)"
        )
    drops = {drop.label: drop for drop in now.job.drops}
    pieces: dict[str, tuple[str, ...]] = {}
    for piece in state.hung:
        pieces[piece] = tuple(_as_piece(piece, label) for label in _now_at(piece, before, now))
    for piece in state.on_table:
        fitting = (label for label in _now_at(piece, before, now) if _serves(state, piece, drops[label]))
        pieces[piece] = tuple(_as_piece(piece, label) for label in fitting)[:1]
    return Corrected(fingerprint(now.document), now.document, pieces)


def _as_piece(piece: str, label: str) -> str:
    return piece if drop_of(piece) == label else label


def _now_at(piece: str, before: Scenario, now: Scenario) -> list[str]:
    """Return the drops that now hang where a piece was to hang: of a list, those of its name; else of its column."""
    label = drop_of(piece)
    if before.setting_out is None or now.setting_out is None:
        return [drop.label for drop in now.job.drops if drop.label == label]
    old = next(old for old in before.setting_out.pieces if old.label == label)
    return [
        new.label
        for new in now.setting_out.pieces
        if new.column == old.column and min(new.top, old.top) > max(new.foot, old.foot)
    ]


def _serves(state: State, piece: str, drop: Drop) -> bool:
    """Return True when a piece that is cut has the print and the length of a drop, from its top down."""
    old, paper = state.job.drop(drop_of(piece)), state.papers.get(piece)
    pattern = state.job.paper.pattern
    shift = pattern.within_repeat(old.motif_below_cut - drop.motif_below_cut)
    length = state.lengths.get(piece, old.cut_length)
    is_wide = paper is None or paper.covers(drop.left, drop.right)
    is_wide = is_wide and (old.left, old.right) in ((None, None), (drop.left, drop.right))
    return not shift and is_wide and length >= drop.trim_top + drop.height
