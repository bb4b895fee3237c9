"""The parts of the page, each filled in by itself, so that no slow one holds up another."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cutplan.errors import CutplanError
from cutplan.page.moving import start_content
from cutplan.page.photograph_part import photograph_content
from cutplan.page.survey_part import paper_content, room_content
from cutplan.page.table_part import enough_content, said, table_content
from cutplan.progress.work import ChangedScenarioError
from cutplan.render.sheet.html_page import environment

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from cutplan.page.desk import Desk

PARTS: Final[Mapping[str, Callable[[Desk], dict[str, object]]]] = {
    "photograph": photograph_content,
    "paper": paper_content,
    "room": room_content,
    "start": start_content,
    "table": table_content,
    "enough": enough_content,
}
"""What each part shows, by its name; its template is called ``part_NAME.html``."""


HEADINGS: Final = (
    ("paper", "Paper"),
    ("photograph", "Photograph of the paper"),
    ("room", "Room"),
    ("start", "Start"),
    ("table", "Table"),
)
"""The parts that are shown at once, in the order of the work, with their headings."""


def whole_page(desk: Desk) -> str:
    """Return the page, its parts still to be fetched."""
    return environment("cutplan.page").get_template("whole.html").render(name=desk.name, parts=HEADINGS)


def shown(desk: Desk, name: str) -> str:
    """Return one part; where it cannot be made, why not."""
    templates = environment("cutplan.page")
    try:
        content = PARTS[name](desk)
    except ChangedScenarioError as error:
        return templates.get_template("part_changed.html").render(lines=said(str(error).split("\n")[:-1]))
    except CutplanError as error:
        return templates.get_template("part_not_yet.html").render(lines=said(str(error).split("\n")))
    return templates.get_template(f"part_{name}.html").render(content)
