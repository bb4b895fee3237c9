"""``cutplan quantity``: the rolls of a room before any survey."""

from __future__ import annotations

import re
from typing import Annotated, Final

import typer
from msgspec.structs import replace

from cutplan.cli.app import AsJson, TimeLimit, Units, command
from cutplan.cli.terminal import STANDARD, UsageError, length_typed, print_text, tell
from cutplan.errors import PatternError
from cutplan.lengths import ZERO, Length
from cutplan.paper.match_label import as_printed, read_match
from cutplan.paper.sale import Edges, Sale
from cutplan.paper.stock import Paper
from cutplan.quantity.answer_before_survey import before_survey
from cutplan.quantity.sizes_told import ROOM_CORNERS, USUAL_GAPS, Gap, Notebook
from cutplan.render.documents.plan_document import plan_text
from cutplan.render.pages.quantity_page import quantity_document, quantity_page
from cutplan.room.walls import OpeningKind
from cutplan.scenario.sale_keys import lost_width, sold_in_words
from cutplan.scenario.trim_table import USUAL_TRIM
from cutplan.whole_file import refuse_to_write_over, write_new

_SIZE: Final = re.compile(r"(?:(?P<count>[1-9][0-9]?)\s*of\s+)?(?P<width>.+?)\s*[x×*]\s*(?P<height>.+)")
_COUNT: Final = re.compile(r"[0-9]{1,2}")


@command
def quantity(
    *,
    height: Annotated[str, typer.Option(metavar="LENGTH", help="From skirting to ceiling.")],
    around: Annotated[str | None, typer.Option(metavar="LENGTH", help="All walls together; or else --room.")] = None,
    room: Annotated[str | None, typer.Option(metavar="LENGTHxWIDTH", help="Of a plain room.")] = None,
    match: Annotated[str, typer.Option(metavar="LABEL", help='As the label prints it: free, "64 cm", "64/32 cm".')],
    roll: Annotated[str, typer.Option(metavar="LENGTHxWIDTH", help="As the label prints it.")] = "10.05 m x 530 mm",
    sold: Annotated[
        str | None,
        typer.Option(metavar="HOW", help='As the shop sells it, if not roll by roll: "packet of 2", double, m, yd.'),
    ] = None,
    selvedge: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="Trimmed off each edge of the width as sold.")
    ] = None,
    overlap: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="By how much neighbours are lapped, and cut through.")
    ] = None,
    direction: Annotated[
        str | None, typer.Option(metavar="down|up", help="Where the strip to the right sits, if not half a repeat.")
    ] = None,
    corners: Annotated[
        int, typer.Option(min=0, max=99, metavar="NUMBER", help="Internal corners; 0 for one wall by itself.")
    ] = ROOM_CORNERS,
    doors: Annotated[
        list[str] | None,
        typer.Option(metavar="NUMBER|SIZE", help='So many of the usual size, or "860 x 2060", "2 of 860 x 2060".'),
    ] = None,
    windows: Annotated[list[str] | None, typer.Option(metavar="NUMBER|SIZE", help="Likewise.")] = None,
    trim: Annotated[
        str, typer.Option(metavar="LENGTH", help="At the top of each drop, and at its foot.")
    ] = f"{USUAL_TRIM} mm",
    units: Annotated[Units, typer.Option(help="Of bare numbers, and of what is printed.")] = "mm",
    scenario: Annotated[
        str | None, typer.Option(metavar="FILE", help="Write the scenario that the sizes stand for, to be surveyed.")
    ] = None,
    as_json: AsJson = False,
    time_limit: TimeLimit = 10.0,
) -> None:
    """Say how many rolls a room takes before it is surveyed: enough wherever hanging starts, and a bound below.

    Bare numbers are in --units. Lengths carry their own unit: 2.4 m, "8 ft 2 in".
    """
    if (around is None) == (room is None):
        raise UsageError("give the length round with --around, or a room's length and width with --room")
    sides = (length_typed("--around", around, units),) if around is not None else _pair("--room", room or "", units)
    gaps = (
        *_gaps("--doors", doors, OpeningKind.DOOR, units),
        *_gaps("--windows", windows, OpeningKind.WINDOW, units),
    )
    each = length_typed("--trim", trim, units)
    match = as_printed(match)
    paper = _hung(replace(_paper(roll, match, direction, units), sale=_sale(sold)), selvedge, overlap, units)
    notebook = Notebook(paper, length_typed("--height", height, units), sides, corners, gaps, each, each)
    if scenario is not None and scenario != STANDARD:
        refuse_to_write_over(scenario)
    found = before_survey(notebook, match, direction, units, seconds=time_limit)
    print_text(plan_text(quantity_document(found)) if as_json else quantity_page(found, units))
    if scenario is not None:
        _write(found.text, scenario)


def _write(text: str, target: str) -> None:
    if not text:
        raise UsageError(f"{target}: not written: the openings do not stand side by side on the walls; give --room")
    if target == STANDARD:
        print_text(text)
        return
    write_new(target, text)
    tell(f"wrote {target}; survey the room into it, then: cutplan plan {target}")


def _paper(roll: str, match: str, direction: str | None, units: str) -> Paper:
    length, width = _pair("--roll", roll, units)
    try:
        pattern = read_match(match, units, direction).pattern
    except PatternError as error:
        raise UsageError(f"--match: {error}") from error
    return Paper("wallpaper", pattern, length, width)


def _hung(paper: Paper, selvedge: str | None, overlap: str | None, units: str) -> Paper:
    """Return the paper with what a strip loses of its width as sold."""
    off, lap = (
        length_typed(option, text or "0", units) for option, text in (("--selvedge", selvedge), ("--overlap", overlap))
    )
    edges, width = Edges(off, off, lap), paper.roll_width or ZERO
    if too_little := lost_width(edges.lost, width, units):
        raise UsageError(f"{'--selvedge' if off else '--overlap'}: {too_little}")
    return replace(paper, edges=edges, roll_width=width - edges.lost)


def _sale(text: str | None) -> Sale:
    sold = sold_in_words(text or "roll")
    if sold is None:
        raise UsageError(f'--sold: cannot read {text!r}; write "packet of 2", double, triple, m or yd')
    return sold[1]


def _pair(option: str, text: str, units: str) -> tuple[Length, Length]:
    found = _SIZE.fullmatch(text.strip())
    if found is None or found["count"]:
        raise UsageError(f'{option}: cannot read {text!r}; write two lengths, such as "5 m x 4 m"')
    return length_typed(option, found["width"], units), length_typed(option, found["height"], units)


def _gaps(option: str, texts: list[str] | None, kind: OpeningKind, units: str) -> list[Gap]:
    gaps: list[Gap] = []
    for text in texts or ():
        if _COUNT.fullmatch(text.strip()):
            gaps += [USUAL_GAPS[kind]] * int(text)
            continue
        found = _SIZE.fullmatch(text.strip())
        if found is None:
            raise UsageError(f'{option}: cannot read {text!r}; write a number, or a size such as "860 x 2060"')
        width, tall = (length_typed(option, found[key], units) for key in ("width", "height"))
        gaps += [Gap(kind, width, tall)] * int(found["count"] or 1)
    return gaps
