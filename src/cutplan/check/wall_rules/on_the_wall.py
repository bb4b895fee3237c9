"""Judging a plan on the wall: the room is built again from its survey, and every cut piece is hung on it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from functools import cached_property
from itertools import chain

from msgspec import Struct
from msgspec.structs import replace

from cutplan.check.report import Report, Violation, counted, mm
from cutplan.check.roll_rules.what_fits_where import WantedDrop, with_cut_outs
from cutplan.check.stated.document import ListedPlan
from cutplan.check.stated.echo import Wanted, trims_of, with_units
from cutplan.check.stated.fields import Table
from cutplan.check.stated.match import Match, within_repeat
from cutplan.check.survey.surveyed import Survey, SurveyReader
from cutplan.check.wall_rules.closing_joint import closing_rule, finish_rule, out_at_closing
from cutplan.check.wall_rules.hung import Hung, Piece, read_hung
from cutplan.check.wall_rules.needs import Need, heights_needed, needs_of, piece_rule, with_widths
from cutplan.check.wall_rules.print_across_joints import (
    column_rule,
    height_rule,
    laps_of,
    prints_hung,
    sideways_rule,
    start_place_rule,
    start_print_rule,
)
from cutplan.check.wall_rules.run import (
    Run,
    equal_rule,
    fewest_rule,
    hanging_order_rule,
    paper_rule,
    reach_of,
    run_of,
    sequence_rule,
    tiling_rule,
)
from cutplan.check.wall_rules.wall_cover import cover_rule, patch_heights, patch_rule


class WallToJudge(Struct, frozen=True, dict=True):
    """A surveyed room, and where the plan hangs its pieces in it."""

    survey: Survey
    hung: Hung
    trims: tuple[Fraction, Fraction]

    @cached_property
    def needs(self) -> list[list[Need]]:
        """What each column needs, left to right along the run."""
        return [needs_of(self.survey, column) for column in self.hung.columns]


def read_wall(document: Table, scenario: Table, wanted: Wanted) -> WallToJudge | None:
    """Return the room and what hangs in it; None, with the faults in their tables, where either is unreadable."""
    scenario = with_units(scenario)
    survey = SurveyReader(scenario, is_free=not wanted.match.repeat).survey()
    if survey is None:
        return None
    hung = read_hung(document, survey)
    return None if hung is None else WallToJudge(survey, hung, trims_of(scenario))


def with_drops(wanted: Wanted, wall: WallToJudge) -> Wanted:
    """Return what is wanted with the drops that the wall needs.

    A drop's height is worked out from the wall; its first motif is the one that the plan says, for where the
    print must hang is judged on the wall.
    """
    heights = heights_needed(wall.hung, wall.needs) | patch_heights(wall.survey, wall.hung)
    repeat = wanted.match.repeat
    drops = {}
    for piece in wall.hung.all_in_order:
        height = heights.get(piece.drop, piece.height)
        name = wall.survey.walls[_first_wall(wall.survey, piece)].name
        drop = WantedDrop(piece.drop, height, piece.first_motif, *wall.trims, count=1, wall=name)
        if wanted.is_reversed:
            drop = replace(drop, is_turned=piece.column % 2 == 1)
        if wanted.first_sheet is not None:
            left, right = reach_of(wall.survey, wall.hung, piece.column)
            sheet = wanted.first_sheet + piece.column - wall.hung.columns[0].number
            drop = replace(drop, sheet=sheet, reach=(left / wall.survey.wet, right / wall.survey.wet))
        drops[piece.drop] = with_widths(drop, wall.survey, piece, repeat)
    return replace(wanted, drops=drops, lots=with_cut_outs(wanted.lots, drops, wanted.strip))


def _first_wall(survey: Survey, piece: Piece) -> int:
    """Return the wall on which a piece is hung first: strips go out from the start, and round corners from there."""
    walls = [panel.wall for panel in piece.panels]
    if piece.column == 0 and survey.start.wall in walls:
        return survey.start.wall
    return walls[-1] if piece.column < 0 else walls[0]


def judge_wall(wanted: Wanted, plan: ListedPlan, wall: WallToJudge) -> Report:
    """Return the judgement of what hangs on the wall."""
    survey, hung = wall.survey, wall.hung
    run = run_of(survey, hung)
    printed = prints_hung(wanted, plan, hung, wall.trims[0])
    match = wanted.match
    by_the_start = [start_place_rule(run), sideways_rule(run)]
    by_the_start += [closing_rule(run, hung, match, printed), finish_rule(run, hung)]
    if survey.start.usable is not None:
        by_the_start = [equal_rule(survey, hung)]
    violations = [
        *labels_rule(hung),
        *sequence_rule(survey, hung),
        *tiling_rule(survey, hung),
        *paper_rule(survey, hung),
        *fewest_rule(survey, hung),
        *piece_rule(survey, hung, wall.needs),
        *cover_rule(survey, hung),
        *first_motif_rule(wanted, hung),
        *chain(*by_the_start),
        *start_print_rule(run, wanted, hung, printed),
        *height_rule(run, hung, match, printed),
        *column_rule(hung, match, printed),
        *hanging_order_rule(survey, hung),
        *patch_rule(survey, hung, match, printed),
    ]
    return Report(tuple(violations), () if violations else tuple(_facts(run, hung, match, printed)))


def _facts(run: Run, hung: Hung, match: Match, printed: Mapping[str, Fraction]) -> Iterator[str]:
    columns, walls = counted(len(hung.columns), "column"), counted(len(run.survey.walls), "wall")
    pieces = counted(len(hung.pieces), "piece")
    yield f"{columns} tile {walls} from end to end, and {pieces} cover every bit that is no opening once"
    joints = counted(sum(seam.is_joint for seam in run.seams), "joint")
    if run.survey.start.usable is not None:
        yield "each wall hangs in equal strips, as few as the paper allows, with as much off either edge"
        return
    if match.repeat:
        yield f"the print meets left and right of {joints}, and over and under every opening"
        yield "the print hangs from the level line as the start says"
    if hung.patches:
        yield f"{counted(len(hung.patches), 'more piece')} for the ends of reveals' heads, where strips are turned in"
    corners = sum(lap > 0 for lap, _ in laps_of(run).values())
    if corners:
        yield f"at {counted(corners, 'corner')} as much print is lost as the turn covers, and nowhere else"
    if run.survey.closes and match.repeat:
        sideways, lower = out_at_closing(run, hung, match, printed)
        out = f"{mm(sideways)} sideways" + ("" if lower is None else f" and {mm(lower)} in height")
        yield f"the closing joint is out by {out}"


def labels_rule(hung: Hung) -> Iterator[Violation]:
    """Require each drop to hang in one place."""
    seen = set()
    for piece in hung.all_in_order:
        if piece.drop in seen:
            yield Violation("pieces", piece.name, "hangs in more than one place")
        seen.add(piece.drop)


def first_motif_rule(wanted: Wanted, hung: Hung) -> Iterator[Violation]:
    """Require first motifs to be distances down to the first motif: less than a repeat, and none negative."""
    for piece in hung.all_in_order:
        within = within_repeat(piece.first_motif, wanted.match.repeat)
        if piece.first_motif != within:
            message = f"its first motif is said to be {mm(piece.first_motif)} down; the first is {mm(within)} down"
            yield Violation("pieces", piece.name, message, abs(piece.first_motif - within))
