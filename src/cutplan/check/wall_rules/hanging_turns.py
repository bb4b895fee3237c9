"""The hanging order: from the start outwards, each piece over and under an opening in its turn."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.check.report import Violation

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cutplan.check.survey.surveyed import Survey
    from cutplan.check.wall_rules.hung import Hung


def hanging_order_rule(survey: Survey, hung: Hung) -> Iterator[Violation]:
    """Require column 0 first, then outwards on the side hung first, then on the other; down each column."""
    first = 1 if survey.start.is_right_first else -1
    wanted = sorted(hung.pieces, key=lambda piece: (piece.column * first < 0, abs(piece.column), -piece.top))
    for piece, right in zip(hung.pieces, wanted, strict=True):
        if piece is not right:
            yield Violation("order", piece.name, f"is hung where {right.name} has its turn")
            return
