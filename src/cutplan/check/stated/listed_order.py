"""The order of cutting and the timetable, as the document states them."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from msgspec import Struct

from cutplan.check.stated.fields import Table

FOLLOWED: Final = ("follow", "walls", "once")
"""What cutting keeps pace with: every drop as it is hung, whole walls, or nothing."""
ORDER_STATUSES: Final = ("optimal", "feasible")
ACTS: Final = ("cut", "paste", "hang", "inspect")


class ListedOrder(Struct, frozen=True):
    """The pieces in the order in which they are cut, and the figures claimed for it; None where not claimed."""

    cuts: tuple[str, ...]
    follow: str
    open_rolls: int | None
    most_waiting: int | None
    most_waiting_bound: int | None
    furthest_ahead: int | None
    furthest_ahead_bound: int | None
    status: str | None


class ListedAct(Struct, frozen=True):
    """Something done without a break.

    ``begin`` is in minutes from midnight of the first day, None where only ``at``, rounded down, tells it; ``minutes``
    is how long it takes, ``steps`` the first and last step of the cutting that it is, None for all but cutting.
    """

    act: str
    piece: str
    day: int
    at: str
    begin: Fraction | None
    minutes: Fraction
    steps: tuple[int, int] | None


def read_order(document: Table) -> ListedOrder | None:
    """Return the order of cutting that a plan states; None where it states none."""
    table = document.table("order")
    if table is None:
        return None
    return ListedOrder(
        cuts=table.texts("cuts", "pieces"),
        follow=table.one_of("follow", FOLLOWED) or FOLLOWED[0],
        open_rolls=table.whole("open_rolls", 1),
        most_waiting=table.whole("most_waiting"),
        most_waiting_bound=table.whole("most_waiting_lower_bound"),
        furthest_ahead=table.whole("furthest_ahead"),
        furthest_ahead_bound=table.whole("furthest_ahead_lower_bound"),
        status=table.one_of("status", ORDER_STATUSES),
    )


def read_timetable(document: Table) -> tuple[ListedAct, ...]:
    """Return the acts of a plan's timetable; none where it has no timetable."""
    return document.each("timetable", _act)


def _act(table: Table) -> ListedAct:
    act, (minutes,), steps = table.word("act", ACTS), table.exact("minutes"), tuple(_whole_steps(table))
    pair = (steps[0], steps[1]) if len(steps) == 2 else None  # noqa: PLR2004 - the first and the last
    day, begin = table.count("day"), table.number("begin")
    return ListedAct(act, table.text("piece"), day, table.text("at"), begin, minutes, pair)


def _whole_steps(table: Table) -> Iterator[int]:
    steps = table.values.get("steps")
    if steps is None:
        return
    if not isinstance(steps, list) or len(steps) != 2:  # noqa: PLR2004 - the first and the last
        table.fault("steps", "must be the first step and the last")
        return
    for step in steps:
        if isinstance(step, int) and not isinstance(step, bool) and step > 0:
            yield step
        else:
            table.fault("steps", f"must be numbers of steps, not {step!r}")
