"""The customer's page: where the print will sit, what could be had instead, and where the closing joint hides."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from cutplan.lengths import ZERO
from cutplan.render.comparing import finish_named, start_named, value_figure
from cutplan.render.drawing.lettering import isolated
from cutplan.render.drawing.wall import wall_pictures
from cutplan.render.readings import place
from cutplan.render.sheet.job import said
from cutplan.render.sheet.page import filled
from cutplan.setting_out import NoticeKind, Puts, notices_of, set_out

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cutplan.comparing import Compared, Comparison
    from cutplan.render.drawing.picture import Picture
    from cutplan.scenario import Scenario
    from cutplan.setting_out import SettingOut

_MOST_ALTERNATIVES = 3
_PUTS = {Puts.MOTIF: "The motif", Puts.JOINT: "A joint", Puts.MIDDLE: "The middle of a strip"}


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to hang the room: a picture of the wall that is looked at most, and what is to be said of it."""

    name: str
    picture: Picture
    lines: tuple[str, ...]


def customer_sheet(
    scenario: Scenario, setting_out: SettingOut, units: str | None = None, comparison: Comparison | None = None
) -> str:
    """Return the customer's page as one HTML file.

    Parameters
    ----------
    scenario
        What is to be hung.
    setting_out
        Its room set out.
    units
        ``mm``, ``cm``, ``m``, or ``in`` for feet and inches; None for the scenario's own.
    comparison
        Other places for the start, of which the first few are shown; None for none.

    """
    units = units or scenario.units
    others = [] if comparison is None else list(_alternatives(comparison, units))
    focal = setting_out.start.wall
    pictures = wall_pictures(setting_out, units, "planned", for_customer=True)
    return filled(
        "customer.html",
        {
            "title": f"Where the pattern sits: {isolated(setting_out.paper.name)}",
            "paper": isolated(setting_out.paper.name),
            "where": list(_where(setting_out, units)),
            "at_top": _noticed(setting_out, NoticeKind.MOTIF, units),
            "closing": _noticed(setting_out, NoticeKind.CLOSING, units),
            "focal": [part.picture for part in pictures if focal in part.walls],
            "rest": [part.picture for part in pictures if focal not in part.walls],
            "others": others,
            "sheet": "",
        },
    )


def _where(setting_out: SettingOut, units: str) -> Iterator[str]:
    """Yield where the print sits on the focal point and at the top there."""
    start = setting_out.start
    wall = setting_out.room.walls[start.wall]
    at = f"{place(start.at, units)} from the left of {isolated(wall.name)}"
    yield f"{_PUTS[start.puts]} is placed {at}, and the other strips follow from it."
    paper = setting_out.paper
    if paper.pattern.is_free:
        yield "The pattern needs no matching, so it sits alike wherever it is cut."
        return
    drop = paper.pattern.within_repeat(start.motif_drop)
    yield f"On that strip the motif hangs {place(drop, units)} below the level line."
    if paper.pattern.offset:
        yield "From one strip to the next the pattern steps, so strips show different parts of it at the top."


def _noticed(setting_out: SettingOut, kind: NoticeKind, units: str) -> list[str]:
    return [said(notice, units) for notice in notices_of(setting_out) if notice.kind is kind]


def _alternatives(comparison: Comparison, units: str) -> Iterator[Choice]:
    others = [compared for compared in comparison.front if not compared.placement.is_own]
    for number, compared in enumerate(others[:_MOST_ALTERNATIVES], start=1):
        now, placement = comparison.setting_out, compared.placement
        other = set_out(now.room, now.paper, placement.start, now.way, placement.finish)
        pictures = wall_pictures(other, units, f"choice-{number}", for_customer=True)
        focal = next(part for part in pictures if comparison.focus.wall in part.walls)
        yield Choice(f"Choice {number}", focal.picture, tuple(_lines(comparison, compared, units)))


def _lines(comparison: Comparison, compared: Compared, units: str) -> Iterator[str]:
    start = start_named(comparison, compared.placement, units)
    yield f"{start[:1].upper()}{start[1:]} from the left of the wall."
    what = "cost of the rolls" if comparison.counts_cost else "rolls"
    yield f"It takes {what}: {value_figure(comparison, compared.proved)}."
    if compared.cut_at_top:
        yield f"The ceiling cuts a motif in {compared.cut_at_top} columns."
    closing = compared.closing
    if closing is not None:
        where = finish_named(comparison.setting_out.room, compared.placement, units)
        out = "" if closing.height == ZERO else f", {place(abs(closing.height), units)} out in height"
        yield f"The closing joint is {where}{out}."
