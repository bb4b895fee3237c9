"""Faults planted in the document of a right plan are found on the wall, and named with their amount."""

from __future__ import annotations

import json
from copy import deepcopy
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutplan.check import PlanUnreadable, check_plan, check_text
from cutplan.wording import signed
from faulty_rooms import FOUR_WALLS, THREE_WALLS
from hung_plans import document_of_text
from plan_documents import changed

if TYPE_CHECKING:
    from plan_documents import Document

MEASURED = """
[[roll]]
label = "A"
first_motif = 130
count = 4
"""


@cache
def _planned(text: str) -> Document:
    return document_of_text(text)


def three_walls(*, measured: bool = False) -> Document:
    """Return the plan of three walls, see ``faulty_rooms.py``, from sealed rolls or from measured ones."""
    return deepcopy(_planned(THREE_WALLS + MEASURED if measured else THREE_WALLS))


def four_walls() -> Document:
    """Return the plan of four walls that close, see ``faulty_rooms.py``."""
    return deepcopy(_planned(FOUR_WALLS))


def wrong(document: Document) -> list[str]:
    """Return the violations of a plan document as lines."""
    return [violation.line() for violation in check_plan(document).violations]


def joint(left: int, right: int, message: str) -> str:
    """Return a violation of two columns' joint."""
    return f"joint between columns {signed(left)} and {signed(right)}: the print of {message}"


def piece(number: int, key: str, to: object) -> Document:
    """Return the plan of three walls with one value of a piece, by its number, replaced."""
    return changed(three_walls(), "setting_out", "pieces", number - 1, key, to=to)


def panel(column: int, number: int, **values: str) -> Document:
    """Return the plan of three walls with values of a column's panel, counted from 0, replaced."""
    document = three_walls()
    document["setting_out"]["columns"][column + 4]["panels"][number] |= values
    return document


# Each entry: what is planted, and every violation that it must give. Piece and column numbers: faulty_rooms.py.
PLANTED: list[tuple[str, Document, list[str]]] = [
    (
        "a top 30 too low",
        piece(1, "top", "2370"),
        [
            "column 0: the top of piece 1 is 30 mm below the highest wall within its width, at 2400 mm",
            "wall 'middle': up to 30 mm of its height lie bare from 400 mm to 900 mm along it",
            # Hung 30 lower, its print is 30 lower too.
            "column 0: the first motif of piece 1 hangs 30 mm lower than the start says",
            joint(-1, 0, "piece 1 sits 30 mm too low against piece 8 on its left at 400 mm along 'middle'"),
            joint(0, 1, "piece 2 sits 30 mm too high against piece 1 on its left at 900 mm along 'middle'"),
            joint(0, 1, "piece 3 sits 30 mm too high against piece 1 on its left at 900 mm along 'middle'"),
        ],
    ),
    (
        "a foot 40 above the stair's lowest",
        piece(7, "foot", "380"),
        [
            "column 5: the foot of piece 7 is 40 mm above the lowest wall within its width, at 340 mm",
            # At 760 the stair has climbed to 380.
            "wall 'right': up to 40 mm of its height lie bare from 680 mm to 760 mm along it",
        ],
    ),
    (
        "a piece over the window that hangs down into it",
        piece(2, "foot", "2000"),
        ["column 1: the foot of piece 2 is 100 mm below the lowest wall within its width, at 2100 mm"],
    ),
    (
        "nothing to turn under the reveal",
        piece(2, "turned_under", "0"),
        ["column 1: piece 2 has 0 mm to turn under a reveal; it needs 100 mm"],
    ),
    (
        "an instruction 10 out: the cuts of its sealed roll, told by the first of them, do not bear it out",
        piece(3, "first_motif", "10"),
        ["roll roll-1: drop 3 starts 10 mm from the nearest place in step with drop 1"],
    ),
    (
        "an instruction 10 out for the first cut of a sealed roll: by it all the others are 10 out",
        piece(1, "first_motif", "110"),
        [
            "column 0: the first motif of piece 1 hangs 10 mm lower than the start says",
            joint(-1, 0, "piece 1 sits 10 mm too low against piece 8 on its left at 400 mm along 'middle'"),
            joint(2, 3, "piece 5 sits 10 mm too high against piece 4 on its left at 1900 mm along 'middle'"),
            "roll roll-1: drop 2 starts 10 mm from the nearest place in step with drop 1",
            "roll roll-1: drop 3 starts 10 mm from the nearest place in step with drop 1",
            "roll roll-1: drop 4 starts 10 mm from the nearest place in step with drop 1",
        ],
    ),
    (
        "a first motif that is not the first",
        piece(4, "first_motif", "1100"),
        ["piece 4: its first motif is said to be 1100 mm down; the first is 500 mm down"],
    ),
    (
        "a piece in a column that is not there",
        piece(11, "column", -5),
        [
            "piece 11: hangs in column −5, which is not listed",
            "column −4: nothing hangs on the wall from 0 mm to 2400 mm above the floor line",
        ],
    ),
    (
        "a column 50 too narrow",
        panel(2, 0, to="1850", paper_to="450"),
        [
            "column 3 on 'middle': begins 50 mm from where the panel listed before it ends",
            "wall 'middle': 50 mm lie bare between column 2 and column 3",
            "column 2: piece 4 is missing from 1400 mm to 1850 mm along 'middle' (paper 0 mm to 450 mm)",
            "column 2: piece 4 is not needed from 1400 mm to 1900 mm along 'middle' (paper 0 mm to 500 mm)",
        ],
    ),
    (
        "a column that shows another part of its strip",
        panel(2, 0, paper_from="10", paper_to="510"),
        [
            "column 2 on 'middle': takes 10 mm more paper than the strip's 500 mm",
            "column 2: piece 4 is missing from 1400 mm to 1900 mm along 'middle' (paper 10 mm to 510 mm)",
            "column 2: piece 4 is not needed from 1400 mm to 1900 mm along 'middle' (paper 0 mm to 500 mm)",
            "joint between columns 1 and 2: 10 mm of the print are missing at 1400 mm along 'middle'",
            "joint between columns 2 and 3: 10 mm of the print come twice at 1900 mm along 'middle'",
        ],
    ),
    (
        "a column that shows more paper than it is wide",
        panel(-4, 0, paper_from="270"),
        [
            "column −4 on 'left': is 220 mm wide, but shows 230 mm of its paper",
            "column −4: piece 11 is missing from 0 mm to 220 mm along 'left' (paper 270 mm to 500 mm)",
            "column −4: piece 11 is not needed from 0 mm to 220 mm along 'left' (paper 280 mm to 500 mm)",
        ],
    ),
    (
        "a column numbered twice",
        changed(three_walls(), "setting_out", "columns", 0, "column", to=-3),
        [
            "column −3: is listed on the right of column −3",
            "piece 11: hangs in column −4, which is not listed",
            "column −3: piece 10 is missing from 0 mm to 220 mm along 'left' (paper 280 mm to 500 mm)",
            "column −3: piece 10 is not needed from 220 mm to 720 mm along 'left' (paper 0 mm to 500 mm)",
            # Two panels of one column would show a strip of the same print twice.
            "column −3: 500 mm of the print come twice at 220 mm along 'left'",
        ],
    ),
    (
        "a level line that the survey does not have",
        changed(three_walls(), "setting_out", "level_line", to="2390"),
        ["level line: is said to be at 2390 mm; by the survey it is at 2400 mm"],
    ),
    (
        "a closing joint where the run does not close",
        changed(three_walls(), "setting_out", "closing", to={"wall": "left", "at": 0, "sideways": 0, "height": 0}),
        ["closing joint: is told, but the run does not close"],
    ),
    (
        "no closing joint in a room that closes",
        changed(four_walls(), "setting_out", "closing", to=None),
        ["closing joint: is not told, but the room closes"],
    ),
    (
        "a closing joint at another place",
        changed(four_walls(), "setting_out", "closing", "at", to="10"),
        ["closing joint: is said to be 10 mm along 'fourth'; it is 0 mm along 'fourth'"],
    ),
    (
        "a survey that has the room close elsewhere",
        changed(four_walls(), "scenario", "finish", to={"wall": "second", "at": "right corner"}),
        ["closing joint: is 1000 mm to the right of where the survey has it"],
    ),
    (
        "a survey that hangs the other way first",
        changed(three_walls(), "scenario", "start", "way", to="left then right"),
        [
            # Of the strips at the joint, the first is then the one on its left.
            "column 0: the edge of the first strip lies 500 mm to the right of the start",
            "piece 2: is hung where piece 8 has its turn",
        ],
    ),
    (
        "a survey whose print hangs lower",
        changed(three_walls(), "scenario", "start", "motif_drop", to=130),
        ["column 0: the first motif of piece 1 hangs 30 mm higher than the start says"],
    ),
    (
        "a survey with a lower sill",
        changed(three_walls(), "scenario", "wall", 1, "opening", 0, to={
            "kind": "window", "left": 900, "width": 500, "foot": 850, "height": 1250, "reveal": 100,
        }),
        [
            "column 1: the top of piece 3 is 50 mm above the highest wall within its width, at 850 mm",
            "roll roll-1: drop 3 is cut 50 mm too long: trims and height are 950 mm",
        ],
    ),
]  # fmt: skip


@pytest.mark.parametrize(
    ("document", "expected"),
    [(document, expected) for _, document, expected in PLANTED],
    ids=[name for name, _, _ in PLANTED],
)
def test_planted_fault_is_named(document: Document, expected: list[str]) -> None:
    """Every fault planted in a right plan is found on the wall, and nothing else is."""
    assert wrong(document) == expected


def test_drops_exchanged_on_the_wall() -> None:
    """Drops 1 and 2 hung in one another's places are cut to the wrong length, and their print is 200 out."""
    document = three_walls()
    first, second = document["setting_out"]["pieces"][:2]
    first["drop"], second["drop"] = "2", "1"
    first["first_motif"], second["first_motif"] = second["first_motif"], first["first_motif"]

    assert wrong(document) == [
        "column 0: the first motif of piece 2 hangs 200 mm lower than the start says",
        joint(-1, 0, "piece 2 sits 200 mm too low against piece 8 on its left at 400 mm along 'middle'"),
        # 400 too high, which is 200 too low.
        joint(0, 1, "piece 1 sits 200 mm too low against piece 2 on its left at 900 mm along 'middle'"),
        joint(0, 1, "piece 3 sits 200 mm too high against piece 2 on its left at 900 mm along 'middle'"),
        joint(1, 2, "piece 4 sits 200 mm too low against piece 1 on its left at 1400 mm along 'middle'"),
        "column 1: the print of piece 3 sits 200 mm too low under piece 1",
        "roll roll-1: drop 1 is cut 2000 mm too long: trims and height are 500 mm",
        "roll roll-1: drop 2 is cut 2000 mm too short: trims and height are 2500 mm",
    ]


@pytest.mark.parametrize("measured", [True, False], ids=["measured", "sealed"])
def test_place_on_the_roll_decides_what_hangs(*, measured: bool) -> None:
    """A piece cut 5 further down its roll than it should be carries print 5 higher up, whatever the plan says of it.

    So it does on a sealed roll, where the first cut tells the print of the others; here it is that of piece 1.
    """
    document = three_walls(measured=measured)
    cuts = {cut["drop"]: cut for roll in document["rolls"] for cut in roll["cuts"]}
    for key in ("from", "to"):
        moved = Fraction(cuts["4"][key]) + 5
        cuts["4"] |= {key: str(moved), f"{key}_mm": float(moved)}

    found = [violation for violation in check_plan(document).violations if violation.rule in ("joint", "place")]

    assert [violation.line() for violation in found] == [
        joint(1, 2, "piece 4 sits 5 mm too high against piece 2 on its left at 1400 mm along 'middle'"),
        joint(1, 2, "piece 4 sits 5 mm too high against piece 3 on its left at 1400 mm along 'middle'"),
        joint(2, 3, "piece 5 sits 5 mm too low against piece 4 on its left at 1900 mm along 'middle'"),
        "roll A-1: drop 4 starts 5 mm from the nearest legal place"
        if measured
        else "roll roll-1: drop 4 starts 5 mm from the nearest place in step with drop 1",
    ]
    assert {violation.amount for violation in found} == {5}


def test_piece_left_out() -> None:
    """Nothing hangs where piece 3 should, and its cut is of a drop that nobody wants."""
    document = three_walls()
    del document["setting_out"]["pieces"][2]

    assert wrong(document) == [
        "column 1: nothing hangs on the wall from 0 mm to 900 mm above the floor line",
        "wall 'middle': up to 900 mm of its height lie bare from 900 mm to 1400 mm along it",
        "roll roll-1: drop 3 is not in the scenario",
    ]


def test_piece_hung_twice() -> None:
    """The same piece cannot hang in two places, and two pieces cannot cover the same wall."""
    document = three_walls()
    document["setting_out"]["pieces"].insert(1, document["setting_out"]["pieces"][0])

    assert wrong(document) == [
        "piece 1: hangs in more than one place",
        "column 0: 2 pieces hang where the wall is unbroken from 0 mm to 2400 mm above the floor line",
        "column 0: piece 1 and piece 1 hang over one another, 500 mm wide at 400 mm along 'middle'",
    ]


def numbers(value: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:  # noqa: ANN401 - any JSON
    """Return the path of every length in a part of a plan, but of what a piece needs of the width beyond its panels."""
    if isinstance(value, dict):
        return [
            found
            for key, inner in value.items()
            if not ("panels" in value and key in ("paper_from", "paper_to"))
            for found in numbers(inner, (*path, key))
        ]
    if isinstance(value, list):
        return [found for index, inner in enumerate(value) for found in numbers(inner, (*path, index))]
    return [path] if path[-1] not in ("wall", "drop", "column") and value is not None else []


@given(st.sampled_from([THREE_WALLS, FOUR_WALLS]), st.data(), st.fractions(-700, 700, max_denominator=48).filter(bool))
def test_no_length_of_the_wall_can_be_changed(text: str, data: st.DataObject, change: Fraction) -> None:
    """However little any one length of columns, pieces or the closing joint is changed, the plan is refused."""
    document = deepcopy(_planned(text))
    path = data.draw(st.sampled_from(numbers(document["setting_out"])))
    place: Any = document["setting_out"]
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = str(Fraction(place[path[-1]]) + change)

    try:
        refused = bool(check_plan(document).violations)
    except PlanUnreadable as error:  # a panel that ends before it begins
        refused = all("must lie to the right of from" in fault for fault in error.faults)

    assert refused


# What cannot be judged.


def faults(document: Document) -> list[str]:
    """Return why a document cannot be judged."""
    with pytest.raises(PlanUnreadable) as refused:
        check_plan(document)
    return list(refused.value.faults)


def test_plan_of_a_survey_must_say_where_its_pieces_hang() -> None:
    """Without it, cuts that are in order would prove nothing of the wall."""
    document = three_walls()
    del document["setting_out"]

    assert faults(document) == ["setting_out: is missing; without it nobody knows which piece hangs where"]


def test_every_fault_of_structure_on_the_wall_is_reported_at_once() -> None:
    """One reading names all that is missing or of the wrong kind in columns, pieces and the closing joint."""
    document = three_walls()
    hung = document["setting_out"]
    del hung["pieces"][0]["top"], hung["columns"][1]["column"]
    hung["columns"][0]["panels"][0] |= {"wall": "lefft"}
    hung["columns"][2]["panels"][0] |= {"to": "0"}
    hung["columns"][3]["panels"] = []
    hung["pieces"][1]["foot"] = "low"
    hung["closing"] = {"wall": "left"}

    assert faults(document) == [
        "setting_out.columns[1].panels[1].wall: there is no wall 'lefft' in the survey",
        "setting_out.columns[2].column: is missing",
        "setting_out.columns[3].panels[1].to: must lie to the right of from",
        "setting_out.columns[4].panels: are missing",
        "setting_out.pieces[1].top: is missing",
        "setting_out.pieces[2].foot: must be a number, not 'low'",
        "setting_out.closing.at: is missing",
        "setting_out.closing.sideways: is missing",
        "setting_out.closing.height: is missing",
    ]


def test_piece_whose_foot_is_not_below_its_top_is_no_piece() -> None:
    """Its cut length would be nothing or less, and rolls without number would hold it."""
    document = three_walls()
    document["setting_out"]["pieces"][0]["foot"] = document["setting_out"]["pieces"][0]["top"]

    assert faults(document) == ["setting_out.pieces[1].foot: must lie below top"]


@pytest.mark.parametrize(
    ("plan", "path", "value"),
    [
        ("alcove-feature-wall", ("scenario", "paper", "roll_length"), 10**30),
        ("closed-lining", ("plans", 1, "setting_out", "columns", 0, "panels", 0, "from"), -1),
    ],
)
def test_roll_without_end_and_paper_beyond_its_wall_are_refused(
    plan: str, path: tuple[str | int, ...], value: int
) -> None:
    """No proof is begun along such a roll, and such a joint is taken for one at the end of the wall."""
    document = json.loads((Path(__file__).parent / "old_plans" / f"{plan}.json").read_text(encoding="utf-8"))
    held: Any = document
    for key in path[:-1]:
        held = held[key]
    held[path[-1]] = value

    assert not check_text(json.dumps(document)).holds


@pytest.mark.parametrize(
    ("path", "value", "message"),
    [
        (("paper", "roll_width"), None, "scenario.paper.roll_width: is missing"),
        (("wall", 0, "width"), 0, "scenario.wall[1].width: must be more than 0"),
        (("wall", 0, "width"), "wide", "scenario.wall[1].width: cannot read 'wide' as a length"),
        (("wall", 0, "height"), None, "scenario.wall[1].height: is missing"),
        (("wall", 1, "top"), [[0, 1], [9]], "scenario.wall[2].top: cannot read [9] as a point"),
        (("wall", 1, "top"), [[0, 1], [9, 2]], "scenario.wall[2].top: must run from the wall's left edge to its right"),
        (("wall", 1, "opening", 0, "kind"), None, "scenario.wall[2].opening[1].kind: is missing"),
        (("wall", 1, "opening", 0, "foot"), None, "scenario.wall[2].opening[1].foot: is missing"),
        (("start",), None, "scenario.start: is missing"),
        (("start", "wall"), "midle", "scenario.start.wall: does not name one wall"),
        (("start", "at"), 2300, "scenario.start.at: is no point of the wall"),
        (("start", "puts"), "edge", "scenario.start.puts: must be one of motif, joint, middle, not 'edge'"),
        (("start", "motif_drop"), None, "scenario.start.motif_drop: is missing"),
        (("finish",), {"over": "door"}, "scenario.finish.over: does not name one opening"),
        (("drop",), [{}], "scenario.drop: stands beside a survey, from which the drops follow"),
    ],
)
def test_survey_that_cannot_be_read_is_located(path: tuple[str | int, ...], value: object, message: str) -> None:
    """A value of the echoed survey that cannot be used is named by its key path."""
    assert message in faults(changed(three_walls(), "scenario", *path, to=value))


def test_plan_without_drops_and_without_a_room_cannot_be_judged() -> None:
    """A scenario that wants nothing leaves nothing to judge by."""
    scenario = {"units": "mm", "paper": {"roll_length": 5600, "match": "free"}}

    assert faults(changed(three_walls(), "scenario", to=scenario)) == ["scenario: it wants no drop, or has no roll"]


def test_bare_stretches_apart_are_told_apart() -> None:
    """Piece 1 (400 to 900) hangs 30 too low; piece 4, from 1400, 20 until the slope of 1 in 2 has fallen as much."""
    document = changed(piece(1, "top", "2370"), "setting_out", "pieces", 3, "top", to="2380")

    assert [line for line in wrong(document) if "lie bare" in line] == [
        "wall 'middle': up to 30 mm of its height lie bare from 400 mm to 900 mm along it",
        "wall 'middle': up to 20 mm of its height lie bare from 1400 mm to 1440 mm along it",
    ]
