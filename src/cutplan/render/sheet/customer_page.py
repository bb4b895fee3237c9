"""The customer's page: where the print will sit, what could be had instead, and where the closing joint hides."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from cutplan.comparing.comparison import Comparison
from cutplan.comparing.figures import Compared
from cutplan.comparing.proving import Proved
from cutplan.lengths import ZERO
from cutplan.photograph.print_of import Print
from cutplan.render.drawing.lettering import isolated
from cutplan.render.drawing.picture import Picture
from cutplan.render.drawing.wall_picture import wall_pictures
from cutplan.render.pages.comparing_page import finish_named, rolls_taken, start_named
from cutplan.render.sheet.html_page import filled
from cutplan.render.words.answer_words import money
from cutplan.render.words.names import capital
from cutplan.render.words.readings import place
from cutplan.render.words.sheet_words import strips_of_walls
from cutplan.render.words.start_lines import height_told
from cutplan.scenario.read import Scenario
from cutplan.setting_out import CutMotif, Edge, Puts, SettingOut, set_out
from cutplan.setting_out.motifs import motifs_cut_in
from cutplan.wording import counted, sits

_MOST_ALTERNATIVES = 3
_PUTS = {Puts.MOTIF: "The motif", Puts.JOINT: "A joint", Puts.MIDDLE: "The middle of a strip"}


class WayToHang(Struct, frozen=True):
    """One way to hang the room: a picture of the wall that is looked at most, and what is to be said of it."""

    name: str
    picture: Picture
    lines: tuple[str, ...]


def customer_sheet(
    scenario: Scenario,
    setting_out: SettingOut,
    units: str | None = None,
    comparison: Comparison | None = None,
    printed: Print | None = None,
) -> str:
    """Return the customer's page as one HTML file.

    Parameters
    ----------
    units
        ``mm``, ``cm``, ``m``, or ``in`` for feet and inches; None for the scenario's own.
    comparison
        Other places for the start, of which the first few are shown; None for none.
    printed
        The print itself, from a photograph of the paper; None for drawn leaves.

    """
    content = customer_content(scenario, setting_out, units or scenario.units, comparison, printed)
    title = f"Where the pattern sits: {isolated(setting_out.paper.name)}"
    return filled("customer.html", {**content, "title": title, "sheet": ""})


def cost_line(scenario: Scenario, comparison: Comparison, proved: Proved | None) -> str:
    """Return what a start takes, with its cost where there is a price; empty where it is not known."""
    if proved is None:
        return ""
    paper, cost, is_ordered = scenario.job.paper, proved.value, comparison.unit is not None
    if not scenario.of_all.job.counts_cost and paper.price is not None:
        cost = paper.price * (proved.value / paper.roll_length if is_ordered else proved.rolls)
    is_priced = proved.is_proved and (scenario.of_all.job.counts_cost or paper.price is not None)
    is_plain = proved.is_proved and not is_ordered and paper.sale.is_plain and not comparison.counts_bought
    taken = counted(proved.rolls, "roll") if is_plain else rolls_taken(comparison, proved)
    return f"It takes {taken}{f', {money(cost)} in all' if is_priced else ''}."


def customer_content(
    scenario: Scenario,
    setting_out: SettingOut,
    units: str,
    comparison: Comparison | None = None,
    printed: Print | None = None,
) -> dict[str, object]:
    """Return what the customer is shown; each as :func:`customer_sheet` takes it."""
    focal = setting_out.start.wall
    pictures = wall_pictures(setting_out, units, "planned", for_customer=True, printed=printed)
    return {
        "paper": isolated(setting_out.paper.name),
        "where": list(_where(setting_out, units)),
        "cut": list(_cut(setting_out, units)),
        "closing": list(_closing(setting_out, units)),
        "focal": [part.picture for part in pictures if focal in part.walls],
        "rest": [part.picture for part in pictures if focal not in part.walls],
        "cost": "" if comparison is None else cost_line(scenario, comparison, comparison.own.proved),
        "others": [] if comparison is None else list(_alternatives(scenario, comparison, units, printed)),
        "is_printed": printed is not None,
    }


def _where(setting_out: SettingOut, units: str) -> Iterator[str]:
    """Yield where the print sits on the focal point and at the top there."""
    if setting_out.paper.edge_trim is not None:
        yield "Each wall is divided evenly, for every joint shows; shades differ from strip to strip."
        yield from map(isolated, strips_of_walls(setting_out, units))
        return
    start = setting_out.start
    wall = setting_out.room.walls[start.wall]
    at = f"{place(start.at, units)} from the left of {isolated(wall.name)}"
    yield f"{_PUTS[start.puts]} is placed {at}, and the other strips follow from it."
    paper = setting_out.paper
    if paper.pattern.is_free:
        yield "The pattern needs no matching, so it sits alike wherever it is cut."
        return
    drop = paper.pattern.within_repeat(start.motif_drop)
    below = f"{place(drop, units)} below the level line"
    if start.motif_at is None:
        height = place(setting_out.level_line - drop, units)
        yield f"On that strip the motif hangs {below}, {height} above the floor."
    else:
        yield f"On that strip a motif hangs {isolated(height_told(start.motif_at, units))}; the first, {below}."
    if paper.pattern.offset:
        yield "From one strip to the next the pattern steps, so strips show different parts of it at the top."


def _cut(setting_out: SettingOut, units: str) -> Iterator[str]:
    """Yield how much of a motif ceiling and skirting cut, and in how many strips."""
    cuts: dict[CutMotif, set[int]] = {}
    for piece, cut in motifs_cut_in(setting_out.room, setting_out.paper, setting_out.pieces):
        cuts.setdefault(cut, set()).add(piece.column)
    strips = len(setting_out.columns)
    for cut, columns in sorted(cuts.items(), key=lambda item: (item[0].edge is Edge.FOOT, item[0].cut_off)):
        edge = "ceiling" if cut.edge is Edge.TOP else "skirting"
        off, shown = place(cut.cut_off, units), place(cut.shown, units)
        where = f"In {len(columns)} of {strips} strips the {edge}"
        yield f"{where} cuts {cut.up_to}{off} off a motif; {cut.up_to}{shown} of it shows."


def _closing(setting_out: SettingOut, units: str) -> Iterator[str]:
    """Yield where the closing joint is, and by how much the print is out there."""
    closing = setting_out.closing
    if closing is None:
        return
    wall = setting_out.room.walls[closing.joint.wall]
    over = [opening.name for opening in wall.openings if opening.left <= closing.joint.at <= opening.right]
    where = f"at {isolated(over[0])}" if over else "clear of doors and windows" if closing.joint.at else "in the corner"
    yield f"It is on {isolated(wall.name)}, {place(closing.joint.at, units)} from its left, {where}."
    if closing.height:
        yield f"On its right the pattern {sits(closing.height).read(units)}."
    if closing.sideways:
        way = "is missing" if closing.sideways > 0 else "comes twice"
        yield f"Sideways {place(abs(closing.sideways), units)} of the pattern {way}."


def _alternatives(scenario: Scenario, comparison: Comparison, units: str, printed: Print | None) -> Iterator[WayToHang]:
    others = [compared for compared in comparison.front if not compared.placement.is_own]
    for number, compared in enumerate(others[:_MOST_ALTERNATIVES], start=1):
        now, placement = comparison.setting_out, compared.placement
        other = set_out(now.room, now.paper, placement.start, now.way, placement.finish)
        pictures = wall_pictures(other, units, f"choice-{number}", for_customer=True, printed=printed)
        focal = next(part for part in pictures if comparison.focus.wall in part.walls)
        lines = _lines(comparison, compared, cost_line(scenario, comparison, compared.proved), units)
        yield WayToHang(f"Choice {number}", focal.picture, tuple(lines))


def _lines(comparison: Comparison, compared: Compared, cost: str, units: str) -> Iterator[str]:
    start = start_named(comparison, compared.placement, units)
    yield f"{capital(start)} from the left of the wall."
    if cost:
        yield cost
    if compared.cut_at_top:
        yield f"The ceiling cuts a motif in {compared.cut_at_top} columns."
    closing = compared.closing
    if closing is not None:
        where = finish_named(comparison.setting_out.room, compared.placement, units)
        out = "" if closing.height == ZERO else f", {place(abs(closing.height), units)} out in height"
        yield f"The closing joint is {where}{out}."
