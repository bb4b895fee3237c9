"""The parts of the page, each filled in by itself, so that no slow one holds up another."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from cutplan.errors import CutplanError
from cutplan.page.customer_part import part_for_customer
from cutplan.page.desk import Desk
from cutplan.page.moving import Mover, start_content
from cutplan.page.parts_part import all_content, parts_content
from cutplan.page.photograph_part import photograph_content
from cutplan.page.rolls_part import buy_content, given_up_content, rolls_content
from cutplan.page.survey_part import paper_content, room_content
from cutplan.page.table_part import enough_content, said, table_content, too_few_content
from cutplan.parts.part import PART_KEYS, PartedJob, PartKind
from cutplan.plan.proof import TooFewRollsError
from cutplan.progress.work import ChangedScenarioError
from cutplan.render.sheet.html_page import environment

PARTS: Final[Mapping[str, Callable[[Desk], dict[str, object]]]] = {
    "photograph": photograph_content,
    "paper": paper_content,
    "room": room_content,
    "start": start_content,
    "table": table_content,
    "enough": enough_content,
    "rolls": rolls_content,
    "buy": buy_content,
    "given_up": given_up_content,
    "parts": parts_content,
    "all": all_content,
}
"""What each part shows, by its name; its template is called ``part_NAME.html``."""


_OF_THE_WHOLE: Final = frozenset({"room", "parts", "all"})
_OF_WALLS: Final = frozenset({"paper", "photograph", "start", "customer"})
_OF_ROLLS: Final = frozenset({"rolls", "buy", "given_up", "table", "enough"})
_OF_SEVERAL: Final = frozenset({"parts", "all"})

FOR_CUSTOMER: Final = "customer"
"""The part that also shows what the band has found."""

HEADINGS: Final = (
    ("paper", "Paper"),
    ("photograph", "Photograph of the paper"),
    ("room", "Room"),
    ("parts", "Parts or rooms"),
    ("start", "Start"),
    ("rolls", "Rolls"),
    ("table", "Table"),
    ("customer", "For the customer"),
)
"""The parts that are shown at once, in the order of the work, with their headings."""


def whole_page(desk: Desk, *, invites: bool, is_within: bool) -> str:
    """Return the page, its parts still to be fetched.

    ``invites`` where one more phone may come in, ``is_within`` where it is the page of a part of another.
    """
    content = {"name": desk.name, "part": desk.part, "is_within": is_within, "parts": HEADINGS, "invites": invites}
    return environment("cutplan.page").get_template("whole.html").render(content)


def is_for(desk: Desk, name: str) -> bool:
    """Return False for what a job of this kind has not: the start of a border, rolls of a whole contract."""
    survey = desk.survey()
    if desk.part is not None:
        return name not in _left_out(desk)
    if "rooms" in survey.document:
        return name == "parts" or (name in _OF_SEVERAL and survey.whole is not None)
    if isinstance(survey.whole, PartedJob) or any(key in survey.document for key in PART_KEYS):
        has_paper = "paper" in survey.document
        return (
            name == "room"
            or (name in ("paper", "photograph") and has_paper)
            or (name in _OF_SEVERAL and survey.whole is not None)
        )
    return name not in _OF_SEVERAL


def _left_out(desk: Desk) -> frozenset[str]:
    """Return what a part has not: walls of its own, or rolls of its own where another band is cut from the same."""
    part, whole = desk.as_part, desk.survey().whole
    if part is None or not isinstance(whole, PartedJob):
        return _OF_THE_WHOLE
    if part.kind is not PartKind.BAND or part.scenario.setting_out is None:
        return _OF_THE_WHOLE | _OF_WALLS
    return _OF_THE_WHOLE | (frozenset() if part in whole.parts else _OF_ROLLS)


def shown(mover: Mover, name: str) -> str:
    """Return one part; where it cannot be made, why not."""
    templates = environment("cutplan.page")
    if not is_for(mover.desk, name):
        return ""
    try:
        content = part_for_customer(mover) if name == FOR_CUSTOMER else PARTS[name](mover.desk)
    except ChangedScenarioError as error:
        return templates.get_template("part_changed.html").render(lines=said(str(error).split("\n")[:-1]))
    except TooFewRollsError as short:
        return templates.get_template("part_too_few.html").render(too_few_content(mover.desk, short))
    except CutplanError as error:
        return templates.get_template("part_not_yet.html").render(lines=said(str(error).split("\n")))
    return templates.get_template(f"part_{name}.html").render(content)
