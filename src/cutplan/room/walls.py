"""Rooms: walls in the order in which one faces them, their corners, openings and fittings.

Directions: along a wall to the right from its left edge, as one faces it; heights up from the floor
line, one level line for the whole run, so that walls beside a stair rise with it.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator
from enum import Enum
from fractions import Fraction
from functools import cached_property
from itertools import combinations, pairwise
from typing import TYPE_CHECKING, Any, Final, TypeVar

from msgspec import Struct

from cutplan.lengths import ZERO, Length
from cutplan.room.finding import Finding, finding, raise_any

if TYPE_CHECKING:
    from cutplan.room.profile import Profile

T = TypeVar("T")

INTERNAL_TURN: Final = Fraction(20)
"""Paper turned round an internal corner, in millimetres: 12–25 mm [practice]."""
EXTERNAL_TURN: Final = Fraction(40)
"""Paper turned round an external corner, in millimetres: 25–50 mm [practice]."""
_MOST_KNOWN: Final = 200_000
"""What is worked out once for a room is forgotten when there is more of it, for the sake of memory."""


class CornerKind(Enum):
    """Which way the wall turns, as one stands in the room."""

    INTERNAL = "internal"
    EXTERNAL = "external"


class Corner(Struct, frozen=True):
    """How paper is taken round a corner."""

    kind: CornerKind

    turn: Length
    """How much of the strip is turned on to the next wall before it is slit."""
    lap: Length
    """How much of that turn the rest of the strip covers. The whole turn: its edge lies in the corner, and that much
    print is lost. Nothing: its edge butts against the turned one."""
    is_true: bool = False
    """True when an external corner is plumb, so that the strip is carried round uncut."""

    def __post_init__(self) -> None:
        raise_any(self._findings())

    @classmethod
    def usual(
        cls, kind: CornerKind, turn: Length | None = None, lap: Length | None = None, *, is_true: bool = False
    ) -> Corner:
        """Return a corner round which paper is taken as usual, but for what is told.

        The rest of the strip is hung into an internal corner, and butts against the turn at an external one.
        """
        is_internal = kind is CornerKind.INTERNAL
        if turn is None:
            turn = INTERNAL_TURN if is_internal else EXTERNAL_TURN
        if lap is None:
            lap = turn if is_internal else ZERO
        return cls(kind, turn, lap, is_true)

    def _findings(self) -> Iterator[Finding]:
        if self.turn < 0:
            yield finding(("turn",), "cannot be less than 0, not {}", self.turn)
        elif not 0 <= self.lap <= self.turn:
            yield finding(("lap",), "must be from 0 to the turn of {}, not {}", self.turn, self.lap)
        if self.is_true and self.kind is CornerKind.INTERNAL:
            yield finding(
                ("true",), "paper is never carried round an internal corner; leave true out, or mend the kind"
            )


class OpeningKind(Enum):
    """What interrupts the paper."""

    DOOR = "door"
    WINDOW = "window"
    FIREPLACE = "fireplace"
    UNIT = "unit"
    ALCOVE = "alcove"
    OTHER = "opening"


class Opening(Struct, frozen=True):
    """A rectangle of wall that is not papered."""

    name: str
    kind: OpeningKind

    left: Length
    width: Length
    """Along the wall, from its left edge."""
    foot: Length
    """Height of its lower edge above the floor line."""
    height: Length
    """From its foot to its head; a fireplace is measured to its shelf."""
    reveal: Length = ZERO
    """Depth of a reveal that is papered; 0 when there is none."""

    def __post_init__(self) -> None:
        raise_any(self._findings())

    def _findings(self) -> Iterator[Finding]:
        yield from _not_negative(left=self.left, foot=self.foot, reveal=self.reveal)
        yield from more_than_zero(width=self.width, height=self.height)

    @property
    def right(self) -> Length:
        """Its right edge, from the wall's left edge."""
        return self.left + self.width

    @property
    def head(self) -> Length:
        """Height of its upper edge above the floor line."""
        return self.foot + self.height


class FittingKind(Enum):
    """What is fixed to a wall without interrupting the paper."""

    RADIATOR = "radiator"
    LIGHT = "light"
    SOCKET = "socket"
    SWITCH = "switch"
    OTHER = "fitting"

    @property
    def is_electric(self) -> bool:
        """True when there are wires behind it."""
        return self in (FittingKind.LIGHT, FittingKind.SOCKET, FittingKind.SWITCH)


class Fitting(Struct, frozen=True):
    """Something fixed to the wall that the paper goes behind or round: it only gives rise to notices."""

    name: str
    kind: FittingKind
    left: Length
    width: Length = ZERO
    foot: Length = ZERO
    height: Length = ZERO

    def __post_init__(self) -> None:
        raise_any(_not_negative(left=self.left, width=self.width, foot=self.foot, height=self.height))

    @property
    def right(self) -> Length:
        """Its right edge, from the wall's left edge."""
        return self.left + self.width

    def is_beside(self, wall: Wall) -> bool:
        """Return True when it lies wholly above what is papered of a wall, or below it."""
        top, foot = wall.top.highest(self.left, self.right), wall.foot.lowest(self.left, self.right)
        return self.foot >= top or 0 < self.foot + self.height <= foot


class Wall(Struct, frozen=True):
    """One wall between two corners."""

    name: str
    width: Length

    top: Profile
    foot: Profile
    """The lines between which it is papered."""
    openings: tuple[Opening, ...] = ()
    """What is not papered; they do not overlap."""
    fittings: tuple[Fitting, ...] = ()
    """What is only to be warned about."""

    def __post_init__(self) -> None:
        raise_any(more_than_zero(width=self.width))
        raise_any(self._findings())

    def _findings(self) -> Iterator[Finding]:
        is_short = self._is_short()
        if is_short:
            furthest = max(self._ends())
            text = "is {}, but most of what is on the wall ends further right, up to {} from its left; measure it again"
            yield finding(("width",), text, self.width, furthest)
        faulty = is_short
        for key, profile in (("top", self.top), ("foot", self.foot)):
            for found in _profile_findings(profile, None if is_short else self.width):
                faulty = True
                yield found.below(key)
        if not faulty:
            yield from self._crossing_findings()
            for index, opening in enumerate(self.openings):
                for found in self._opening_findings(opening):
                    yield found.below("opening", index)
        yield from self._overlap_findings()
        for index, fitting in enumerate(self.fittings):
            if fitting.right > self.width and not is_short:
                text = "ends {} from the left of a wall {} wide; measure its left and width again"
                path = ("fitting", index, "width" if fitting.width else "left")
                yield finding(path, text, fitting.right, self.width)

    @property
    def things(self) -> tuple[Opening | Fitting, ...]:
        """Whatever stands or hangs on it: its openings, then its fittings."""
        return (*self.openings, *self.fittings)

    def _ends(self) -> list[Length]:
        """Return where whatever is measured along this wall ends, from its left."""
        lines = [profile.alongs[-1] for profile in (self.top, self.foot) if profile.level is None]
        return [*lines, *(thing.right for thing in self.things)]

    def _is_short(self) -> bool:
        """Return True when the width is to blame: more than one thing ends beyond it, and most of them do."""
        ends = self._ends()
        beyond = sum(end > self.width for end in ends)
        return beyond > 1 and beyond * 2 > len(ends)

    def _crossing_findings(self) -> Iterator[Finding]:
        text = "lies at {}, below the foot of {}, at {} from the left; the top must lie above the foot"
        for along in sorted({*self.top.alongs, *self.foot.alongs, self.width}):
            top, foot = self.top.just_right_of(along), self.foot.just_right_of(along)
            if top >= foot:
                top, foot = self.top.just_left_of(along), self.foot.just_left_of(along)
            if top < foot:
                yield finding(("top",), text, top, foot, along)
                return
        if self.top.highest(ZERO, self.width) == self.foot.lowest(ZERO, self.width):
            yield finding(("top",), "must lie above the foot, not at the same height of {}", self.top.points[0][1])

    def _opening_findings(self, opening: Opening) -> Iterator[Finding]:
        if opening.right > self.width:
            text = "ends {} from the left of a wall {} wide; measure its left and width again"
            yield finding(("width",), text, opening.right, self.width)
            return
        top = self.top.highest(opening.left, opening.right)
        foot = self.foot.lowest(opening.left, opening.right)
        if opening.head > self.top.taken_up(top):
            text = "reaches {} above the floor line, higher than the wall's top of {} there"
            yield finding(("height",), text, opening.head, top)
        elif opening.head <= foot:
            text = "reaches {} above the floor line only, not above the wall's foot of {} there"
            yield finding(("height",), text, opening.head, foot)

    def _overlap_findings(self) -> Iterator[Finding]:
        for (_, one), (index, other) in combinations(enumerate(self.openings), 2):
            across = min(one.right, other.right) - max(one.left, other.left)
            up = min(one.head, other.head) - max(one.foot, other.foot)
            if across > 0 and up > 0:
                text = "overlaps {} by {} across and {} in height; measure both again"
                yield finding(("opening", index, "left"), text, one.name, across, up)


def _profile_findings(profile: Profile, width: Length | None) -> Iterator[Finding]:
    """Yield what is wrong with a line along a wall; None for a width that is itself at fault."""
    for along, height in profile.points:
        if height < 0:
            yield finding((), "cannot lie below the floor line, at {}", height)
        if width is not None and not 0 <= along <= width:
            yield finding((), "has a point {} from the left of a wall {} wide", along, width)
    if profile.level is not None:
        return
    if any(after < before for before, after in pairwise(profile.alongs)):
        yield finding((), "must have its points from left to right")
    elif width is not None and (profile.alongs[0] != 0 or profile.alongs[-1] != width):
        text = "must run from 0 to the wall's width of {}, not from {} to {}"
        yield finding((), text, width, profile.alongs[0], profile.alongs[-1])


def _not_negative(**lengths: Length) -> Iterator[Finding]:
    for key, length in lengths.items():
        if length < 0:
            yield finding((key,), "cannot be less than 0, not {}", length)


def more_than_zero(**lengths: Length) -> Iterator[Finding]:
    """Yield what is wrong with lengths, told by their keys, of which none may be 0 or less."""
    for key, length in lengths.items():
        if length <= 0:
            yield finding((key,), "must be more than 0, not {}", length)


class Room(Struct, frozen=True, dict=True):
    """A run of walls, left to right as one faces them."""

    walls: tuple[Wall, ...]
    """In order; at least one."""
    corners: tuple[Corner, ...]
    """``corners[i]`` is at the right edge of ``walls[i]``. A run that closes has one for each wall, the last of them
    between the last wall and the first; any other run has one fewer."""
    closes: bool
    """True when the last wall meets the first: a whole room."""
    level_line: Length | None = None
    """Height of the level line that the print hangs from; None for the top of the wall at the start."""
    built: int | None = None
    """Year the house was built; None when not known."""
    textured: bool = False
    """True when ceiling or walls have a textured coating."""

    def __post_init__(self) -> None:
        raise_any(self._findings())

    def _findings(self) -> Iterator[Finding]:
        if not self.walls:
            yield finding(("wall",), "a room needs at least one wall")
        elif self.closes and len(self.walls) == 1:
            yield finding(("closes",), "one wall cannot close on itself; add the others, or leave closes out")
        elif len(self.corners) != len(self.walls) - (not self.closes):
            yield finding(("wall",), "a run has a corner after each wall, but after the last only if it closes")
        if self.level_line is not None and self.level_line < 0:
            yield finding(("level_line",), "cannot lie below the floor line, at {}", self.level_line)

    def once(self, key: Hashable, work: Callable[[], T]) -> T:
        """Return what ``work`` comes to, worked out once: ``key`` tells all that it depends on besides this room.

        Strips recur where a room is set out from one start after another.
        """
        try:
            found: T = self._known[key]
        except KeyError:
            if len(self._known) >= _MOST_KNOWN:
                self._known.clear()
            found = self._known[key] = work()
        return found

    @cached_property
    def _known(self) -> dict[Hashable, Any]:
        """What :meth:`once` has worked out; another process learns it anew."""
        return {}

    @property
    def length(self) -> Length:
        """Length of the whole run."""
        return sum((wall.width for wall in self.walls), ZERO)

    def corner_right_of(self, wall: int) -> Corner | None:
        """Return the corner at the right edge of wall ``wall``, counted from 0; None where the run ends."""
        return self.corners[wall] if wall < len(self.corners) else None

    def corner_left_of(self, wall: int) -> Corner | None:
        """Return the corner at the left edge of wall ``wall``, counted from 0; None where the run ends."""
        if wall:
            return self.corners[wall - 1]
        return self.corners[-1] if self.closes else None
