"""Borders round a room, level or along slopes: a strip along each straight stretch, mitred where its rake changes.

A border is measured along the edge that was asked for, its lower one or its upper one. Its ends lean: cut plumb at
corners and at openings, mitred where the rake changes, square where a roll ends. The print goes on along the middles of
strips. Lengths along a slope are taken up to the next :data:`SLOPE_STEP`, and leans to the nearest.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import accumulate, pairwise
from math import isqrt
from typing import NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from cutplan.lengths import ZERO, Length
from cutplan.parts.border import BorderPaper, BorderSetOut, BorderStrip, Closes, StripOnWall, out_by
from cutplan.parts.rails import Line
from cutplan.room.profile import SLOPE_STEP, Profile
from cutplan.room.walls import CornerKind, Room, Wall
from cutplan.setting_out.finish import FinishAt, sensible_finishes

_FINE = 1 << 20
"""Roots for leans are taken to one in so many."""


class Leg(NamedTuple):
    """A straight stretch of the edge on a wall, counted from 0: from a height at its left, rising to its right.

    ``is_open`` tells one that an opening takes, so that nothing hangs there.
    """

    wall: int
    left: Length
    right: Length
    height: Length
    rise: Length
    is_open: bool = False

    @property
    def along(self) -> Length:
        """Its length along the slope."""
        run = self.right - self.left
        if not self.rise:
            return run
        square = (run * run + self.rise * self.rise) / SLOPE_STEP**2
        whole = isqrt(square.numerator // square.denominator)
        return (whole + (whole * whole < square)) * SLOPE_STEP

    def part(self, left: Length, right: Length, *, is_open: bool = False) -> Leg:
        """Return as much of it as lies between two places of its wall."""
        steep = self.rise / (self.right - self.left)
        height = self.height + steep * (left - self.left)
        return Leg(self.wall, left, right, height, steep * (right - left), is_open or self.is_open)


class Laid(Struct, frozen=True):
    """A strip: its legs, of which all are level where there are more, and how its two ends lean.

    A lean is how much further right the far edge of an end lies than the edge that is measured, along the strip.
    """

    legs: tuple[Leg, ...]
    leans: tuple[Length, Length] = (ZERO, ZERO)

    @property
    def along(self) -> Length:
        """Length of the edge that is measured."""
        return sum((leg.along for leg in self.legs), ZERO)

    @property
    def lead(self) -> Length:
        """From the end that comes off the roll first to the measured edge's left end."""
        return -min(self.leans[0], ZERO)

    @property
    def length(self) -> Length:
        """What is cut, along the strip, without its ends."""
        return self.lead + self.along + max(self.leans[1], ZERO)

    @property
    def middle(self) -> Length:
        """Length of its middle line."""
        return self.along + (self.leans[1] - self.leans[0]) / 2


def along_line(
    room: Room,
    line: Line,
    paper: BorderPaper,
    motif_at: tuple[int, Length],
    closing: tuple[int, Length] | None,
    *,
    by_top: bool,
) -> BorderSetOut:
    """Return a border with its lower edge along a line, or its upper one where it is told ``by_top``.

    It is joined in internal corners, where its rake changes, and at openings as high as it is wide, else where a roll
    ends. ``motif_at`` is the wall and the place of a motif, ``closing`` those where a room closes; None for an opening
    that interrupts it, or the corner nearest to a door. What is measured by its upper edge is reckoned upside down.
    """
    legs = [
        leg for number, wall in enumerate(room.walls) for leg in _legs(number, wall, line, paper.width, by_top=by_top)
    ]
    longest = paper.longest - leaning(room, line, paper.width)
    begin = (0, ZERO)
    if room.closes:
        begin = closing or _closing(room, legs, motif_at[0])
        legs = _from(legs, begin)
    laid = [
        part
        for run in _runs(legs, room, is_joined_in_corners=paper.joins_in_corners, begin=begin if room.closes else None)
        for part in _cut_to_rolls(run, longest)
    ]
    strips = _with_leans(laid, paper.width, closes=room.closes)
    if by_top:
        strips = [_upright(strip) for strip in strips]
    return _as_strips(strips, room, paper, (motif_at, begin), by_top=by_top)


def stays_on(wall: Wall, line: Line, width: Length, *, by_top: bool) -> bool:
    """Return True when a border along a line lies on a wall all along it."""
    foot, top = wall.foot, wall.top
    legs = Laid(tuple(_legs(0, wall, line, width, by_top=by_top)))
    for leg in _upright(legs).legs if by_top else legs.legs:
        plumb = width * leg.along / (leg.right - leg.left)
        inner = [along for along in (*foot.alongs, *top.alongs) if leg.left < along < leg.right]
        for along in (leg.left, *inner, leg.right):
            low = leg.height + leg.rise * (along - leg.left) / (leg.right - leg.left) - (plumb if by_top else ZERO)
            feet = [foot.just_right_of(along)] if along < leg.right else []
            tops = [top.just_right_of(along)] if along < leg.right else []
            feet += [foot.just_left_of(along)] if along > leg.left else []
            tops += [top.just_left_of(along)] if along > leg.left else []
            if low < max(feet) or low + plumb > min(tops):
                return False
    return True


def far_edge(wall: Wall, line: Line, width: Length, *, by_top: bool) -> Profile | None:
    """Return the edge of a border that was not asked for: as far from the line as it is wide, mitred where that bends.

    None where a stretch is shorter than its mitres.
    """
    legs = list(_straight(0, wall, line, by_top=by_top))
    plumb = [width * leg.along / (leg.right - leg.left) for leg in legs]
    points = [(ZERO, legs[0].height + plumb[0])]
    for (one, other), (near, far) in zip(pairwise(legs), pairwise(plumb), strict=True):
        steep = one.rise / (one.right - one.left)
        beyond = (near - far) / (other.rise / (other.right - other.left) - steep)
        points.append((_nearest(one.right + beyond), _nearest(other.height + near + steep * beyond)))
    points.append((wall.width, legs[-1].height + legs[-1].rise + plumb[-1]))
    if any(one[0] >= other[0] for one, other in pairwise(points)):
        return None
    way = -1 if by_top else 1
    return Profile(tuple((along, way * _nearest(height)) for along, height in points))


def has_step(wall: Wall, line: Line) -> bool:
    """Return True when a line jumps from one height to another on a wall."""
    alongs = line.on(wall).alongs
    return len(set(alongs)) < len(alongs)


def _upright(laid: Laid) -> Laid:
    """Return what was reckoned upside down as it hangs."""
    return replace(laid, legs=tuple(leg._replace(height=-leg.height, rise=-leg.rise) for leg in laid.legs))


def _legs(number: int, wall: Wall, line: Line, width: Length, *, by_top: bool) -> Iterator[Leg]:
    """Yield the straight stretches of the edge on one wall in parts, those open that an opening takes."""
    for leg in _straight(number, wall, line, by_top=by_top):
        yield from _parted(leg, wall, width, -1 if by_top else 1)


def _straight(number: int, wall: Wall, line: Line, *, by_top: bool) -> list[Leg]:
    """Return the straight stretches of the edge on one wall, left to right; one by its top upside down."""
    way = -1 if by_top else 1
    edge = line.on(wall)
    marks = sorted({ZERO, wall.width, *(along for along in edge.alongs if ZERO < along < wall.width)})
    found: list[Leg] = []
    for left, right in pairwise(marks):
        height = way * edge.just_right_of(left)
        leg = Leg(number, left, right, height, way * edge.just_left_of(right) - height)
        last = found[-1] if found else None
        if last is not None and last.rise * (right - left) == leg.rise * (last.right - last.left):
            leg = last.part(last.left, right)
            found.pop()
        found.append(leg)
    return found


def _parted(leg: Leg, wall: Wall, width: Length, way: int) -> Iterator[Leg]:
    """Yield a leg in parts, those open that an opening takes from the border's lower edge to its upper one."""
    plumb = width * leg.along / (leg.right - leg.left)
    at = leg.left
    for opening in sorted(wall.openings, key=lambda opening: opening.left):
        left, right = max(opening.left, at), min(opening.right, leg.right)
        if left >= right:
            continue
        part = leg.part(left, right, is_open=True)
        low, high = min(part.height, part.height + part.rise), max(part.height, part.height + part.rise) + plumb
        foot, head = sorted((way * opening.foot, way * opening.head))
        if foot <= low and head >= high:
            if at < left:
                yield leg.part(at, left)
            yield part
            at = right
    if at < leg.right:
        yield leg.part(at, leg.right)


def _closing(room: Room, legs: Sequence[Leg], wall: int) -> tuple[int, Length]:
    """Return where a room's border closes: at an opening that takes it, else in the corner nearest to a door.

    One that runs level all round closes where the opening begins, any other behind it.
    """
    is_level = len({leg.height for leg in legs}) == 1 and not any(leg.rise for leg in legs)
    for leg, after in pairwise([*legs, legs[0]]):
        if is_level and after.is_open and not leg.is_open:
            return after.wall, after.left
        if leg.is_open and not is_level:
            return leg.wall, leg.right
    corner = next(each for each in sensible_finishes(room, wall) if isinstance(each, FinishAt))
    return corner.wall, corner.at


def _from(legs: Sequence[Leg], begin: tuple[int, Length]) -> list[Leg]:
    """Return the legs of a closed room in order from a place once round, the one that lies across it parted there."""
    before, after = [], []
    for leg in legs:
        if leg.wall == begin[0] and leg.left < begin[1] < leg.right:
            before.append(leg.part(leg.left, begin[1]))
            after.append(leg.part(begin[1], leg.right))
        else:
            (after if (leg.wall, leg.left) >= begin else before).append(leg)
    return after + before


def _runs(
    legs: Sequence[Leg], room: Room, *, is_joined_in_corners: bool, begin: tuple[int, Length] | None
) -> Iterator[Laid]:
    """Yield legs as strips: level ones that nothing parts in one, round an outer corner too."""
    held: list[Leg] = []
    for leg in legs:
        is_level = held and _is_level(held[-1], leg) and (leg.wall, leg.left) != begin
        is_parted = is_level and is_joined_in_corners and room.corners[held[-1].wall].kind is CornerKind.INTERNAL
        if held and (is_parted or not is_level):
            yield Laid(tuple(held))
            held = []
        held.append(leg)
    yield Laid(tuple(held))


def _is_level(one: Leg, other: Leg) -> bool:
    if one.is_open or other.is_open or one.wall == other.wall:
        return False
    return not one.rise and not other.rise and one.height == other.height


def leaning(room: Room, line: Line, width: Length) -> Length:
    """Return how much longer than its measured edge a strip may be for its two ends: no mitre leans more than plumb."""
    slopes = [
        abs(other[1] - one[1]) / (other[0] - one[0])
        for wall in room.walls
        for one, other in pairwise(line.on(wall).points)
        if one[0] < other[0]
    ]
    return 2 * width * max(slopes, default=ZERO)


def _cut_to_rolls(run: Laid, longest: Length) -> Iterator[Laid]:
    """Yield a strip in parts that a roll is sure to give."""
    held: list[Leg] = []
    room = longest
    for leg in run.legs:
        rest = leg
        while not leg.is_open and rest.along > room:
            at = rest.left + (rest.right - rest.left) * room / rest.along
            at = (at // SLOPE_STEP) * SLOPE_STEP if rest.rise else at
            yield Laid((*held, rest.part(rest.left, at)) if at > rest.left else tuple(held))
            rest, held, room = rest.part(at, rest.right), [], longest
        held.append(rest)
        room -= rest.along
    yield Laid(tuple(held))


def _with_leans(laid: Sequence[Laid], width: Length, *, closes: bool) -> list[Laid]:
    """Return strips with their ends: mitred to a neighbour of another rake, square to one of the same, else plumb."""
    ends = []
    for number, strip in enumerate(laid):
        before = laid[number - 1] if number or closes else None
        after = laid[(number + 1) % len(laid)] if number + 1 < len(laid) or closes else None
        first, last = strip.legs[0], strip.legs[-1]
        left = _lean(None if before is None else before.legs[-1], first, width, is_left=True)
        right = _lean(last, None if after is None else after.legs[0], width, is_left=False)
        ends.append(replace(strip, leans=(left, right)))
    return ends


def _lean(one: Leg | None, other: Leg | None, width: Length, *, is_left: bool) -> Length:
    """Return how the end of a strip leans at the place where one leg ends and another begins."""
    own = other if is_left else one
    assert own is not None  # noqa: S101 - the strip whose end it is
    run = own.right - own.left
    is_met = one is not None and other is not None and not (one.is_open or other.is_open)
    if one is None or other is None or not is_met or one.wall != other.wall or one.right != other.left:
        return _nearest(width * own.rise / run)
    across = (one.right - one.left) * other.rise - one.rise * (other.right - other.left)
    if not across:
        return ZERO
    dot = (one.right - one.left) * (other.right - other.left) + one.rise * other.rise
    square = ((one.right - one.left) ** 2 + one.rise**2) * ((other.right - other.left) ** 2 + other.rise**2)
    root = isqrt(int(square * _FINE**2))
    lean = _nearest(width * across / (dot + Fraction(root, _FINE)))
    return lean if is_left else -lean


def _nearest(lean: Length) -> Length:
    return round(lean / SLOPE_STEP) * SLOPE_STEP


def _as_strips(
    laid: Sequence[Laid],
    room: Room,
    paper: BorderPaper,
    places: tuple[tuple[int, Length], tuple[int, Length]],
    *,
    by_top: bool,
) -> BorderSetOut:
    """Return what is hung of the strips with their print, which is counted along their middles from the first.

    ``places`` are those of a motif and of the beginning.
    """
    motif_at, begin = places
    starts = list(accumulate((strip.middle for strip in laid), initial=ZERO))
    pairs = list(zip(laid, starts[:-1], strict=True))
    motif = next((at for strip, start in pairs if (at := _motif_along(strip, start, motif_at)) is not None), ZERO)
    strips = tuple(
        BorderStrip(
            strip.length,
            paper.pattern.within_repeat(motif - start + strip.lead + strip.leans[0] / 2),
            tuple(_stretch(leg, paper.width, by_top=by_top) for leg in strip.legs),
            leans=strip.leans,
            by_top=by_top,
        )
        for strip, start in pairs
        if not strip.legs[0].is_open
    )
    if not room.closes or not strips:
        return BorderSetOut(strips, None)
    is_hidden = laid[0].legs[0].is_open or laid[-1].legs[-1].is_open
    wall, at = begin if begin[1] < room.walls[begin[0]].width else ((begin[0] + 1) % len(room.walls), ZERO)
    return BorderSetOut(strips, Closes(wall, at, out_by(paper.pattern, starts[-1]), is_hidden))


def _motif_along(strip: Laid, start: Length, motif_at: tuple[int, Length]) -> Length | None:
    """Return how far along the middles the place of a motif lies; None where it lies on another strip."""
    at = start - strip.leans[0] / 2
    for leg in strip.legs:
        if leg.wall == motif_at[0] and leg.left <= motif_at[1] <= leg.right:
            return at + _nearest(leg.along * (motif_at[1] - leg.left) / (leg.right - leg.left))
        at += leg.along
    return None


def _stretch(leg: Leg, width: Length, *, by_top: bool) -> StripOnWall:
    foot = leg.height - width if by_top else leg.height
    return StripOnWall(leg.wall, leg.left, leg.right, foot, foot + width, leg.rise)
