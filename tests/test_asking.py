"""The survey by questions: what it asks, what it takes for an answer, and the scenario that it writes."""

from __future__ import annotations

import os
import signal
import sys
import time
from contextlib import suppress
from fractions import Fraction
from typing import TYPE_CHECKING, Final

import pytest
from typer.testing import CliRunner

from cutplan.asking.answers import LENGTH
from cutplan.asking.interview import Interview, InterviewError
from cutplan.asking.questions import QUESTIONS, UNITS, Question
from cutplan.asking.survey_questions import ask_scenario
from cutplan.cli.all_commands import app
from cutplan.cli.new_command import answers_of
from cutplan.cli.terminal import UsageError
from cutplan.paper.sale import Sale
from cutplan.paper.stock import SheetSet
from cutplan.render.pages.walls_page import survey_summary
from cutplan.room.finding import RoomError, finding
from cutplan.scenario.read import parse_scenario
from cutplan.setting_out import FinishOver, Puts, Way

if TYPE_CHECKING:
    from pathlib import Path

PAPER: Final = ["Hop vine", "", "", "", "", "64/32 cm", "84", "175", "90", "120", "140", "1.5", "no"]
"""Name, length and width as offered, no selvedge, no lap, match, price, the motif's place and size, growth, foil."""
USUAL_TRIMS: Final = ["", ""]
ONE_WALL: Final = ["no", "", "", "no", "1"]
"""It does not close; no level line, no year, no texture; one wall."""
ALCOVE: Final = ["alcove wall", "4800", "2450", "", "1", "alcove", "", "1710", "1300", "700", "1250", "0"]
"""Name, width, height, foot; one opening: kind, name, left, width, foot, height; no fittings."""
ON_ALCOVE: Final = ["alcove", "", "180", ""]
"""The middle of the alcove, the motif as offered, the drop, the way as offered."""
NO_ROLLS: Final = ["0"]

FEATURE_WALL: Final = ["mm", *PAPER, *USUAL_TRIMS, *ONE_WALL, *ALCOVE, *ON_ALCOVE, *NO_ROLLS]


class Talk:
    """Somebody who gives prepared answers and remembers what was said."""

    def __init__(self, answers: list[str], *, is_live: bool = False) -> None:
        self.left = iter([*answers, "yes"] if is_live else answers)
        self.heard: list[str] = []
        self.interview = Interview(lambda: next(self.left, None), self.heard.append, is_live=is_live)

    def scenario(self) -> str:
        """Return the scenario, every answer used up."""
        text = ask_scenario(self.interview, "room.toml")
        assert list(self.left) == []
        return text

    @property
    def refusals(self) -> list[str]:
        """What was said of answers that could not be taken."""
        return [line.strip() for line in self.heard if line.startswith("  ! ")]


def changed(answers: list[str], old: str, *new: str) -> list[str]:
    """Return the answers with the only one that is ``old`` replaced by others."""
    assert answers.count(old) == 1, f"{old!r} must tell one answer from the others"
    place = answers.index(old)
    return [*answers[:place], *new, *answers[place + 1 :]]


WRITTEN: Final = """\
# A room surveyed by questions. Walls in order, left to right as one faces them; distances along a wall
# from its left; heights up from the floor line; first motifs down.
#
# Plan it:                               cutplan plan room.toml
# Look at other places for the start:    cutplan compare room.toml

units = "mm"

[paper]
name = "Hop vine"
roll_length = "10.05 m"           # as marked on the label
roll_width = "530 mm"             # between its edges, dry
match = "64/32 cm"                # repeat and offset, as the label prints them
price = 84                        # of one roll
motif_from_left = 175             # from the strip's left edge to the motif's middle
motif_width = 90                  # half of it on either side of that middle
motif_above = 120                 # how far the motif reaches above its datum
motif_below = 140                 # and below it
wet_growth = 1.5                  # per cent of its width, when pasted

[trim]
top = 50                          # added to each drop, cut off on the wall
bottom = 50

[[wall]]
name = "alcove wall"
width = 4800                      # from corner to corner
height = 2450

[[wall.opening]]
kind = "alcove"
left = 1710                       # from the wall's left
width = 1300
foot = 700                        # above the floor line
height = 1250                     # from its foot to its head

[start]
middle_of = "alcove"              # the point to centre on
puts = "motif"                    # what lies on that point
motif_drop = 180                  # from the level line down to the first motif
way = "right then left"           # which way round
"""


def test_answers_become_a_commented_scenario() -> None:
    """A feature wall, with what was offered taken where the answer is empty; here is all of the file."""
    assert Talk(FEATURE_WALL).scenario() == WRITTEN


def test_scenario_means_what_was_answered() -> None:
    """The alcove's middle is at 1710 + 1300 / 2, the strip 530 wide grows by 1.5 per cent."""
    setting_out = parse_scenario(Talk(FEATURE_WALL).scenario(), "room.toml").setting_out

    assert setting_out is not None
    assert (setting_out.start.at, setting_out.start.puts) == (Fraction(2360), Puts.MOTIF)
    assert setting_out.paper.wet_width == Fraction("537.95")


def test_every_question_has_a_reason_and_its_default() -> None:
    """Each is one line that ends with a question mark, with what is offered in brackets; the next says why."""
    talk = Talk(FEATURE_WALL)
    talk.scenario()
    asked = [place for place, line in enumerate(talk.heard) if line.split(" [")[0].endswith("?")]

    assert len(asked) == len(FEATURE_WALL)
    assert all(talk.heard[place + 1].startswith("    ") for place in asked)
    assert "How long is a roll? [10.05 m]" in talk.heard
    assert "What does a roll cost? [none]" in talk.heard
    assert "What is the match?" in talk.heard


def test_whole_room_is_asked_corner_by_corner() -> None:
    """Four walls that close, an external corner, a door and a window of the same wall, and a finish over the door."""
    walls = [
        *["front", "3000", "2400", "", "external", "0", "0"],
        *["side", "2000", "", "", "", "2", "door", "", "100", "800", "2000"],
        *["window", "", "1000", "700", "900", "1100", "120", "0"],
        *["back", "3000", "", "", "", "0", "1", "socket", "", "400", "86"],
        *["other side", "2000", "", "", "", "0", "0"],
    ]
    shell = ["yes", "2380", "1931", "yes", ""]
    start = ["front", "", "joint", "", "left then right", "door"]
    answers = ["mm", *PAPER, *USUAL_TRIMS, *shell, *walls, *start, *NO_ROLLS]
    scenario = parse_scenario(Talk(answers).scenario(), "room.toml")
    setting_out = scenario.setting_out

    assert setting_out is not None
    room = setting_out.room
    assert (room.closes, room.level_line, room.built, room.textured) == (True, Fraction(2380), 1931, True)
    assert [corner.kind.value for corner in room.corners] == ["external", "internal", "internal", "internal"]
    assert [opening.name for opening in room.walls[1].openings] == ["door", "window"]
    assert room.walls[1].openings[1].reveal == 120
    assert [fitting.name for fitting in room.walls[2].fittings] == ["socket"]
    assert (setting_out.way, setting_out.finish) == (Way.LEFT_THEN_RIGHT, FinishOver(1, 0))


def test_slopes_and_stairs_are_points() -> None:
    """Places along the wall with the height at each."""
    gable = ["gable", "4400", "0=1150; 1400=2380; 3000=2380; 4400=1150", "0=0; 4400=300", "0", "0"]
    answers = ["mm", *PAPER, *USUAL_TRIMS, *ONE_WALL, *gable, "middle", "", "", "", *NO_ROLLS]
    text = Talk(answers).scenario()

    assert "top = [[0, 1150], [1400, 2380], [3000, 2380], [4400, 1150]]" in text
    assert "foot = [[0, 0], [4400, 300]]" in text


def test_feet_and_inches_are_kept_as_they_were_said() -> None:
    """A bare number is in inches; trims are offered in them."""
    paper = ["Ladder fern", "11 yd", "20 1/2", "", "", "21/10.5", "", "", "0", ""]
    hall = ["hall", "13 ft 2 in", "95 1/4", "", "0", "0"]
    answers = ["in", *paper, *USUAL_TRIMS, *ONE_WALL, *hall, "10", "joint", "3 1/2", "", *NO_ROLLS]
    text = Talk(answers).scenario()

    assert 'roll_width = "20 1/2" ' in text
    assert 'width = "13 ft 2 in" ' in text
    assert 'top = "2 in" ' in text
    assert "at = 10 " in text


def test_third_drop_asks_which_way_it_goes() -> None:
    """Lower to the right and higher to the right are different papers, so there is no default."""
    answers = changed(FEATURE_WALL, "64/32 cm", "60 cm/third", "up")

    assert 'offset_direction = "up"' in Talk(answers).scenario()


def test_free_match_asks_for_no_motif() -> None:
    """Nothing repeats: no motif to place, none to hang, and the middle of a strip is offered instead."""
    paper = ["Chalk", "", "", "", "", "free", "", "", "", "", ""]  # two more: not reversed, not in equal strips
    answers = ["mm", *paper, *USUAL_TRIMS, *ONE_WALL, *ALCOVE, "alcove", "", "", *NO_ROLLS]
    text = Talk(answers).scenario()

    assert "motif" not in text.partition("[paper]")[2]
    assert 'puts = "middle"' in text


def test_a_mural_is_asked_for_its_sheets() -> None:
    """The match answered by sheets: then how many, the leftmost, their point; centred; no rolls in hand to ask for."""
    paper = [
        "Estuary",
        "3.10 m",
        "500",
        "",
        "",
        "sheets",
        "96",
        "",
        "",
    ]  # name, length, width, match, price, growth, foil
    answers = [
        "mm",
        *paper,
        "8",
        "2",
        "1400",
        *USUAL_TRIMS,
        *ONE_WALL,
        "north",
        "3400",
        "2550",
        "",
        "0",
        "0",
        "",
        "1050",
    ]
    read = parse_scenario(Talk(answers).scenario(), "room.toml")

    assert read.job.paper.sheets == SheetSet(8, 2, Fraction(1400))
    assert [drop.sheet for drop in read.job.drops] == [2, 3, 4, 5, 6, 7, 8]
    assert read.job.drops[0].left == 50  # seven sheets of 500 are 100 too wide


def test_a_mural_not_centred_is_asked_for_its_start() -> None:
    """A joint at the left of the wall, to the right; the sheets begin there with the first."""
    paper = ["Estuary", "3.10 m", "500", "", "", "mural", "", "", ""]
    answers = ["mm", *paper, "8", "", "1400", *USUAL_TRIMS, *ONE_WALL, "north", "3400", "2550", "", "0", "0"]
    read = parse_scenario(Talk([*answers, "no", "0", "joint", "1050", "right"]).scenario(), "room.toml")

    assert [drop.sheet for drop in read.job.drops] == [1, 2, 3, 4, 5, 6, 7]
    assert read.job.drops[0].left is None


def test_grasscloth_is_asked_what_comes_off_its_edges() -> None:
    """Then each wall is divided evenly, and nobody is asked where hanging begins."""
    paper = [
        "Flax",
        "7.32 m",
        "914",
        "",
        "",
        "free",
        "no",
        "",
        "",
        "",
        "35",
    ]  # match, not reversed, price, growth, foil, trim
    answers = ["mm", *paper, *USUAL_TRIMS, *ONE_WALL, "north", "4800", "2300", "", "0", "0", *NO_ROLLS]
    read = parse_scenario(Talk(answers).scenario(), "room.toml")

    assert read.job.paper.edge_trim == 35
    assert len(read.job.drops) == 6


def test_a_lapped_paper_with_a_selvedge_hangs_narrower_than_it_is_sold() -> None:
    """21 in with 1/2 in off each edge and a lap of 1/2 in hang 19 1/2 in wide; the motif is measured on it as sold."""
    answers = changed(FEATURE_WALL, "1.5", "0")
    answers[3:5] = ["21 in", "1/2 in"]
    answers.insert(5, "1/2 in")
    del answers[6]
    paper = parse_scenario(Talk(answers).scenario(), "room.toml").job.paper

    assert paper.roll_width == Fraction("19.5") * Fraction("25.4")
    assert paper.motif_from_left == 175 - Fraction("0.75") * Fraction("25.4")


@pytest.mark.parametrize(
    ("place", "bad", "reason"),
    [
        (4, "200", "leaves less than half of the width of 530 mm, with 400 mm lost; measure again"),
        (5, "300", "leaves less than half of the width of 530 mm, with 300 mm lost; measure again"),
    ],
)
def test_more_lost_at_the_edges_than_half_the_width_is_refused(place: int, bad: str, reason: str) -> None:
    """Somebody measured wrong, and is told so where it is typed."""
    talk = Talk([*FEATURE_WALL[:place], bad, *FEATURE_WALL[place:]], is_live=True)

    assert talk.scenario() == WRITTEN
    assert talk.refusals[-1] == f"! {reason}; once more"


@pytest.mark.parametrize(
    ("price", "told", "sale"),
    [
        (["packet of 2"], None, Sale(packet=2)),
        (["150 per packet of 2"], 75, Sale(packet=2)),
        (["45 per single of a double"], 90, Sale(singles=2)),
        (["m", "3 m", "0.5 m"], None, Sale(unit="m", least=Fraction(3000), step=Fraction(500))),
        (["12.50 per yd", "", ""], Fraction("12.5") * 10050 / Fraction("914.4"),
         Sale(unit="yd", least=Fraction("914.4"), step=Fraction("914.4"))),
    ],
)  # fmt: skip
def test_paper_is_told_as_it_is_sold_with_its_price_or_without(
    price: list[str], told: Fraction | None, sale: Sale
) -> None:
    """Packets, doubles, metres with the least and the step of an order; the price of one roll follows from them."""
    paper = parse_scenario(Talk(changed(FEATURE_WALL, "84", *price)).scenario(), "room.toml").job.paper

    assert (paper.price, paper.sale) == (told, sale)


def test_rolls_in_hand_are_measured_or_sealed() -> None:
    """Each roll has its label; an empty first motif leaves it sealed."""
    answers = [*FEATURE_WALL[:-1], "4", "", "130", "", "", "", "", "spare", "0"]
    lots = parse_scenario(Talk(answers).scenario(), "room.toml").job.lots

    assert [(lot.label, lot.first_motif) for lot in lots] == [("A", 130), ("B", None), ("C", None), ("spare", 0)]


# Manners, towards somebody who sits there


def test_back_asks_the_question_before_again_and_offers_what_was_answered() -> None:
    """The wall was told as 4.80 m; 4700 is a slip seen at the next question, and nothing else is asked again."""
    talk = Talk(changed(FEATURE_WALL, "4800", "4700", "back", "4800"), is_live=True)

    assert talk.scenario() == WRITTEN
    assert talk.heard.count("How wide is it? [4700]") == 1
    assert talk.heard.count("What is it called? [wall 1]") == 1


def test_back_to_a_number_keeps_what_was_answered_after_it() -> None:
    """Answer 23 is the wall's width; what stands on the wall is not asked again, for it still fits."""
    answers = changed(FEATURE_WALL, "4800", "5000")
    talk = Talk([*answers, "back 23", "4800"], is_live=True)

    assert talk.scenario() == WRITTEN
    assert talk.heard.count("How many openings has it? [0]") == 1


def test_what_no_longer_fits_is_asked_again() -> None:
    """The alcove ends 3010 from the left: on a wall made 3 m wide it cannot stand, and is moved to 500."""
    again = ["back 23", "3000", "500", "", "", "", "no", "back 23", "4800", "back 29", "1710", "yes"]
    talk = Talk([*FEATURE_WALL, *again], is_live=True)

    assert ask_scenario(talk.interview, "room.toml") == WRITTEN
    assert talk.refusals[0].startswith("! width: ends 3010 mm from the left of a wall 3000 mm wide; ")
    assert "How far is it from the wall's left? [1710]" in talk.heard


def test_question_mark_gives_the_reason_and_answers_lists_what_was_said() -> None:
    """Neither is an answer; the list is numbered as back takes it."""
    talk = Talk(changed(FEATURE_WALL, "4800", "?", "answers", "4800"), is_live=True)

    assert talk.scenario() == WRITTEN
    assert talk.heard.count("    From corner to corner.") == 2
    assert "    1  Which unit do you measure in: mm, cm, m, in or ft? mm" in talk.heard
    assert "   22  wall 1: What is it called? alcove wall" in talk.heard


BEDROOM: Final = [
    *["mm", "Hop vine; usual; 64/32 cm", "usual", "yes; ; ; ; 8"],
    *["left alcove; 1000; 2440; usual", "left side; 350; ; ; external; usual", "breast; 1500; ; ; external; usual"],
    *["right side; 350; usual", "right alcove; 1100; usual"],
    "door wall; 3100; ; ; ; 1; door; ; 120; 838; 2040; usual",
    "far wall; 3600; usual",
    "window wall; 3100; ; ; ; 1; window; ; 900; 1300; 900; 1200; usual",
    *["breast; usual", "usual"],
]


def test_bedroom_is_told_in_fifteen_lines() -> None:
    """Four walls, one with a chimney breast, a door and a window: 92 questions; every bracket is an answer too."""
    talk = Talk(BEDROOM, is_live=True)
    room = parse_scenario(talk.scenario(), "room.toml").setting_out
    asked = [line for line in talk.heard if "? " in line or line.endswith("?")]

    assert room is not None
    assert [float(wall.width) for wall in room.room.walls] == [1000, 350, 1500, 350, 1100, 3100, 3600, 3100]
    assert {float(wall.top.highest(wall.width / 2, wall.width)) for wall in room.room.walls} == {2440}
    assert [thing.name for wall in room.room.walls for thing in wall.openings] == ["door", "window"]
    assert (len(BEDROOM) + 1, room.room.walls[room.start.wall].name) == (15, "breast")
    assert len(asked) >= 92
    assert talk.refusals == []


WITH_BREAST: Final = [
    *["mm", "Hop vine; usual; 64/32 cm", "usual", "yes; ; ; ; 4"],
    *["fireplace wall; 3600; 2440; ; ; breast; 1000; 1500; 350; 900; 1 m"],
    *["0; 0", "0; 1; fitting; mirror; 700; 100", "1; window; ; 200; 600; 900; 1200; 0; 0"],
    *["door wall; 3100; ; ; ; 1; door; ; 120; 838; 2040; usual", "far wall; 3600; usual", "back wall; 3100; usual"],
    *["fireplace wall, chimney breast; usual", "usual"],
]


def test_breast_is_one_thing_to_whoever_measures_and_several_walls_to_the_paper() -> None:
    """Of a wall 3600 wide: alcoves of 1000 and 1100, sides of 350, a face of 1500 with its fireplace in the middle."""
    talk = Talk(WITH_BREAST, is_live=True)
    found = parse_scenario(talk.scenario(), "room.toml").setting_out

    assert found is not None
    assert talk.refusals == []
    assert [float(wall.width) for wall in found.room.walls] == [1000, 350, 1500, 350, 1100, 3100, 3600, 3100]
    kinds = [corner.kind.value for corner in found.room.corners]
    assert kinds == ["internal", "external", "external", *5 * ["internal"]]
    assert [(one.name, float(one.left)) for one in found.room.walls[2].openings] == [("fireplace", 300)]
    assert [one.name for one in found.room.walls[2].fittings] == ["mirror"]
    assert [one.name for one in found.room.walls[4].openings] == ["window"]
    assert {wall.top.level for wall in found.room.walls} == {2440}


@pytest.mark.parametrize(
    ("measures", "refusal"),
    [
        (["2500", "1500", "350", "0"], "breast: ends 4000 mm from the left of a wall 3600 mm wide; measure it again"),
        (["0", "3600", "350", "0"], "breast: is as wide as its wall of 3600 mm, so it is just a wall"),
        (["1000", "1500", "350", "1600", "900"], "fireplace: is 1600 mm wide, on a face of 1500 mm"),
        (["1000", "1500", "350", "900", "3000"], "height: reaches 3000 mm above the floor line, higher than the wall"),
    ],
)
def test_breast_that_cannot_stand_there_is_asked_for_again(measures: list[str], refusal: str) -> None:
    """What goes together is told together once more; a sloping wall takes no breast, and is told so."""
    told = ["mm", *PAPER, *USUAL_TRIMS, *ONE_WALL, "hearth", "3600", "2440", ""]
    rest = ["1000", "1500", "350", "0", *3 * ["0", "0"], "hearth, chimney breast", "middle", "", "180", "", *NO_ROLLS]
    talk = Talk([*told, "breast", *measures, *rest], is_live=True)
    room = parse_scenario(talk.scenario(), "room.toml").setting_out
    slopes = Talk([*told[:-2], "0=1150; 3600=2380", "", "breast", "0", "0", *rest[-5:]], is_live=True)
    slopes.scenario()

    assert room is not None
    assert len(room.room.walls) == 5
    assert talk.refusals[0].startswith(f"! {refusal}")
    assert slopes.refusals[0].startswith("! the wall slopes or steps")


def test_usual_stops_where_nothing_is_offered_and_at_the_end_of_its_part() -> None:
    """The match has no usual answer, so it is asked for; trims are another part, and are asked for too."""
    talk = Talk(["mm", "usual", "64/32 cm", "60"], is_live=True)
    with pytest.raises(InterviewError):
        talk.scenario()

    assert "What is the match?" in talk.heard
    assert "What does a roll cost? none" in talk.heard
    assert "And at the bottom? [50]" in talk.heard


def test_what_follows_a_refused_answer_on_its_line_is_not_taken() -> None:
    """Otherwise 2450 would be the width; the rest of the line is told, to be given again."""
    talk = Talk(changed(FEATURE_WALL, "4800", "wide; 2450; 0", "4800"), is_live=True)

    assert talk.scenario() == WRITTEN
    assert talk.refusals[0].endswith("once more, and what was to follow: 2450; 0")


def test_wall_may_be_called_back() -> None:
    """In quotation marks it is a name; and there is no way back from the first question."""
    talk = Talk(changed(["back", *FEATURE_WALL], "alcove wall", '"back"'), is_live=True)

    assert 'name = "back"' in talk.scenario()
    assert talk.heard.count("  ! there is no such answer to go back to; answers lists them") == 1


def test_offered_answer_is_taken_back_by_none() -> None:
    """A price given by mistake is left out again."""
    talk = Talk(changed(FEATURE_WALL, "84", "84", "back", "none"), is_live=True)

    assert "price" not in talk.scenario()


@pytest.mark.parametrize("count", range(1, len(FEATURE_WALL)))
def test_what_was_answered_is_kept_and_taken_up_again(count: int) -> None:
    """After any number of answers somebody leaves off; with what was kept the rest is enough."""
    kept: list[dict[str, str]] = []
    begun, rest = iter(FEATURE_WALL[:count]), iter([*FEATURE_WALL[count:], "yes"])
    leaving = Interview(
        lambda: next(begun, None), lambda _: None, is_live=True, keep=lambda now: kept.append(dict(now))
    )
    with pytest.raises(InterviewError):
        ask_scenario(leaving, "room.toml")
    goes_on = Interview(lambda: next(rest, None), lambda _: None, is_live=True, answers=kept[-1])

    assert ask_scenario(goes_on, "room.toml") == WRITTEN
    assert list(rest) == []


def test_kept_answer_that_cannot_be_taken_is_asked_again() -> None:
    """Somebody has been at the file; the question says what it held."""
    talk = Talk(FEATURE_WALL[:1] + FEATURE_WALL[2:], is_live=True)
    talk.interview = Interview(
        lambda: next(talk.left, None),
        talk.heard.append,
        is_live=True,
        answers={"units": "miles", "paper.name": "Hop vine"},
    )

    assert talk.scenario() == WRITTEN
    assert talk.refusals == ["! 'miles': 'miles' is none of mm, cm, m, in, ft; once more"]


def test_survey_is_summed_up_before_it_is_written() -> None:
    """The paper, each wall, the start; an answer of no leaves the way back open."""
    talk = Talk([*FEATURE_WALL, "no"], is_live=True)
    text = ask_scenario(talk.interview, "room.toml", survey_summary)

    assert text == WRITTEN
    place = talk.heard.index("Summary") if "Summary" in talk.heard else 0
    assert "  alcove wall: 4800 mm wide, 2450 mm high, alcove 1300 mm x 1250 mm at 1710 mm" in talk.heard
    assert "  start: motif at 2360 mm on alcove wall, right then left; one end to the other" in talk.heard
    assert place
    assert talk.refusals == ["! go back to what is wrong; once more"]


@pytest.mark.parametrize(
    ("old", "said", "meant"),
    [
        ("64/32 cm", "half drop, 64 cm", 'match = "64 cm/half"'),
        ("64/32 cm", "64,0/32 cm", 'match = "64,0/32 cm"'),
        ("84", "$95", "price = 95 "),
        ("84", "84,50 €", "price = 84.5 "),
        ("1.5", "1,5 %", "wet_growth = 1.5 "),
        ("4800", "15 ft 9", 'width = "15 ft 9" '),
        ("4800", "4,8 m", 'width = "4,8 m" '),
    ],
)
def test_what_the_trade_writes_is_taken(old: str, said: str, meant: str) -> None:
    """As it is spoken and priced, with a decimal comma where no thousand can be meant."""
    assert meant in Talk(changed(FEATURE_WALL, old, said)).scenario()


def test_length_in_another_unit_is_echoed() -> None:
    """15 ft 9 in are 4801 mm to the nearest: shown, so that a slip is heard; a bare number is not."""
    talk = Talk(changed(FEATURE_WALL, "4800", "15 ft 9"))
    talk.scenario()

    assert [line for line in talk.heard if line.startswith("  = ")] == ["  = 4801 mm"]


def test_lower_and_higher_are_directions() -> None:
    """As the trade says it."""
    answers = changed(FEATURE_WALL, "64/32 cm", "third drop of 60 cm", "lower")

    assert 'offset_direction = "down"' in Talk(answers).scenario()


def test_alike_sealed_rolls_are_one_answer() -> None:
    """Six, none of them measured, make one entry."""
    lots = parse_scenario(Talk([*FEATURE_WALL[:-1], "6, all sealed"]).scenario(), "room.toml").job.lots

    assert [(lot.label, lot.count, lot.first_motif) for lot in lots] == [("A", 6, None)]


@pytest.mark.parametrize("old", ["175", "90"])
def test_motif_beyond_the_strip_is_refused_where_it_is_typed(old: str) -> None:
    """A strip 530 wide has no motif at 531, nor one so wide."""
    talk = Talk(changed(FEATURE_WALL, old, "531", old), is_live=True)

    assert talk.scenario() == WRITTEN
    assert talk.refusals == [
        "! must lie within the strip's width of 530 mm, not at 531 mm; measure it again; once more"
    ]


def test_every_question_is_data_for_any_face() -> None:
    """Each has a key of its own, a reason that is a sentence, and takes its own default."""
    keys = [question.key for question in QUESTIONS]

    assert len(keys) == len(set(keys)) > 40
    for question in QUESTIONS:
        assert question.wording.endswith("?")
        assert question.why.endswith(".")
        for units in UNITS:
            offered = question.offered(units)
            if offered is not None and offered != "middle":
                question.kind.read(offered, units)


# Answers that cannot be taken


@pytest.mark.parametrize(
    ("old", "bad", "reason"),
    [
        ("mm", "miles", "'miles' is none of mm, cm, m, in, ft"),
        ("64/32 cm", "", "an answer is needed here"),
        ("84", "84 pounds", "'84 pounds' is no plain number; write for example 84.00"),
        ("1.5", "15", "must be from 0 to 10 per cent, not 15"),
        ("4800", "0", "a length here is more than 0"),
        ("4800", "4,800", "'4,800' has a comma; if it parts thousands write '4800', if decimals a point"),
        ("180", "640", "must be less than the repeat of 640 mm; the first motif is then at 0 mm"),
    ],
)
def test_answer_that_cannot_be_taken_is_asked_for_again(old: str, bad: str, reason: str) -> None:
    """With somebody there to answer, the reason is said, and the scenario comes out as if nothing had been wrong."""
    talk = Talk(changed(FEATURE_WALL, old, bad, old), is_live=True)

    assert talk.scenario() == WRITTEN
    assert talk.refusals == [f"! {reason}; once more"]


@pytest.mark.parametrize("answers", [["", "", "", "2"], ["usual", "", "", "2"]])
def test_what_is_refused_twice_is_offered_no_more(answers: list[str]) -> None:
    """Neither an empty answer nor «usual», which takes all that is offered, is then taken for it again."""
    talk = Talk(answers, is_live=True)
    question = Question("width", "How wide?", "From corner to corner.", LENGTH, "1")

    def fit() -> Fraction:
        width = talk.interview.ask(question).value
        if width == 1:
            raise RoomError((finding(("width",), "must be more than 1"),))
        return width

    assert talk.interview.until_it_holds(fit) == 2
    assert talk.refusals.count("! width: must be more than 1; these go together; once more") == 2
    assert talk.refusals[-1] == "! an answer is needed here; once more"


def test_opening_that_the_wall_has_no_room_for_is_asked_for_again_as_a_whole() -> None:
    """An alcove of 1300 at 4000 ends beyond a wall of 4800; all four of its lengths are asked for once more."""
    answers = changed(FEATURE_WALL, "1710", "4000", "1300", "700", "1250", "1710")
    talk = Talk(answers, is_live=True)

    assert talk.scenario() == WRITTEN
    assert talk.refusals == [
        (
            "! width: ends 5300 mm from the left of a wall 4800 mm wide; measure its left and width again; "
            "these go together; once more"
        )
    ]


def test_wall_that_the_reader_of_scenarios_refuses_is_asked_for_again() -> None:
    """A height of 0 is confirmed, for it is unusual, and refused as in a file: width, top and foot once more."""
    talk = Talk(changed(FEATURE_WALL, "2450", "0", "0", "", "4800", "2450"), is_live=True)

    assert talk.scenario() == WRITTEN
    assert talk.refusals == [
        "! height: must be more than 0, not 0; a length is measured forwards; these go together; once more"
    ]


def test_start_that_leaves_wall_bare_is_asked_for_again() -> None:
    """Hung to the right only from the middle, the left half of the wall would stay bare."""
    answers = [*FEATURE_WALL[:-5], "alcove", "", "180", "right", *ON_ALCOVE[:-1], "right then left", *NO_ROLLS]
    talk = Talk(answers, is_live=True)

    assert talk.scenario() == WRITTEN
    (refusal,) = talk.refusals
    assert refusal.startswith("! way: leaves ")
    assert "bare on the left of the start; go both ways, or start at that end of the run" in refusal


def test_names_twice_on_a_wall_are_refused() -> None:
    """Two walls called alike could not be told apart."""
    shell = ["no", "", "", "no", "2"]
    walls = ["north", "3000", "2400", "", "", "0", "0", "north", "south", "3000", "", "", "0", "0"]
    answers = ["mm", *PAPER, *USUAL_TRIMS, *shell, *walls, "", "", "", "180", "", *NO_ROLLS]
    talk = Talk(answers, is_live=True)
    talk.scenario()

    assert talk.refusals == ["! 'north' is named already; name them apart; once more"]


def test_bad_answer_from_a_file_ends_with_its_place() -> None:
    """There is nobody to ask again: which answer, to which question, and why."""
    with pytest.raises(InterviewError) as ended:
        Talk(changed(FEATURE_WALL, "4800", "wide")).scenario()

    # The unit is answer 1; paper 2 to 14, trims 15 and 16, the room 17 to 21; the wall's name is 22.
    assert str(ended.value) == (
        "answer 23, 'wide', to 'How wide is it?': cannot read 'wide' as a length; "
        'write for example "2.4 m", "2400 mm" or "7 ft 10 1/2 in"; nothing was written'
    )


def test_answers_that_end_too_soon_are_told() -> None:
    """The question that nothing answers is named."""
    with pytest.raises(InterviewError) as ended:
        Talk(["mm", "Hop vine"]).scenario()

    assert str(ended.value) == "the answers end before 'How long is a roll?' after 2 of them; nothing was written"


def test_texts_with_quotes_and_signs_are_written_safely() -> None:
    """A name with quotation marks and a backslash comes back as it was."""
    name = 'the "long" wall \\ [[wall]] # ü'
    setting_out = parse_scenario(Talk(changed(FEATURE_WALL, "alcove wall", name)).scenario(), "room.toml").setting_out

    assert setting_out is not None
    assert setting_out.room.walls[0].name == name


# The command


def test_command_writes_what_is_piped_in(tmp_path: Path) -> None:
    """One line for each answer; questions go to standard error, so that nothing but the end is told elsewhere."""
    file = tmp_path / "room.toml"
    result = CliRunner().invoke(app, ["new", str(file)], input="\n".join(FEATURE_WALL) + "\n")

    assert (result.exit_code, result.stdout) == (0, "")
    assert file.read_text(encoding="utf-8").replace(str(file), "room.toml") == WRITTEN
    assert result.stderr.endswith(f"cutplan: wrote {file}; plan it with: cutplan plan {file}\n")


def test_command_leaves_a_file_of_answers_alone(tmp_path: Path) -> None:
    """Whoever keeps answers of their own under the name that ours have when typed still has them."""
    answers = tmp_path / "room.toml.answers"
    answers.write_text("\n".join(FEATURE_WALL), encoding="utf-8")
    CliRunner().invoke(app, ["new", str(tmp_path / "room.toml")], input=answers.read_text(encoding="utf-8"))

    assert (tmp_path / "room.toml").exists()
    assert answers.read_text(encoding="utf-8") == "\n".join(FEATURE_WALL)


def test_command_prints_the_scenario_for_a_hyphen() -> None:
    """What it prints can be piped on."""
    result = CliRunner().invoke(app, ["new", "-"], input="\n".join(FEATURE_WALL))

    assert result.exit_code == 0
    assert result.stdout == WRITTEN.replace("room.toml", "scenario.toml")


def test_command_never_writes_over_a_file(tmp_path: Path) -> None:
    """The file is refused before the first question, and stays as it is."""
    file = tmp_path / "room.toml"
    file.write_text("mine", encoding="utf-8")
    result = CliRunner().invoke(app, ["new", str(file)], input="\n".join(FEATURE_WALL))

    assert result.exit_code == 2
    assert result.stderr == (
        f"cutplan: {file} is there already, and is not written over; give another name, or remove it first\n"
    )
    assert file.read_text(encoding="utf-8") == "mine"


def status_within(seconds: float, process: int) -> int:
    """Return the status of a process, which is killed where it does not end in time."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        ended, status = os.waitpid(process, os.WNOHANG)
        if ended:
            return os.waitstatus_to_exitcode(status)
        time.sleep(0.01)
    os.kill(process, signal.SIGKILL)
    return os.waitstatus_to_exitcode(os.waitpid(process, 0)[1])


def spoken(file: Path, said: str, until: str) -> tuple[int, str]:
    """Run the command at a terminal, write some lines, and end it with one Ctrl-C when it has shown a text and waits.

    Python hears none that comes in the very instant in which it begins to wait until it has its answer.
    """
    import pty  # noqa: PLC0415 - not there on Windows

    process, terminal = pty.fork()
    if not process:
        signal.signal(signal.SIGINT, signal.SIG_DFL)  # or Ctrl-C is never heard where whoever runs the tests ignores it
        os.execv(sys.executable, [sys.executable, "-m", "cutplan", "new", str(file)])  # noqa: S606 - ourselves
    heard, said_so_far = "", 0
    with suppress(OSError):
        while until not in heard or said_so_far < len(said):
            heard += os.read(terminal, 4096).decode()
            if heard.endswith("> ") and said_so_far < len(said):
                said_so_far += os.write(terminal, said[said_so_far:].partition("\n")[0].encode() + b"\n")
                heard += " "
    if until in heard:
        time.sleep(0.3)
        os.write(terminal, b"\x03")
    status = status_within(30, process)
    os.close(terminal)
    return status, heard


@pytest.mark.skipif(sys.platform == "win32", reason="no such terminals there")
def test_command_goes_on_after_ctrl_c(tmp_path: Path) -> None:
    """Three answers are kept beside the file to be written, and not asked again; the file itself is not there yet."""
    file = tmp_path / "room.toml"
    status, _ = spoken(file, "mm\nHop vine\n10,05 m\n", "How wide is a roll?")
    again, heard = spoken(file, "530\n", "How wide a selvedge")

    assert (status, again) == (130, 130)
    assert f"answers are kept in {file}.answers" in heard
    assert "going on after 3 answers" in heard
    assert "What is the paper called?" not in heard
    assert [path.name for path in tmp_path.iterdir()] == ["room.toml.answers"]


def test_command_refuses_what_it_did_not_keep(tmp_path: Path) -> None:
    """A file of that name that holds something else is left as it is."""
    kept = tmp_path / "room.toml.answers"
    kept.write_text("mine", encoding="utf-8")

    with pytest.raises(UsageError, match="does not hold the answers of a survey as cutplan keeps them"):
        answers_of(kept)


@pytest.mark.parametrize("answers", ["mm\n", "mm\nHop vine\nlong\n"], ids=["too few", "bad"])
def test_command_writes_nothing_when_an_answer_fails(tmp_path: Path, answers: str) -> None:
    """Exit status 2, and no file."""
    file = tmp_path / "room.toml"
    result = CliRunner().invoke(app, ["new", str(file)], input=answers)

    assert result.exit_code == 2
    assert result.stderr.endswith("; nothing was written\n")
    assert list(tmp_path.iterdir()) == []


def test_command_refuses_a_folder_that_is_not_there(tmp_path: Path) -> None:
    """Told before the first question, not after the last."""
    file = tmp_path / "jobs" / "room.toml"
    result = CliRunner().invoke(app, ["new", str(file)], input="\n".join(FEATURE_WALL))

    assert result.exit_code == 2
    assert result.stderr == (
        f"cutplan: {file}: there is no folder {str(tmp_path / 'jobs')!r}; make it first, or write elsewhere\n"
    )


def test_none_is_nothing_of_what_is_counted_or_measured() -> None:
    """No selvedge, no lap, no fittings: written as 0; a length that cannot be 0 is asked for again."""
    plain = Talk(FEATURE_WALL).scenario()
    said = ["none" if answer == "0" else answer for answer in FEATURE_WALL]
    said[4:6] = ["None", "no"]
    talk = Talk(changed(said, "4800", "none", "4800"), is_live=True)

    assert talk.scenario() == plain
    assert talk.refusals == ["! a length here is more than 0; once more"]
