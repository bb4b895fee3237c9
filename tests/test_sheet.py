"""The job sheet and the customer's page: what they say, that it is true, and that no text breaks them."""

from __future__ import annotations

import re
import sys
from collections import Counter
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import pytest

from cutplan.comparing.comparison import compare
from cutplan.comparing.placements import focus_of
from cutplan.errors import MissingPartError
from cutplan.lengths import show
from cutplan.parts.read_parts import read_scenario
from cutplan.render.drawing.lettering import isolated
from cutplan.render.pages.left_over_page import binned_words, kept_lines
from cutplan.render.sheet.customer_page import customer_sheet
from cutplan.render.sheet.job_sheet import job_sheet
from cutplan.render.sheet.paper_words import match_words
from cutplan.render.sheet.pdf import sheet_pdf
from cutplan.render.sheet.step_cards import Marks, cards_of
from cutplan.render.words.readings import to_cut
from cutplan.solve import solve
from cutplan.table.left_over import leavings_of
from cutplan.table.sequence import sequence_of
from hand_plans import free_match_wall, half_drop_wall
from hostile_scenario import TEXTS, hostile_drops, hostile_room
from sheets import customer_page_from, ordered_sheet_from, parsed, sheet_from, text_of

if TYPE_CHECKING:
    from cutplan.paper.pattern import Pattern

SCENARIOS: Final = sorted(Path("scenarios").glob("*.toml"))


def named(path: Path) -> str:
    """Return a scenario's name, to tell its tests by."""
    return path.stem


@pytest.mark.parametrize("path", SCENARIOS, ids=named)
def test_numbers_on_the_page_are_those_of_the_plan(path: Path) -> None:
    """Read back from the listing: every roll's drops, from where to where, in order, and how many rolls there are."""
    made = sheet_from(text_of(path), has_listing=True)
    page = parsed(made.page)
    units = read_scenario(path).units
    rolls: Any = made.document["rolls"]

    found = [rows[1:] for _, rows in page.tables if rows[0] == ("Drop", "Cut", "From", "To")]
    assert [[(drop, start, end) for drop, _, start, end in rows] for rows in found] == [
        [(cut["drop"], show(Fraction(cut["from"]), units), show(Fraction(cut["to"]), units)) for cut in roll["cuts"]]
        for roll in rolls
    ]
    count = made.document["rolls_needed"]
    paper = "roll" if read_scenario(path).job.paper.sheets is None else "sheet"
    assert f"{count} {paper if count == 1 else f'{paper}s'}, " in page.text


@pytest.mark.parametrize("path", SCENARIOS, ids=named)
def test_page_needs_nothing_but_itself(path: Path) -> None:
    """No link leaves it, and its policy forbids loading anything, so it opens without network."""
    made = sheet_from(text_of(path))

    assert all(link.startswith("href=#") for link in parsed(made.page).links)
    assert "default-src 'none'" in made.page
    assert "url(http" not in made.page


@pytest.mark.parametrize("path", SCENARIOS, ids=named)
def test_no_id_is_used_twice(path: Path) -> None:
    """Hatchings, clips and titles are found by their ids, each picture's by its own."""
    ids = Counter(parsed(sheet_from(text_of(path)).page).ids)

    assert [identity for identity, times in ids.items() if times > 1] == []


@pytest.mark.parametrize("path", SCENARIOS, ids=named)
def test_every_step_has_a_box_to_tick(path: Path) -> None:
    """As many boxes as steps, roll by roll, each with the step's number; those of a roll in order."""
    made = sheet_from(text_of(path))

    blocks = [[int(tick) for tick in re.findall(r'id="step-(\d+)"', block)] for block in roll_blocks(made.page)]
    ticks = [tick for block in blocks for tick in block]
    assert all(block == sorted(block) for block in blocks)
    assert sorted(ticks) == list(range(1, len(ticks) + 1))
    assert f", {len(ticks)} steps" in parsed(made.page).text


@pytest.mark.parametrize("path", SCENARIOS, ids=named)
def test_steps_of_each_roll_are_the_cuts_of_the_plan(path: Path) -> None:
    """Read back from the page without a listing: beside each roll its drops in order, each as long as it is cut."""
    made = sheet_from(text_of(path))
    units = read_scenario(path).units
    rolls: Any = made.document["rolls"]
    planned = [
        [(cut["drop"], to_cut(Fraction(cut["to"]) - Fraction(cut["from"]), units)) for cut in roll["cuts"]]
        for roll in rolls
    ]

    found = [re.findall(r'data-says="\d+\. Cut drop ([^"]*), ([^",]*)"', block) for block in roll_blocks(made.page)]
    assert sorted(found) == sorted(planned)


@pytest.mark.parametrize("path", SCENARIOS, ids=named)
def test_step_names_the_roll_that_is_wanted_next(path: Path) -> None:
    """Where the step with the next number is on another roll, and nowhere else."""
    blocks = roll_blocks(sheet_from(text_of(path)).page)
    roll_of = {
        int(number): index for index, block in enumerate(blocks) for number in re.findall(r'id="step-(\d+)"', block)
    }
    turns = [number + 1 for number in sorted(roll_of)[:-1] if roll_of[number] != roll_of[number + 1]]

    assert sorted(int(number) for block in blocks for number in re.findall(r"now [^<]*, step (\d+)<", block)) == turns


def roll_blocks(page: str) -> list[str]:
    """Return the markup of each roll with its steps."""
    return page.split('<div class="roll-block">')[1:]


def test_cards_say_what_to_do_and_the_figure_to_measure() -> None:
    """The first roll of the half-drop wall, step by step; the figures are worked out in hand_plans."""
    rolls = cards_of(sequence_of(half_drop_wall()), "mm")
    cards = rolls["roll-1"].cards

    assert rolls["roll-1"].heading == "Roll-1"
    assert [(card.what, card.figure, card.more) for card in cards[:3]] == [
        ("Open roll-1", "", "10050 mm."),
        (
            "Cut the end back to the print",
            "145 mm",
            "From the new end down to the motif. Less than 640 mm comes off.",
        ),
        ("Cut drop 1", "2500 mm", "Motif 145 mm below its top."),
    ]
    assert cards[2].write == "Write “1\N{NO-BREAK SPACE}↑” on its back."
    assert "Check the match" in [card.what for each in rolls.values() for card in each.cards]


REVERSED = """\
units = "mm"

[paper]
name = "Reed bed, straw"
roll_length = "10.05 m"
match = "free"
reverse = true

[pace]
pasted = "paper"
soak = 6

[[drop]]
label = "1"
height = 2400

[[drop]]
label = "2"
height = 2400
"""


def test_lengths_that_hang_turned_are_marked_so() -> None:
    """Every second arrow points down, in the step, on the back, and in the first checks."""
    page = parsed(sheet_from(REVERSED, has_listing=True).page)

    assert "Write “2 ↓” on its back: it hangs turned end for end." in page.text
    assert ("2 ↓", "2500 mm") in [row for _, rows in page.tables for row in rows]
    assert "turn every second length end for end" in page.text


def test_timetable_is_on_the_sheet_where_the_pace_is_told() -> None:
    """Its first act is to cut the first length, at eight in the morning."""
    page = parsed(ordered_sheet_from(REVERSED).page)
    rows = next(rows for caption, rows in page.tables if "every length soaks alike" in caption)

    assert rows[0] == ("At", "What")
    assert rows[1] == ("08:00", "Cut 1 (steps 1 to 2).")
    assert "no more than" in page.text


def test_cards_of_a_free_match_name_no_motif() -> None:
    """There is none to find."""
    rolls = cards_of(sequence_of(free_match_wall()), "mm").values()

    assert not any("otif" in card.more for roll in rolls for card in roll.cards)


@pytest.mark.parametrize("make", [hostile_room, hostile_drops])
def test_hostile_texts_are_shown_as_text(make: Any) -> None:  # noqa: ANN401 - one of two functions
    """No tag comes of them, and each can be read on the page as it was written."""
    harmless = parsed(sheet_from(text_of(Path("scenarios/measured-rolls.toml")), has_listing=True).page)
    page = parsed(sheet_from(make()).page)

    assert set(page.tags) - set(harmless.tags) <= {"clipPath", "use", "g", "clippath"}
    assert page.tags.count("script") == 1
    assert not any(link.startswith("on") for link in page.links)
    written = "".join(page.texts)
    for text in TEXTS:
        assert isolated(text) in written


def test_hostile_texts_do_not_break_the_customer_page() -> None:
    """Nor is anything in them taken for a template."""
    page = parsed(customer_page_from(hostile_room()))

    assert "script" not in page.tags
    assert "{{ 7 * 7 }}" in "".join(page.texts)


def test_figures_beside_a_text_from_right_to_left_keep_their_order() -> None:
    """A label in Hebrew is isolated wherever it stands in a sentence."""
    page = sheet_from(hostile_drops()).page

    assert f"Cut drop {isolated('קיר החלון 12')}" in page


def test_units_are_those_of_the_reader() -> None:
    """The same plan in feet and inches: 2480 mm are 97.638 in, cut as 8 ft 1 11/16 in."""
    page = parsed(sheet_from(text_of(Path("scenarios/measured-rolls.toml")), "in").page)

    assert "8 ft 1 11/16 in" in page.text
    assert "in feet and inches" in page.text
    assert " mm" not in page.text


def test_sheet_says_what_to_buy_or_to_take() -> None:
    """Sealed rolls are bought, of one batch; rolls in hand are taken by their labels."""
    bought = parsed(sheet_from(text_of(Path("scenarios/parlour.toml"))).page)
    taken = parsed(sheet_from(text_of(Path("scenarios/measured-rolls.toml"))).page)

    assert (
        "Buy 9 rolls of Three herons, sage (roll 10050 mm by 520 mm, third-drop, repeat 610 mm), all of one batch, "
        "706.50 in all."
    ) in bought.text
    assert "Take roll A (10050 mm, batch 2207, 62.00)." in taken.text


def test_sheet_says_what_to_check_first() -> None:
    """Batch, label, repeat, one full match, faults and length, before the first cut."""
    text = parsed(sheet_from(text_of(Path("scenarios/parlour.toml"))).page).text

    for check in (
        "See that every roll bears the same batch number.",
        "Measure the print on the first roll: 610 mm from one motif to the next like it.",
        "the print of the right one sits 203 mm lower.",
        "look the first roll over for faults.",
        "Snap the level line, 2520 mm above the floor line",
    ):
        assert check in text


def test_cautions_of_the_room_are_on_the_sheet() -> None:
    """The parlour has a switch, a radiator and the paint of 1928."""
    text = parsed(sheet_from(text_of(Path("scenarios/parlour.toml"))).page).text

    assert "isolate the supply and prove it dead" in text
    assert "let a radiator cool" in text
    assert "may have lead in its old paint" in text
    assert "keep blades and paste from children" in text


def test_every_piece_is_written_on() -> None:
    """The parlour's 33 pieces and 2 patches in hanging order, with cut length, motif from the cut top, and place."""
    page = parsed(sheet_from(text_of(Path("scenarios/parlour.toml")), has_listing=True).page)
    rows = next(rows for caption, rows in page.tables if caption == "Pieces in hanging order")

    assert rows[0] == ("On its back", "Cut", "Motif below top", "Hangs")
    # Piece 1 hangs over the fireplace: 2520 - 1150 and twice 50 of trim; its motif is 140 + 50 down.
    assert rows[1] == ("1 ↑", "1470 mm", "190 mm", "chimney breast, over fireplace; col\N{NO-BREAK SPACE}0")
    patched = {7: ["patch of 7 ↑"], 12: ["patch of 12 ↑"]}
    marks = [mark for number in range(1, 34) for mark in (f"{number} ↑", *patched.get(number, []))]
    assert [row[0] for row in rows[1:]] == marks


@pytest.mark.parametrize("path", SCENARIOS, ids=named)
def test_what_is_kept_and_what_is_thrown_away_are_those_of_the_terminal(path: Path) -> None:
    """One list, whoever prints it."""
    scenario = read_scenario(path)
    leavings = leavings_of(sequence_of(solve(scenario.job)).plan)
    page = parsed(sheet_from(text_of(path)).page)

    said = kept_lines(leavings.kept, scenario.units)
    assert all(" ".join(words.split()) in page.text for words in [*said, binned_words(leavings, scenario.units)])
    assert all(piece.labels.shown in " ".join(said) for piece in leavings.kept)


def test_each_fact_stands_on_the_sheet_once_unless_a_listing_is_asked_for() -> None:
    """No table repeats what pictures and steps say."""
    text = text_of(Path("scenarios/parlour.toml"))

    assert parsed(sheet_from(text).page).tables == []
    assert len(parsed(sheet_from(text, has_listing=True).page).tables) > 9


def test_sealed_rolls_have_a_blank_for_their_first_motif() -> None:
    """The parlour's nine; rolls that were measured, and a free match, have none to write in."""
    pages = [sheet_from(text_of(Path(f"scenarios/{name}.toml"))).page for name in ("parlour", "measured-rolls")]

    assert [page.count("first motif <i") for page in [*pages, sheet_from(REVERSED).page]] == [9, 0, 0]


def test_recorded_work_is_on_the_sheet() -> None:
    """What is done is ticked, a spoiled piece is marked, and a sentence says whose state it is."""
    scenario = read_scenario("scenarios/feature-wall.toml")
    marks = Marks({1, 2, 3}, {"1"}, "Plan 1 of this job.")
    page = job_sheet(scenario, sequence_of(solve(scenario.job)), marks=marks)

    assert re.findall(r'id="step-(\d+)"[^>]* checked', page) == ["1", "2", "3"]
    assert re.findall(r'class="step spoiled"><label><input type="checkbox" id="step-(\d+)"', page) == ["3"]
    assert "Plan 1 of this job." in page


def test_another_paper_opens_without_ticks_though_its_steps_are_alike() -> None:
    """Ticks belong to a job: the feature wall in another colour is cut by the same steps."""
    text = text_of(Path("scenarios/feature-wall.toml"))
    marks = {
        re.findall(r'data-sheet="(\w+)"', sheet_from(each).page)[0] for each in (text, text.replace("dusk", "dawn"))
    }

    assert len(marks) == 2


def test_ticks_of_another_plan_are_not_taken_over() -> None:
    """The page's mark changes with its steps, and with nothing else."""
    path = Path("scenarios/measured-rolls.toml")
    marks = [
        re.search(r'data-sheet="(\w+)"', sheet_from(text).page)
        for text in (text_of(path), text_of(path), text_of(path).replace("height = 1240", "height = 1241"))
    ]

    first, again, other = (mark[1] for mark in marks if mark is not None)
    assert first == again != other


@pytest.mark.parametrize(
    ("scenario", "said"),
    [
        ("parlour", "third-drop, repeat 610 mm"),
        ("loft", "straight match, repeat 530 mm"),
        ("feature-wall", "half-drop, repeat 640 mm"),
        ("sloping-ceiling", "free match"),
    ],
)
def test_match_is_said_in_the_words_of_the_trade(scenario: str, said: str) -> None:
    """As the label means it."""
    pattern: Pattern = read_scenario(f"scenarios/{scenario}.toml").job.paper.pattern

    assert match_words(pattern, "mm") == said


def test_customer_learns_where_the_pattern_sits_and_where_the_joint_hides() -> None:
    """The parlour: motif on the hearth's middle, what the ceiling cuts, and the closing joint over the door."""
    text = parsed(customer_page_from(text_of(Path("scenarios/parlour.toml")))).text

    assert "The motif is placed 670 mm from the left of chimney breast" in text
    assert "In 11 of 31 strips the ceiling cuts 158 mm off a motif; 102 mm of it shows." in text
    assert "It is on door wall, 807 mm from its left, at door." in text
    assert "On its right the pattern sits 203 mm higher." in text


def test_customer_is_shown_what_could_be_had_instead() -> None:
    """Each alternative of a comparison has its picture, its words and a box to choose it."""
    scenario = read_scenario("scenarios/alcove-feature-wall.toml")
    setting_out = scenario.setting_out
    assert setting_out is not None
    comparison = compare(setting_out, scenario.job, focus_of(setting_out), asks_heights=False)
    page = parsed(customer_sheet(scenario, setting_out, None, comparison))

    others = [compared for compared in comparison.front if not compared.placement.is_own][:3]
    assert others
    assert [identity for identity in page.ids if re.fullmatch(r"choice-\d", identity)] == [
        f"choice-{number}" for number in range(1, len(others) + 1)
    ]
    assert page.tags.count("svg") == 1 + len(others)


def test_pdf_without_its_part_says_how_to_print(monkeypatch: pytest.MonkeyPatch) -> None:
    """The status is 4, and the browser's way is named."""
    monkeypatch.setitem(sys.modules, "weasyprint", None)

    with pytest.raises(MissingPartError) as raised:
        sheet_pdf("<p>page</p>")
    assert raised.value.exit_status == 4
    assert str(raised.value) == (
        "a PDF needs weasyprint: pip install 'cutplan[pdf]'. Without it: write the sheet to a .html file, open that "
        "in a browser and choose Print, then Save as PDF"
    )


@pytest.mark.filterwarnings("ignore")
def test_pdf_knows_which_letters_no_font_has() -> None:
    """U+E123 is for private use, so that no font has it unless somebody put it there."""
    pytest.importorskip("weasyprint", reason="the optional part pdf is not installed", exc_type=ImportError)

    assert sheet_pdf("<html lang='en'><title>x</title><p>north \ue123 wall \ue123</p>")[1] == "\ue123"


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize(("paper", "size"), [("a4", b"595.2755"), ("letter", b"612")])
def test_pdf_has_the_pages_of_its_paper(paper: str, size: bytes) -> None:
    """A4 is 210 mm wide, 595.28 points; Letter 8 1/2 in, 612 points."""
    pytest.importorskip("weasyprint", reason="the optional part pdf is not installed", exc_type=ImportError)
    import weasyprint  # noqa: PLC0415 - only where it is installed

    made, unknown = sheet_pdf(sheet_from(text_of(Path("scenarios/measured-rolls.toml"))).page, paper)

    assert made.startswith(b"%PDF")
    assert unknown == ""
    document = weasyprint.HTML(string="<p>x</p>").render(
        stylesheets=[weasyprint.CSS(string=f"@page {{size: {paper}}}")]
    )
    assert document.pages[0].width * 0.75 == pytest.approx(float(size), abs=0.1)
