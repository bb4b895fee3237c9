"""Which places for the start and the finish are worth comparing: a sweep, and what the trade would try."""

from __future__ import annotations

from collections.abc import Iterator
from difflib import get_close_matches
from math import floor
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from cutplan.errors import RefusedError
from cutplan.lengths import UNITS, ZERO, Length
from cutplan.paper.stock import Paper
from cutplan.room.finding import RoomError
from cutplan.room.walls import Room
from cutplan.setting_out import Finish, Puts, SettingOut, Start, sensible_finishes, set_out
from cutplan.setting_out.start import hung_at, left_of_start

METRIC_STEP: Final[Length] = 10 * UNITS["mm"]
IMPERIAL_STEP: Final[Length] = 3 * UNITS["in"] / 8
"""Steps of the sweep, so that places read whole on a tape: the second is 9.5 mm."""


class NotARoomError(RefusedError):
    """There is nothing to compare, or no such thing in the room to start from."""


class Focus(Struct, frozen=True):
    """The focal point, on which a tradesman would centre something: on a wall, counted from 0, from its left edge."""

    wall: int
    at: Length


class Placement(Struct, frozen=True):
    """One place for the start and the finish."""

    start: Start
    finish: Finish | None
    """As a setting out takes them; a finish of None is the place that the trade would choose, or that hanging one way
    makes."""
    on_focus: Puts | None
    """What lies on the focal point: the motif, a joint or the middle of a strip; None for nothing of the kind."""
    finish_rank: int = 0
    """How far down the trade's own order the finish stands, from 0."""
    is_own: bool = False


def focus_of(setting_out: SettingOut) -> Focus:
    """Return the point on which the scenario starts: the one that it means to centre on."""
    return Focus(setting_out.start.wall, setting_out.start.at)


def focus_named(room: Room, name: str) -> Focus:
    """Return the middle of a wall, opening or fitting.

    NotARoomError when nothing in the room is called that, or more than one thing is.
    """
    named = list(_things(room))
    found = [focus for known, focus in named if known == name]
    if len(found) == 1:
        return found[0]
    if found:
        text = f"{len(found)} things in the room are called {name!r}; name them apart, or start from another"
        raise NotARoomError(text)
    names = list(dict.fromkeys(known for known, _ in named))
    close = get_close_matches(name, names, n=1)
    remedy = f"did you mean {close[0]!r}?" if close else f"there is {', '.join(map(repr, names))}"
    raise NotARoomError(f"nothing in the room is called {name!r}; {remedy}")


def _things(room: Room) -> Iterator[tuple[str, Focus]]:
    for index, wall in enumerate(room.walls):
        yield wall.name, Focus(index, wall.width / 2)
        for thing in wall.things:
            yield thing.name, Focus(index, (thing.left + thing.right) / 2)


class Insisted(Struct, frozen=True):
    """What is fixed, whatever else it costs."""

    on_focus: Puts | None = None
    """What must lie on the focal point; None when anything may."""
    start: bool = False
    """True to keep the scenario's start as it is."""
    finish: bool = False
    """True to keep the scenario's finish as it is."""


def placements_of(
    setting_out: SettingOut, focus: Focus, *, step: Length = METRIC_STEP, insisted: Insisted | None = None
) -> tuple[Placement, ...]:
    """Return the placements to compare, the scenario's own first.

    The sweep moves the first strip across the focal point by its own width: a strip further on only numbers the columns
    anew. What the trade would try is added: motif, joint and middle of a strip on the point, a joint in either corner
    of the wall. Each start goes with each finish that is sensible from it. Neighbours in the list differ little.
    """
    fixed = insisted or Insisted()
    start = setting_out.start
    finish, finishes = _finishes(setting_out, focus)
    own = Placement(
        start,
        finish,
        start.puts if (start.wall, start.at) == (focus.wall, focus.at) else None,
        finishes.index(finish),
        is_own=True,
    )
    starts = _starts(setting_out, focus, step, fixed)
    others = [
        Placement(start, finish, on_focus, rank)
        for rank, finish in enumerate(finishes)
        if not fixed.finish or rank == own.finish_rank
        for start, on_focus in (starts if rank % 2 else reversed(starts))  # To and fro, so that neighbours are alike.
    ]
    return (own, *(other for other in others if (other.start, other.finish) != (own.start, own.finish)))


def _starts(setting_out: SettingOut, focus: Focus, step: Length, fixed: Insisted) -> list[tuple[Start, Puts | None]]:
    """Return the starts to compare, by the left edge of the first strip, each with what it puts on the focal point."""
    if fixed.start:
        return [(setting_out.start, setting_out.start.puts)]
    room, paper = setting_out.room, setting_out.paper

    def start_at(at: Length, puts: Puts) -> Start:
        return hung_at(room, paper, replace(setting_out.start, wall=focus.wall, at=at, puts=puts))

    centred = [
        (start_at(focus.at, puts), puts) for puts in Puts if puts is not Puts.MOTIF or paper.motif_from_left is not None
    ]
    if fixed.on_focus is not None:
        return [(start, puts) for start, puts in centred if puts is fixed.on_focus]
    width = room.walls[focus.wall].width
    in_corners = (start_at(at, Puts.JOINT) for at in (ZERO, width))
    swept = _swept(paper, focus, width, step)
    sweep = (start_at(at, Puts.MIDDLE) for at in swept)
    starts = [*((start, None) for start in (*sweep, *in_corners)), *centred]
    right_first = setting_out.way.is_right_first
    return sorted(starts, key=lambda pair: pair[0].at - left_of_start(paper, pair[0], right_first=right_first))


def _swept(paper: Paper, focus: Focus, width: Length, step: Length) -> list[Length]:
    """Return where the middle of the first strip goes, left to right: up to half a strip from the focal point."""
    half = (paper.wet_width or ZERO) / 2
    most = floor(half / step)
    alongs = (focus.at + number * step for number in range(-most, most + 1) if number)
    return [at for at in alongs if 0 <= at <= width]


def _finishes(setting_out: SettingOut, focus: Focus) -> tuple[Finish | None, list[Finish | None]]:
    """Return the scenario's finish, and all that are worth comparing, best first; that one is among them."""
    if not setting_out.room.closes or setting_out.way.is_one_way:
        return None, [None]
    sensible: list[Finish | None] = list(sensible_finishes(setting_out.room, focus.wall))
    own = setting_out.finish or _chosen_finish(setting_out)
    return own, sensible if own in sensible else [*sensible, own]


def _chosen_finish(setting_out: SettingOut) -> Finish | None:
    """Return which sensible finish the trade's rule chose."""
    room, start = setting_out.room, setting_out.start
    for finish in sensible_finishes(room, start.wall):
        try:
            same = set_out(room, setting_out.paper, start, setting_out.way, finish)
        except RoomError:
            continue
        if same.closing == setting_out.closing:
            return finish
    return None
