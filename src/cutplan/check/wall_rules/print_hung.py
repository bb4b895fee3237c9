"""The print on each cut piece as it hangs, told by where it was cut from its roll.

On a measured roll the datums lie where the roll was measured. On a sealed roll nobody knows them, but they
serve all its cuts: the first cut is taken to carry the print that its own instruction says, and every other
is told by its distance from that one.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.check.report import Violation, exact_text, mm
from cutplan.check.roll_rules.rolls_there import lot_of
from cutplan.check.survey.wall_line import is_taken_up
from cutplan.check.wall_rules.print_across_joints import nearest

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from fractions import Fraction

    from cutplan.check.stated.document import ListedPlan
    from cutplan.check.stated.echo import Wanted
    from cutplan.check.wall_rules.hung import Hung
    from cutplan.check.wall_rules.run import Run


def prints_hung(wanted: Wanted, plan: ListedPlan, hung: Hung, trim_top: Fraction) -> dict[str, Fraction]:
    """Return, by drop, the height above the floor line of one motif datum on each piece, as it hangs.

    Pieces that are cut from no roll, or from an unknown one, are left out.
    """
    pieces = {piece.drop: piece for piece in hung.all_in_order}
    printed: dict[str, Fraction] = {}
    for roll in plan.rolls:
        lot = lot_of(wanted, roll)
        cuts = sorted((cut for cut in roll.cuts if cut.piece in pieces), key=lambda cut: cut.start)
        if lot is None:
            continue
        datums = {number: stretch.datum for number, stretch in enumerate(lot.stretches)}
        for cut in cuts:
            piece, number = pieces[cut.piece], lot.stretch_at(cut.start)
            below = trim_top + piece.first_motif
            datum = datums[number]
            if datum is None:
                datum = datums[number] = cut.end - below if lot.is_foot_first else cut.start + below
            from_top = cut.end - datum if lot.is_foot_first else datum - cut.start
            printed.setdefault(cut.piece, piece.top + trim_top - from_top)
    return printed


def start_print_rule(run: Run, wanted: Wanted, hung: Hung, printed: Mapping[str, Fraction]) -> Iterator[Violation]:
    """Require the first strip to hang with a motif datum as far below the level line as the start says.

    Where the first strip has no paper, the nearest column that has some answers for it.
    """
    survey, match = run.survey, wanted.match
    level_line = hung.level_line
    if not is_taken_up(level_line, survey.level_line):
        level_line = survey.level_line
        amount = abs(hung.level_line - survey.level_line)
        message = f"is said to be at {mm(hung.level_line)}; by the survey it is at {mm(survey.level_line)}"
        yield Violation("level line", "level line", message, amount)
    pieces = [piece for piece in hung.pieces if piece.drop in printed]
    if not match.repeat or not pieces:
        return
    piece = min(pieces, key=lambda piece: (abs(piece.column), -piece.top))
    at_start = survey.start.motif_height
    if at_start is None:
        at_start = level_line - survey.start.motif_drop
    datum = at_start - piece.column * match.offset
    out = nearest(datum - printed[piece.drop], match.repeat)
    if out:
        way = "lower" if out > 0 else "higher"
        message = f"the first motif of {piece.name} hangs {mm(abs(out))} {way} than the start says"
        yield Violation("start", f"column {exact_text(piece.column)}", message, abs(out))


def start_place_rule(run: Run) -> Iterator[Violation]:
    """Require the motif, the joint or the middle of the first strip to lie on the point of the start."""
    start = run.survey.start
    first = [laid for laid in run.laid if laid.column == 0]
    if not first:
        return
    on_start = [laid for laid in first if laid.start <= run.start <= laid.end]
    nearest_one = min(first, key=lambda laid: max(laid.start - run.start, run.start - laid.end))
    papers = [laid.panel.paper_left + run.start - laid.start for laid in on_start or [nearest_one]]
    out = min((start.left_part - paper for paper in papers), key=abs)
    if out or not on_start:
        what = {"motif": "the motif", "middle": "the middle", "joint": "the edge"}[start.puts]
        way = "right" if out > 0 else "left"
        message = f"{what} of the first strip lies {mm(abs(out))} to the {way} of the start"
        yield Violation("start", "column 0", message, abs(out))
