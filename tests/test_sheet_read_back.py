"""Figures of the sheet, its pictures and its PDF read back, and held against the plan's exact numbers."""

from __future__ import annotations

import re
import shutil
import subprocess
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any, Final

import pytest
from msgspec import Struct

from cutplan.scenario.read import Scenario, parse_scenario
from sheets import Made, ordered_sheet_from, parsed

SHEETS: Final = ("feature-wall", "measured-rolls", "parlour", "stairwell")
FIGURE: Final = re.compile(r"(?:(\d+)(?: ft|′))?(?: ?(?:(\d+) )?(\d+)(?:/(\d+))?(?: in|″))?")
STEP: Final = {"mm": Fraction(1), "in": Fraction("25.4") / 16}
"""What a tape's reading may be out by at most, rounded up or down; to the nearest, by half of it."""

each_sheet = pytest.mark.parametrize("name", SHEETS)


@cache
def made(name: str) -> tuple[Scenario, Made]:
    """Return a scenario, and its sheet with its plan document, made once for all tests."""
    text = Path(f"scenarios/{name}.toml").read_text(encoding="utf-8")
    return parse_scenario(text, f"{name}.toml"), ordered_sheet_from(text)


def read(text: str) -> Fraction:
    """Return a figure in millimetres, read without any help of cutplan's own readers."""
    text = text.replace("\u00a0", " ").strip()
    if re.fullmatch(r"\d+(?: mm)?", text):
        return Fraction(text.split()[0])
    match = FIGURE.fullmatch(text)
    assert match is not None, text
    feet, whole, number, below = match.groups()
    inches = Fraction(int(number or 0), int(below or 1)) + int(whole or 0)
    return (int(feet or 0) * 12 + inches) * Fraction("25.4")


def plain(html: str) -> str:
    """Return what is written in a piece of HTML, without isolating marks."""
    return re.sub("[\u2066-\u2069]", "", " ".join(parsed(html).text.split()))


class Exact(Struct, frozen=True):
    """What the plan says exactly: of each piece its length and motif; of each roll its cuts and what is left."""

    scenario: Scenario
    document: dict[str, Any]

    @property
    def step(self) -> Fraction:
        """What is between two marks of the tape."""
        return STEP[self.scenario.units]

    def length(self, cut: dict[str, str]) -> Fraction:
        """Return how long a cut is."""
        return Fraction(cut["to"]) - Fraction(cut["from"])

    def motif(self, piece: str) -> Fraction:
        """Return how far below its cut top a piece has its motif."""
        return self.scenario.job.drop(piece.partition(" (")[0]).motif_below_cut

    def is_cut_length(self, figure: str, exact: Fraction) -> bool:
        """Return True for a reading that is not less than what is to be cut, and under a mark more."""
        return 0 <= read(figure) - exact < self.step

    def is_place(self, figure: str, exact: Fraction) -> bool:
        """Return True for the mark that is nearest to a place."""
        return abs(read(figure) - exact) <= self.step / 2


def exact_of(name: str) -> Exact:
    """Return what the plan of a scenario says."""
    scenario, sheet = made(name)
    return Exact(scenario, sheet.document)


@each_sheet
def test_every_figure_of_the_cards_is_the_plan_s(name: str) -> None:
    """Of each roll in its own order: what is cut off is the gap between two cuts, what is cut is the piece."""
    exact, (_, sheet) = exact_of(name), made(name)
    rolls = {roll["roll"]: roll for roll in exact.document["rolls"]}
    blocks = re.findall(r"<h3>(.*?)</h3>(.*?)(?=<h3>|</main>)", sheet.page, re.DOTALL)
    read_back = 0
    for heading, block in blocks:
        label = plain(heading).split(",")[0]
        roll = rolls.get(label) or rolls.get(label.removeprefix("Roll ")) or rolls.get(label.lower())
        cards = re.findall(r'<li class="step[^>]*>(.*?)</li>', block, re.DOTALL)
        if roll is None or not cards:
            continue
        at = None if roll["sealed"] else Fraction(0)
        cuts = iter(roll["cuts"])
        cut = next(cuts)
        for card in cards:
            what, said = plain(re.sub(r'<span class="figure.*', "", card, flags=re.DOTALL)), plain(card)
            figures = re.findall(r'class="figure[^"]*">(.*?)</span>', card)
            if "Cut off" in what and figures and at is not None:
                assert exact.is_place(plain(figures[0]), Fraction(cut["from"]) - at), said
                read_back += 1
            elif "Cut drop" in what:
                assert what.endswith(f"Cut drop {cut['drop'].partition(' (')[0]}"), said
                assert exact.is_cut_length(plain(figures[0]), exact.length(cut)), said
                motif = re.search(r"[Mm]otif (exactly|.*?) (?:at|below) its top", said)
                assert motif is not None
                assert exact.is_place(motif[1].replace("exactly", "0"), exact.motif(cut["drop"])), said
                at, cut, read_back = Fraction(cut["to"]), next(cuts, cut), read_back + 2
    assert read_back >= 2 * sum(len(roll["cuts"]) for roll in rolls.values())


@each_sheet
def test_every_figure_of_the_roll_pictures_is_the_plan_s(name: str) -> None:
    """Drops stand from the outer end on in the order of their cuts, with their lengths; and so much is left."""
    exact, (_, sheet) = exact_of(name), made(name)
    rolls = {roll["roll"]: roll for roll in exact.document["rolls"]}
    shown = set()
    for svg in re.findall(r"<svg.*?</svg>", sheet.page, re.DOTALL):
        title = plain("".join(re.findall(r"<title[^>]*>(.*?)</title>", svg)))
        if title not in rolls:
            continue
        shown.add(title)
        texts = [plain(text) for text in re.findall(r"<text[^>]*>(.*?)</text>", svg)]
        cuts = rolls[title]["cuts"]
        lengths = [exact.length(cut) for cut in cuts]
        for text in texts:
            if text.startswith("left "):
                assert 0 <= Fraction(str(rolls[title]["left_mm"])) - read(text[5:]) < exact.step + Fraction(1, 1000)
            elif text not in {cut["drop"] for cut in cuts} and not text.endswith("…") and "patch" not in text:
                assert any(exact.is_cut_length(text, length) for length in lengths), text
        # Those too narrow for their names are named above the roll, after all others.
        names = [text for text in texts if text in {cut["drop"] for cut in cuts} and "patch" not in text]
        assert names == [cut["drop"] for cut in cuts if cut["drop"] in names]
    assert shown == set(rolls)


@pytest.mark.parametrize("name", ["parlour", "stairwell"])
def test_every_figure_of_the_wall_pictures_is_the_plan_s(name: str) -> None:
    """Along the foot stand the joints from each wall's left; on the strips, how long they are cut and their motif."""
    exact, (scenario, sheet) = exact_of(name), made(name)
    out = scenario.setting_out
    assert out is not None
    panels = [panel for column in exact.document["setting_out"]["columns"] for panel in column["panels"]]
    places = [Fraction(panel[end]) for panel in panels for end in ("from", "to")]
    places += [wall.width for wall in out.room.walls]
    pieces = [(drop.cut_length, drop.motif_below_cut) for drop in scenario.job.drops]
    numbers = {drop.label for drop in scenario.job.drops}
    walls = [svg for svg in re.findall(r"<svg.*?</svg>", sheet.page, re.DOTALL) if ">col " in svg or ">START" in svg]
    assert walls
    read_back = 0
    for svg in walls:
        for text in (plain(text) for text in re.findall(r"<text[^>]*>(.*?)</text>", svg)):
            length, _, motif = text.partition(", motif ")
            if motif or (re.search(r"\d[″′]? ?(?:mm)?$", length) and length not in numbers and "col" not in text):
                is_piece = any(exact.is_cut_length(length, cut) for cut, _ in pieces)
                is_both = any(
                    exact.is_cut_length(length, cut) and (not motif or exact.is_place(motif, below))
                    for cut, below in pieces
                )
                is_joint = not motif and any(exact.is_place(length, place) for place in places)
                assert is_joint or (is_piece and is_both), text
                read_back += 1
    assert read_back > len(panels)


@pytest.mark.filterwarnings("ignore")
def test_pdf_has_the_sheet_s_figures_on_few_pages_readable_and_unbroken(tmp_path: Path) -> None:
    """As WeasyPrint lays it out: steps of 11 pt, figures of 15 pt, and neither step nor picture over a page's edge."""
    weasyprint = pytest.importorskip("weasyprint", reason="the part pdf is not installed", exc_type=ImportError)
    page = made("stairwell")[1].page
    document = weasyprint.HTML(string=page).render(stylesheets=[weasyprint.CSS(string="@page { size: A4 }")])

    assert 2 <= len(document.pages) <= 3
    sizes: dict[str, list[float]] = {"what": [], "more": [], "figure": []}
    steps: list[str] = []
    for number, each in enumerate(document.pages, start=1):
        boxes = list(each._page_box.descendants())  # noqa: SLF001 - nothing else tells where a box lies
        said = "".join(box.text for box in boxes if hasattr(box, "text"))
        assert f"page {number} of {len(document.pages)}" in said
        for box in boxes:
            kinds = [] if box.element is None else (box.element.get("class") or "").split(" ")
            if box.element_tag in ("li", "svg") and {"step", "picture"} & set(kinds):
                assert box.position_y + box.height <= each.height
            if box.element_tag == "li" and "step" in kinds:
                steps.append(box.element.find(".//input").get("id"))
                spans = [inner for inner in box.descendants() if inner.element_tag == "span"]
                for kind, found in sizes.items():
                    named = [inner for inner in spans if kind in (inner.element.get("class") or "").split(" ")]
                    found += [inner.style["font_size"] * 0.75 for inner in named]
    assert min(sizes["what"] + sizes["more"]) >= 11
    assert min(sizes["figure"]) >= 15
    assert len(steps) == len(set(steps)) == len(re.findall(r'<li class="step', page))
    document.write_pdf(tmp_path / "sheet.pdf")
    _written_is_all_there(tmp_path / "sheet.pdf", page)


def _written_is_all_there(pdf: Path, page: str) -> None:
    """Hold the text of a PDF, read by a program that knows nothing of either, against the page's figures."""
    reader = shutil.which("pdftotext")
    if reader is None:
        return
    told = subprocess.run([reader, "-raw", pdf, "-"], capture_output=True, text=True, check=True)  # noqa: S603 - found above
    written = " ".join(told.stdout.split())
    figures = [plain(figure) for figure in re.findall(r'class="figure[^"]*">(.*?)</span>', page)]

    assert figures
    assert [figure for figure in set(figures) if written.count(figure) < figures.count(figure)] == []
