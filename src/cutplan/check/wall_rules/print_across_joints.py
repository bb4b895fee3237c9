"""The print on each cut piece as it hangs, and across every joint and round every corner, sideways and in height.

On a measured roll the datums lie where the roll was measured. On a sealed roll nobody knows them, but they
serve all its cuts: the first cut is taken to carry the print that its own instruction says, and every other
is told by its distance from that one.

The print is a lattice: one strip to the right is one wet width along and one offset down. So where paper is
shown up to x on the left and from y on the right, y − x (and one width for the next strip) of the print is
missing. That must be nothing everywhere, but where a corner's turn is covered: there it must be the lap.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from itertools import pairwise

from cutplan.check.report import Violation, exact_text, mm
from cutplan.check.roll_rules.rolls_there import lot_of
from cutplan.check.stated.document import ListedPlan
from cutplan.check.stated.echo import Wanted
from cutplan.check.stated.fields import NOTHING
from cutplan.check.stated.match import Match
from cutplan.check.survey.wall_line import is_taken_up
from cutplan.check.wall_rules.hung import Hung, Piece, column_name
from cutplan.check.wall_rules.run import Laid, Run, Seam


def sideways_rule(run: Run) -> Iterator[Violation]:
    """Require no print to be missing or to come twice anywhere, but where a corner's turn is covered."""
    laps = laps_of(run)
    seams = {seam.at: seam for seam in run.seams}
    for at in sorted({*seams, *laps}):
        seam = seams.get(at)
        missing = NOTHING if seam is None else _missing(run, seam)
        wanted, corner = laps.get(at, (NOTHING, None))
        if missing == wanted:
            continue
        amount = abs(missing - wanted)
        if corner is not None:
            message = f"{_lost(missing)} at {run.place(at)}; what the turn covers there is {mm(wanted)}"
            yield Violation("corner", _corner_name(run, corner), message, amount)
        elif seam is not None:
            yield Violation("joint", seam_name(seam), f"{_lost(missing)} at {run.place(at)}", amount)


def _missing(run: Run, seam: Seam) -> Fraction:
    between = seam.right.panel.paper_left - seam.left.panel.paper_right
    return between + run.survey.strip if seam.is_joint else between


def _lost(missing: Fraction) -> str:
    if missing == 0:
        return "no print is lost"
    return f"{mm(abs(missing))} of the print {'are missing' if missing > 0 else 'come twice'}"


def seam_name(seam: Seam) -> str:
    """Return what a seam is called."""
    left, right = seam.left.column, seam.right.column
    return f"joint between columns {exact_text(left)} and {exact_text(right)}" if seam.is_joint else column_name(left)


def _corner_name(run: Run, corner: int) -> str:
    walls = run.survey.walls
    return f"corner between {walls[corner].name!r} and {walls[(corner + 1) % len(walls)].name!r}"


def laps_of(run: Run) -> dict[Fraction, tuple[Fraction, int]]:
    """Return where print is lost, by place along the run: how much, and at which corner.

    Of a strip that shows a of its width W before a corner, t = min(turn, W − a, wall beyond) is turned, and
    the next paper covers the lap: it begins t − lap from the corner. Strips hung to the left are the mirror
    image. At a joint in the corner the next strip may be turned back by the lap; else that, or a corner passed uncut,
    loses nothing.
    """
    rightwards = _Corners(run, rightwards=True)
    leftwards = _Corners(run, rightwards=False)
    for at, corner in run.corners:
        if _is_hung_rightwards(run, at, corner):
            rightwards.turn(at, corner)
    for at, corner in reversed(run.corners):
        if not _is_hung_rightwards(run, at, corner):
            leftwards.turn(at, corner)
    return rightwards.laps | leftwards.laps | dict(_turned_back(run))


def _turned_back(run: Run) -> Iterator[tuple[Fraction, tuple[Fraction, int]]]:
    """Yield the corners in which a joint falls and a strip is turned back by the lap."""
    seams = {seam.at: seam for seam in run.seams if seam.is_joint}
    for at, corner in run.corners:
        rule = run.survey.walls[corner].corner
        if at in seams and not rule.is_true and 0 < rule.lap == _missing(run, seams[at]):
            yield at, (rule.lap, corner)


def _is_hung_rightwards(run: Run, at: Fraction, corner: int) -> bool:
    """Return whether strips come to a corner from its left; at the start itself the start's own wall tells."""
    return at > run.start or (at == run.start and run.survey.start.wall == corner)


class _Corners:
    """Works out the laps of the corners that strips hung one way come to, in their order."""

    def __init__(self, run: Run, *, rightwards: bool) -> None:
        self.run = run
        self.rightwards = rightwards
        self.laps: dict[Fraction, tuple[Fraction, int]] = {}

    def turn(self, at: Fraction, corner: int) -> None:
        """Work out one corner; where the corner before ends its turn in this one, nothing more is turned."""
        used = self._used_before(at)
        if used is None or at in self.laps:
            return
        survey = self.run.survey
        rule = survey.walls[corner].corner
        left = survey.strip - used
        if left == 0 or rule.is_true:
            return
        turn = min(rule.turn, left, self._beyond(at, corner))
        lap = min(rule.lap, turn)
        self.laps[at + (turn - lap if self.rightwards else lap - turn)] = (lap, corner)

    def _used_before(self, at: Fraction) -> Fraction | None:
        """Return how much of the strip that comes to the corner is used up there, from its near edge."""
        for laid in self.run.laid:
            if self.rightwards and laid.end == at:
                return laid.panel.paper_right
            if not self.rightwards and laid.start == at:
                return self.run.survey.strip - laid.panel.paper_left
        return None

    def _beyond(self, at: Fraction, corner: int) -> Fraction:
        """Return how long the wall beyond is, up to where the strips hung this way close the room.

        In a room hung one way the first strip alone goes the other, and it is not trimmed where it ends.
        """
        walls, length = self.run.survey.walls, self.run.survey.length
        width = walls[(corner + 1) % len(walls) if self.rightwards else corner].width
        start = self.run.survey.start
        if start.is_one_way and start.is_right_first != self.rightwards:
            return width
        return min(width, length - at if self.rightwards else at)


def height_rule(run: Run, hung: Hung, match: Match, printed: Mapping[str, Fraction]) -> Iterator[Violation]:
    """Require the print on both sides of every joint to meet in height.

    ``printed`` has, by drop, the height of a motif datum on each piece as it hangs. Where no two pieces meet
    along a joint (over a door, say, or across a column without paper) the columns are compared all the same.
    """
    if not match.repeat:
        return
    papered = [column.number for column in hung.columns if _printed_of(hung, column.number, printed)]
    seams = {(seam.left.column, seam.right.column): seam for seam in run.seams if seam.is_joint}
    for left, right in pairwise(papered):
        seam = seams.get((left, right))
        pairs = [] if seam is None else list(_meeting(hung, seam, printed))
        if not pairs:
            pairs = [(_printed_of(hung, left, printed)[0], _printed_of(hung, right, printed)[0])]
        name = f"joint between columns {exact_text(left)} and {exact_text(right)}"
        for one, other in pairs:
            lower = match.offset * (right - left)
            out = nearest(printed[one.drop] - lower - printed[other.drop], match.repeat)
            if out:
                place = f" at {run.place(seam.at)}" if seam is not None else ""
                message = (
                    f"the print of {other.name} sits {mm(abs(out))} too {_way(out)} against {one.name} "
                    f"on its left{place}"
                )
                yield Violation("joint", name, message, abs(out))


def _printed_of(hung: Hung, column: int, printed: Mapping[str, Fraction]) -> list[Piece]:
    """Return the pieces of a column whose print is known, from the top down."""
    return [piece for piece in hung.pieces_of(column) if piece.drop in printed]


def _meeting(hung: Hung, seam: Seam, printed: Mapping[str, Fraction]) -> Iterator[tuple[Piece, Piece]]:
    lefts = [one for one in _printed_of(hung, seam.left.column, printed) if _reaches(one, seam.left, right=True)]
    rights = [one for one in _printed_of(hung, seam.right.column, printed) if _reaches(one, seam.right, right=False)]
    yield from ((one, other) for one in lefts for other in rights if one.meets(other))


def _reaches(piece: Piece, laid: Laid, *, right: bool) -> bool:
    """Return True when a piece hangs at the right or at the left edge of a panel of its column."""
    edge = laid.panel
    return any(
        panel.wall == edge.wall and (panel.right == edge.right if right else panel.left == edge.left)
        for panel in piece.panels
    )


def column_rule(hung: Hung, match: Match, printed: Mapping[str, Fraction]) -> Iterator[Violation]:
    """Require the pieces of one column, over and under an opening, to carry one print from top to bottom."""
    if not match.repeat:
        return
    for column in hung.columns:
        pieces = _printed_of(hung, column.number, printed)
        for piece in pieces[1:]:
            out = nearest(printed[pieces[0].drop] - printed[piece.drop], match.repeat)
            if out:
                message = f"the print of {piece.name} sits {mm(abs(out))} too {_way(out)} under {pieces[0].name}"
                yield Violation("print", column_name(column.number), message, abs(out))


def nearest(difference: Fraction, repeat: Fraction) -> Fraction:
    """Return a difference of heights less whole repeats, at most half a repeat either way; half is positive."""
    within = difference % repeat
    return within if within <= repeat / 2 else within - repeat


def _way(out: Fraction) -> str:
    return "low" if out > 0 else "high"


def prints_hung(wanted: Wanted, plan: ListedPlan, hung: Hung, trim_top: Fraction) -> dict[str, Fraction]:
    """Return, by drop, the height above the floor line of one motif datum on each piece, as it hangs.

    Pieces that are cut from no roll, or from an unknown one, are left out; those that are not wanted, for they stay
    bare, hang as they are said to.
    """
    pieces = {piece.drop: piece for piece in hung.all_in_order}
    printed = {label: piece.top - piece.first_motif for label, piece in pieces.items() if label not in wanted.drops}
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
        yield Violation("start", column_name(piece.column), message, abs(out))


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
