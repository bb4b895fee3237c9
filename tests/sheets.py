"""Making sheets in tests, and reading them back."""

from __future__ import annotations

from html.parser import HTMLParser
from typing import TYPE_CHECKING

from msgspec import Struct

from cutplan.render.documents.plan_document import document_of
from cutplan.render.sheet.customer_page import customer_sheet
from cutplan.render.sheet.job_sheet import job_sheet
from cutplan.scenario.read import parse_scenario
from cutplan.solve import solve
from cutplan.solve.ordering import order_cuts
from cutplan.table.sequence import sequence_of

if TYPE_CHECKING:
    from pathlib import Path


class Made(Struct, frozen=True):
    """A sheet as HTML, and the plan document of the same plan."""

    page: str
    document: dict[str, object]


def sheet_from(text: str, units: str | None = None, *, has_listing: bool = False) -> Made:
    """Return the job sheet of a scenario, with its plan document."""
    scenario = parse_scenario(text, "test.toml")
    sequence = sequence_of(solve(scenario.job))
    return Made(job_sheet(scenario, sequence, units, has_listing=has_listing), document_of(sequence, scenario))


def ordered_sheet_from(text: str) -> Made:
    """Return the job sheet of a scenario whose cuts are put in order, as the command does it."""
    scenario = parse_scenario(text, "test.toml")
    habit = scenario.cutting
    plan = order_cuts(solve(scenario.job), follow=habit.follow, open_rolls=habit.open_rolls)
    sequence = sequence_of(plan)
    return Made(job_sheet(scenario, sequence), document_of(sequence, scenario))


def customer_page_from(text: str, units: str | None = None) -> str:
    """Return the customer's page of a scenario, without alternatives."""
    scenario = parse_scenario(text, "test.toml")
    assert scenario.setting_out is not None
    return customer_sheet(scenario, scenario.setting_out, units)


def text_of(path: Path) -> str:
    """Return a scenario's text."""
    return path.read_text(encoding="utf-8")


class Page(HTMLParser):
    """A page as a browser parses it: its tags, ids, tables and texts."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.ids: list[str] = []
        self.links: list[str] = []
        self.tables: list[tuple[str, list[tuple[str, ...]]]] = []
        self.texts: list[str] = []
        self._open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a tag with what matters of its attributes."""
        self.tags.append(tag)
        self._open.append(tag)
        for name, value in attrs:
            if name == "id" and value is not None:
                self.ids.append(value)
            if name in {"href", "src", "action", "srcset"} or name.startswith("on"):
                self.links.append(f"{name}={value}")
        if tag == "table":
            self.tables.append(("", []))
        if tag == "tr":
            self.tables[-1][1].append(())
        if tag in {"td", "th"}:
            rows = self.tables[-1][1]
            rows[-1] = (*rows[-1], "")

    def handle_endtag(self, tag: str) -> None:
        """Note the end of a tag, and of those within it that need none."""
        while self._open and self._open.pop() != tag:
            pass

    def handle_data(self, data: str) -> None:
        """Note a text, in the cell or caption where it stands."""
        if "style" in self._open or "script" in self._open:
            return
        self.texts.append(data)
        if {"td", "th"} & set(self._open):
            rows = self.tables[-1][1]
            rows[-1] = (*rows[-1][:-1], rows[-1][-1] + data)
        elif "caption" in self._open:
            caption, rows = self.tables.pop()
            self.tables.append((caption + data, rows))

    @property
    def text(self) -> str:
        """Everything that is written on the page."""
        return " ".join("".join(self.texts).split())


def parsed(page: str) -> Page:
    """Return a page as parsed."""
    reader = Page()
    reader.feed(page)
    reader.close()
    return reader
