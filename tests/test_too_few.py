"""Too few rolls: what they cover all the same, against trying everything, and the page, the file and its judge."""

from __future__ import annotations

import json
from fractions import Fraction
from functools import cache
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING, Any, Final

import pytest
from hypothesis import given, settings
from msgspec.structs import replace
from typer.testing import CliRunner

from brute_force import least_value
from cutplan.check import PlanUnreadable, check_plan, check_text
from cutplan.cli.all_commands import app
from cutplan.faults import ScenarioError
from cutplan.paper.stock import Lot
from cutplan.plan.order import CuttingHabit
from cutplan.plan.proof import TooFewRollsError
from cutplan.render.documents.too_few_document import too_few_text
from cutplan.scenario.read import parse_scenario
from cutplan.solve import make_plan
from cutplan.table.sequence import sequence_of
from cutplan.too_few import Covered, cover, walls_in_order
from cutplan.too_few.covering import with_pieces
from hand_plans import drop, job
from scenario_text import scenario_text
from strategies import jobs

if TYPE_CHECKING:
    from typer.testing import Result

    from cutplan.job.job import Job

WALLS: Final = """\
units = "mm"
[paper]
name = "Reed, slate"
roll_length = "10.05 m"
match = "64 cm"
[[roll]]
label = "A"
count = 2
[[drop]]
label = "1"
height = 2400
first_motif = 95
count = 2
wall = "alcove"
[[drop]]
label = "2"
height = 2400
first_motif = 95
count = 5
wall = "window wall"
[[drop]]
label = "3"
height = 500
first_motif = 95
wall = "alcove"
"""
"""A roll is sure of 10050 − 640 mm: three drops of 2500 mm, 2560 mm apart, and one of 600 mm after them."""


def covered(wanted: Job) -> Covered | None:
    """Return what the rolls of a job cover; None when they are enough."""
    habit = CuttingHabit()
    try:
        make_plan(wanted, habit)
    except TooFewRollsError as short:
        return cover(wanted, habit, short, walls_in_order(wanted))
    return None


def file_of(text: str) -> dict[str, Any]:
    """Return the plan file of a scenario whose rolls are too few."""
    scenario = parse_scenario(text, "here")
    found = covered(scenario.job)
    assert found is not None
    sequence = None if found.plan is None else sequence_of(found.plan)
    document: dict[str, Any] = json.loads(too_few_text(found, sequence, scenario))
    return document


def run(tmp_path: Path, text: str, *arguments: str) -> Result:
    """Return what a command does with a scenario."""
    path = tmp_path / "few.toml"
    path.write_text(text, encoding="utf-8")
    return CliRunner().invoke(app, [arguments[0], str(path), *arguments[1:]])


def is_enough(wanted: Job, counts: dict[str, int]) -> bool:
    """Return True when the rolls of a job give so many pieces of each drop, by trying everything."""
    return not any(counts.values()) or least_value(with_pieces(wanted, counts)) is not None


def by_trying_everything(wanted: Job) -> dict[str, int]:
    """Return how many pieces of each drop are taken: whole walls in their order, then piece after piece as hung."""
    taken: dict[str, int] = {}
    for labels in walls_in_order(wanted).values():
        more = {**taken, **{label: wanted.drop(label).count for label in labels}}
        taken = more if is_enough(wanted, more) else taken
    for one in wanted.drops:
        for count in range(taken.get(one.label, 0) + 1, one.count + 1):
            taken = more if is_enough(wanted, more := {**taken, one.label: count}) else taken
    return taken


@settings(max_examples=15, deadline=None)
@given(jobs(most_drops=6, most_lots=1))
def test_whole_walls_are_taken_in_their_order_then_pieces_as_they_hang(wanted: Job) -> None:
    """Every second drop on one wall, the others on another, and one roll only: against trying everything."""
    drops = tuple(replace(one, wall=f"wall {number % 2}", count=1) for number, one in enumerate(wanted.drops))
    few = replace(wanted, drops=drops, lots=(replace(wanted.lots[0], count=1),))
    found = covered(few)

    assert (found is None) == is_enough(few, {one.label: one.count for one in drops})
    if found is not None:
        taken = by_trying_everything(few)
        assert dict(found.bare) == {
            one.label: one.count - taken.get(one.label, 0) for one in drops if one.count > taken.get(one.label, 0)
        }


@pytest.mark.parametrize("seed", range(8))
def test_file_of_what_is_covered_holds(seed: int) -> None:
    """The judge finds that the rolls are too few by prices, and that no bare piece fits at the end of a roll."""
    chance = Random(seed)  # noqa: S311 - no secret
    drops = [drop(str(number), chance.randrange(300, 3000), 320 * chance.randrange(2)) for number in range(15)]
    lots = tuple(Lot(label, Fraction(10050), chance.choice((None, Fraction(130))), count=1) for label in "AB")
    report = check_plan(file_of(scenario_text(job(drops, lots=lots))))

    assert not report.violations
    assert report.facts[0].startswith("the rolls are too few, proved by prices")


def test_more_rolls_never_cover_fewer_of_the_walls_that_come_first() -> None:
    """Seven drops on two walls, three of them a roll: one roll does the smaller, two the larger and half of it."""
    drops = [replace(drop("1", 2400, 95, count=2), wall="alcove"), replace(drop("2", 2400, 95, count=5), wall="window")]
    bare = [
        found and dict(found.bare)
        for count in (1, 2, 3)
        for found in [covered(job(drops, lots=(Lot("A", Fraction(10050), count=count),)))]
    ]

    assert bare == [{"2": 4}, {"1": 1}, None]


def test_longest_wall_comes_first_where_nobody_says_where_hanging_starts() -> None:
    """Five drops of 2.4 m outweigh two, and two over a door."""
    assert list(walls_in_order(parse_scenario(WALLS, "here").job)) == ["window wall", "alcove"]


def test_page_says_what_stays_bare(tmp_path: Path) -> None:
    """Two rolls give six of seven long drops: the window wall is whole, and one drop of the alcove is bare."""
    result = run(tmp_path, WALLS, "plan")

    assert result.exit_code == 3
    assert 'This plan covers 7 pieces from 2 rolls, with "window wall" papered whole.' in result.stdout
    assert 'Bare: on "alcove" drop 1 (1 of 2).' in result.stdout
    assert "left bare is proved not to fit beside those" in result.stdout
    assert result.stderr == "cutplan: the 2 rolls listed are not enough: 1 more roll needed\n"


def test_plan_file_of_too_few_rolls(tmp_path: Path) -> None:
    """Status 3 and ``infeasible``, with a partial plan that the judge accepts."""
    result = run(tmp_path, WALLS, "plan", "--json")
    document = json.loads(result.stdout)
    report = check_text(result.stdout)

    assert result.exit_code == 3
    assert (document["status"], document["rolls_needed"], document["rolls"]) == ("infeasible", None, [])
    assert (document["bare"], document["whole_walls"]) == ({"1": 1}, ["window wall"])
    assert document["partial"]["rolls_needed"] == 2
    assert report.holds
    assert report.subject == "the plan of what can be cut"


def test_nothing_fits(tmp_path: Path) -> None:
    """Every drop is longer than any roll is sure to give: all stays bare, and there is no plan of it."""
    text = WALLS.replace("2400", "9400").replace("500", "9400")
    result = run(tmp_path, text, "plan", "--json")

    assert (result.exit_code, json.loads(result.stdout)["partial"]) == (3, None)
    assert check_text(result.stdout).holds


@pytest.mark.parametrize(
    ("fault", "found"),
    [
        ({"bare": {}}, "drop 1"),
        ({"bare": {"1": 3}}, "3 pieces said to stay bare, of 2 wanted"),
        ({"bare": {"1": 1, "9": 1}}, "1 piece said to stay bare, of 0 wanted"),
        ({"whole_walls": ["window wall", "alcove"]}, "some of it is bare"),
        ({"whole_walls": ["window wall", "window wall"]}, "a wall is said twice to be papered whole"),
        ({"whole_walls": []}, "nothing on it stays bare, and it is not said"),
        ({"partial": None}, "there is no plan of what is not bare"),
        ({"shortage_prices": {"scale": 1, "drops": {"1": 1}, "premiums": {"A": 1}}}, "do not prove"),
        ({"shortage_prices": {"scale": 1, "drops": {"1": 9}, "premiums": {}}}, "the prices allow 0"),
    ],
)
def test_planted_faults_are_refused(fault: dict[str, Any], found: str) -> None:
    """Each thing that the file says of what is bare is judged."""
    report = check_plan({**file_of(WALLS), **fault})

    assert any(found in violation.line() for violation in report.violations)


def test_piece_left_bare_that_would_fit_is_refused() -> None:
    """Drop 3, of 600 mm, is left out of the partial plan, where the last of a roll leaves more than that."""
    document = file_of(WALLS)
    partial = document["partial"]
    for roll in partial["rolls"]:
        roll["cuts"] = [cut for cut in roll["cuts"] if cut["drop"] != "3"]
    report = check_plan({**document, "bare": {"1": 1, "3": 1}})

    assert any(line.line().startswith("drop 3: stays bare, and fits behind the last") for line in report.violations)


@pytest.mark.parametrize(
    ("key", "value", "found"),
    [
        ("rolls_needed", 2, "rolls_needed: must be null"),
        ("rolls", [{}], "rolls: must be empty"),
        ("status", "optimal", "status: must be one of infeasible, unknown"),
        ("whole_walls", "alcove", "whole_walls: must be a list of names"),
        ("partial", 7, "partial: must be an object"),
    ],
)
def test_unreadable_file_says_where(tmp_path: Path, key: str, value: object, found: str) -> None:
    """A file that is no plan of too few rolls is refused with its place."""
    path = tmp_path / "plan.json"
    path.write_text(json.dumps({**file_of(WALLS), key: value}), encoding="utf-8")
    result = CliRunner().invoke(app, ["check", str(path)])

    assert result.exit_code == 2
    assert found in result.stderr


ROOM: Final = """\
units = "mm"
[paper]
name = "Reed, slate"
roll_length = "10.05 m"
roll_width = 530
match = "64 cm"
[[wall]]
name = "bed wall"
width = 2650
height = 2400
[start]
wall = "bed wall"
at = 1325
puts = "middle"
motif_drop = 95
[[roll]]
label = "A"
"""
"""Five drops of 2500 mm wherever hanging starts, or six with two narrow ones; one roll gives three."""


def test_compare_counts_further_rolls_where_no_place_does_with_those_in_hand(tmp_path: Path) -> None:
    """Beside the one in hand one more is bought, whatever the start; the status is that of a job without a plan."""
    result = run(tmp_path, ROOM, "compare", "--keep", "height", "--json")
    document = json.loads(result.stdout)

    assert result.exit_code == 3
    assert document["objective"] == "rolls_to_buy"
    assert {place["rolls"] for place in [document["own"], *document["best"]]} == {1}
    assert "not enough: 1 more roll needed" in result.stderr


def test_sheet_is_of_what_is_cut(tmp_path: Path) -> None:
    """Three of five drops: the sheet says so before all else, and has no step for the others."""
    result = run(tmp_path, ROOM, "sheet")

    assert result.exit_code == 3
    assert "This plan covers 3 pieces from 1 roll." in result.stdout
    assert "Bare: on &#34;bed wall&#34; drops 4, 5." in result.stdout


def test_sheet_where_a_patch_stays_bare_with_its_column(tmp_path: Path) -> None:
    """A reveal's patch hangs after the last piece of its column, and is not told of where that is not cut."""
    (tmp_path / "room.toml").write_text(
        'units = "mm"\n[paper]\nroll_length = 2500\nroll_width = 500\nmatch = "free"\n[[roll]]\nlabel = "A"\n'
        '[[wall]]\nname = "wall"\nwidth = 1500\nheight = 2400\n'
        '[[wall.opening]]\nkind = "window"\nleft = 700\nwidth = 600\nfoot = 1000\nheight = 1000\nreveal = 80\n'
        '[start]\nat = 0\nputs = "joint"\nway = "right"\n'
    )

    ran = CliRunner().invoke(app, ["sheet", str(tmp_path / "room.toml"), "-o", str(tmp_path / "job.html")])

    assert ran.exit_code == 3
    assert "cannot go under" not in (tmp_path / "job.html").read_text(encoding="utf-8")


def test_customers_page_shows_places_all_the_same(tmp_path: Path) -> None:
    """The room is as the customer will see it once there is paper enough."""
    result = run(tmp_path, ROOM, "sheet", "--customer")

    assert (result.exit_code, "<svg" in result.stdout) == (3, True)


def test_buy_says_what_is_missing(tmp_path: Path) -> None:
    """One roll in hand, two needed."""
    result = run(tmp_path, ROOM, "buy", "--json")

    assert (result.exit_code, json.loads(result.stdout)["buy"]["rolls"]) == (0, 1)


def test_offcut_that_leaves_fewer_pieces_bare(tmp_path: Path) -> None:
    """One roll and one offcut of a drop's length give four of five."""
    result = run(tmp_path, ROOM, "fit", "--length", "2640", "--first-motif", "145")

    assert "2 pieces bare without it, 1 piece with it" in " ".join(result.stdout.split())


def test_what_could_be_given_up(tmp_path: Path) -> None:
    """Against trying everything: seven long drops and a short one, of which two rolls give all but one long drop.

    Either wall in another paper leaves enough; the alcove's three drops come off one roll of another batch, the five of
    the window wall off two. A trim of 2 in in all would leave 2451 mm, still three to a roll, so it is not offered. A
    drop in two parts fits behind three to a roll when neither, with its trims, is longer than 9410 − 7620 mm: from 3/8.
    """
    result = run(tmp_path, WALLS, "plan", "--json")
    steps = json.loads(result.stdout)["given_up"]
    wanted = parse_scenario(WALLS, "here").job

    assert [(step["what"], step["more_rolls_needed"], step["rolls_of_another_batch"]) for step in steps] == [
        ("join one drop 1 of two pieces, 900 mm above its foot", 0, None),
        ("hang another paper on alcove", 0, None),
        ("hang another paper on window wall", 0, None),
        ("hang another batch on alcove alone", 0, 1),
        ("hang another batch on window wall alone", 0, 2),
    ]
    for labels in walls_in_order(wanted).values():
        assert is_enough(wanted, {one.label: one.count for one in wanted.drops if one.label not in labels})
    assert "given up, step 5: 2 more rolls, by a plan for what its words say" in check_text(result.stdout).facts


@pytest.mark.parametrize(
    ("plant", "found"),
    [
        ({"more_rolls_lower_bound": 1}, "step 1: 0 more needed, and a bound of 1"),
        ({"more_rolls_needed": 3}, "the dearest does not stand last"),
    ],
)
def test_steps_that_contradict_themselves_are_refused(tmp_path: Path, plant: dict[str, int], found: str) -> None:
    """A bound above its figure, and a dear step before a cheap one."""
    document = json.loads(run(tmp_path, WALLS, "plan", "--json").stdout)
    document["given_up"][0].update(plant)

    assert found in " ".join(violation.line() for violation in check_plan(document).violations)


def test_thing_that_could_be_given_up_is_told_once(tmp_path: Path) -> None:
    """And by words that agree with its plan, so that none is taken on trust."""
    document = json.loads(run(tmp_path, WALLS, "plan", "--json").stdout)
    assert not [claim for claim in check_plan(document).trusted if "given up" in claim]
    document["given_up"].insert(0, document["given_up"][0])

    assert "one thing is told twice" in [violation.line() for violation in check_plan(document).violations]


@pytest.mark.parametrize(
    ("plant", "told"),
    [
        ({"kind": "glued"}, "must be one of start, trim"),
        ({"kind": "turned", "rolls_of_another_batch": 1}, "only another batch on a wall"),
    ],
)
def test_thing_given_up_is_of_a_kind(tmp_path: Path, plant: dict[str, object], told: str) -> None:
    """Only another batch on a wall takes rolls of one."""
    document = json.loads(run(tmp_path, WALLS, "plan", "--json").stdout)
    document["given_up"][0].update(plant)

    with pytest.raises(PlanUnreadable, match=told):
        check_plan(document)


@pytest.mark.parametrize(
    ("plant", "told"),
    [
        ({"kind": "joined"}, "is not told as 'joined' is"),
        ({"what": "hang another paper on the ceiling"}, "no such wall"),
        ({"kind": "sideways", "what": "turn drops 1 to 99 by a quarter, across the roll"}, "no such drop"),
        ({"kind": "sideways", "what": "turn drop 1 over"}, "is not told as 'sideways' is"),
    ],
)
def test_thing_given_up_is_told_as_its_kind_is(tmp_path: Path, plant: dict[str, object], told: str) -> None:
    """Its words are those of its kind, and name walls and drops of the job."""
    document = json.loads(run(tmp_path, WALLS, "plan", "--json").stdout)
    step = next(step for step in document["given_up"] if step["kind"] == "paper")
    step.update(plant)

    assert told in " ".join(violation.line() for violation in check_plan(document).violations)


SIDEWAYS: Final = """units = "mm"
[paper]
roll_length = "10.05 m"
roll_width = 530
match = "free"
sideways = true
[[wall]]
name = "door wall"
width = 1900
height = 2400
[[wall.opening]]
kind = "door"
left = 700
width = 1200
height = 1990
[start]
at = 0
puts = "joint"
way = "right"
[[roll]]
label = "A"
length = 5950
"""


def test_piece_over_a_door_is_hung_on_its_side_where_the_paper_allows_it(tmp_path: Path) -> None:
    """Two strips of 2500 and two over the door of 510 are 6020; the last is 310 wide, so on its side 410: 5920.

    A paper that must match cannot be turned so.
    """
    result = run(tmp_path, SIDEWAYS, "plan", "--json")
    steps = json.loads(result.stdout)["given_up"]

    assert [(step["what"], step["more_rolls_needed"]) for step in steps if step["kind"] == "sideways"] == [
        ("turn drop 4 by a quarter, across the roll", 0)
    ]
    assert check_text(result.stdout).holds
    assert "sideways" not in run(tmp_path, SIDEWAYS.replace("sideways = true\n", ""), "plan", "--json").stdout
    refused = run(tmp_path, SIDEWAYS.replace('"free"', '"64 cm"'), "plan")
    assert refused.exit_code == 2
    assert "cannot be turned by a quarter" in refused.stderr


FIRST: Final = '[cutting]\nfirst_walls = ["alcove"]\n'


def test_walls_are_taken_in_the_order_told(tmp_path: Path) -> None:
    """The alcove first, though the window wall is larger: its three pieces and four of five from two rolls."""
    document = json.loads(run(tmp_path, WALLS + FIRST, "plan", "--json").stdout)

    assert (document["walls_in_order"], document["whole_walls"]) == (["alcove", "window wall"], ["alcove"])
    assert document["bare"] == {"2": 1}
    assert check_plan(document).holds
    other = check_plan({**document, "walls_in_order": ["window wall", "alcove"]})
    assert "the walls are not taken in their order, which is alcove, window wall" in other.violations[0].line()


@pytest.mark.parametrize(
    ("names", "told"),
    [('["nook"]', 'names "nook", and there is "alcove", "window wall"'), ('"alcove"', "must be a list of names")],
)
def test_wall_told_first_is_one_of_the_walls(names: str, told: str) -> None:
    """A slip of the pen is told with its place."""
    with pytest.raises(ScenarioError, match=told):
        parse_scenario(f"{WALLS}[cutting]\nfirst_walls = {names}\n", "here")


BRANCHING: Final = """\
units = "mm"
[paper]
name = "Reed, slate"
roll_length = 1320
match = "free"
[trim]
top = 0
bottom = 0
[[roll]]
label = "A"
count = 5
[[drop]]
label = "long"
height = 440
count = 5
[[drop]]
label = "middle"
height = 330
count = 7
[[drop]]
label = "short"
height = 120
count = 17
"""
"""By length 6550 of 6600 mm; in parts of rolls 5/3 + 7/4 + 17/11 = 4.96 rolls; in whole rolls, 6.

Rolls of 132 for pieces of 44, 33 and 12 are a known case in which prices prove one roll fewer than are needed [memory].
"""
TOO_NARROW: Final = """\
units = "mm"
[paper]
name = "Reed, slate"
roll_length = 3000
roll_width = 530
match = "free"
[trim]
top = 0
bottom = 0
[[roll]]
label = "A"
[[drop]]
label = "x"
height = 2500
cut_outs = [{ from_top = 0, length = 2000, left = 0, right = 265 }]
[[drop]]
label = "y"
height = 1500
left = 0
right = 200
cut_outs = [{ from_top = 0, length = 1000, left = 200, right = 530 }]
[[drop]]
label = "z"
height = 800
left = 250
right = 400
"""
"""x comes off the roll, y out of what falls from x; z would need what falls from y to be wider than 265 mm."""


@pytest.mark.parametrize(("text", "bare"), [(BRANCHING, {"short": 1}), (TOO_NARROW, {"z": 1})])
def test_what_only_a_search_shows_to_be_too_few_has_its_partial_plan(
    tmp_path: Path, text: str, bare: dict[str, int]
) -> None:
    """No prices prove it, so the judge says so before all else; the plan of the rest it judges as ever."""
    result = run(tmp_path, text, "plan", "--json")
    document = json.loads(result.stdout)
    report = check_plan(document)

    assert (result.exit_code, document["status"], document["shortage_prices"]) == (3, "infeasible", None)
    assert (document["bare"], document["covers_most"]) == (bare, True)
    assert report.holds
    assert report.searched[:2] == (
        "that the rolls are too few is the word of a search: the plan gives no prices that prove it",
        "that no piece left bare fits beside those taken is the word of a search",
    )


BEDROOM: Final = Path("scenarios/too-few/bedroom.toml")


@cache
def _bedroom(*arguments: str) -> str:
    """Return what a command prints, with time enough on a busy machine to ask of every start."""
    return CliRunner().invoke(app, [arguments[0], str(BEDROOM), *arguments[1:], "--time-limit", "60"]).stdout


def test_every_figure_of_the_page_is_in_the_plan_file() -> None:
    """What is covered, what is bare, in which order walls were taken, and every step with its rolls."""
    page = " ".join(_bedroom("plan").split("Notes\n")[0].split())
    document = json.loads(_bedroom("plan", "--json"))
    partial = document["partial"]
    pieces = sum(len(roll["cuts"]) * roll.get("count", 1) for roll in partial["rolls"])
    walls = [f'"{name}"' for name in document["walls_in_order"]]
    bare = ", ".join(document["bare"])

    assert f"This plan covers {pieces} pieces from {partial['rolls_needed']} rolls" in page
    assert f"with {', '.join(walls[:3])} papered whole. Bare: on {walls[3]} drop {bare}." in page
    assert f"Walls were taken in this order: {', '.join(walls)}." in page
    listed = page.split("dearest last - ")[1].removesuffix(".").split(". - ")
    assert [line.replace(".", "") for line in listed] == [words_of(step) for step in document["given_up"]]
    assert check_plan(document).holds


def words_of(step: dict[str, Any]) -> str:
    """Return how the page tells a step of the file."""
    more, other = step["more_rolls_needed"], step["rolls_of_another_batch"]
    still = f"{more} more roll{'s' * (more > 1)} needed" if more else "the rolls in hand are enough"
    return f"{step['what']}: {still}" + (f", and {other} roll{'s' * (other > 1)} of the other batch" if other else "")


def test_rolls_that_are_enough_say_what_returning_one_would_take(tmp_path: Path) -> None:
    """The ladder in reverse: with the ninth roll in hand, what would let it go back are the steps of eight rolls."""
    text = BEDROOM.read_text(encoding="utf-8").replace("count = 8", "count = 9")
    back = json.loads(run(tmp_path, text, "buy", "--json", "--time-limit", "60").stdout)["returning"]
    steps = json.loads(_bedroom("plan", "--json"))["given_up"]

    assert (back["unopened"], back["one_more_by_another_plan"]) == ([], False)
    assert back["one_more_otherwise"] == [
        step["what"] for step in steps if step["more_rolls_needed"] == 0 and not step["rolls_of_another_batch"]
    ]


WALL: Final = """\
units = "mm"
[paper]
roll_length = "10.05 m"
roll_width = 530
match = "64/32 cm"
motif_from_left = 200
[[wall]]
name = "long wall"
width = 3200
height = 2400
[[wall.opening]]
kind = "door"
left = 900
width = 1100
height = 2030
[start]
wall = "long wall"
at = 1600
puts = "joint"
motif_drop = 140
[[roll]]
label = "A"
count = 2
"""


def test_compare_judges_by_the_rolls_in_hand_where_they_do_somewhere(tmp_path: Path) -> None:
    """A joint on the middle takes three rolls, the motif there two, which are in hand: no further rolls are counted."""
    result = run(tmp_path, WALL, "compare", "--keep", "height", "--json")
    document = json.loads(result.stdout)

    assert (result.exit_code, document["own"]["rolls"]) == (0, None)
    assert {place["rolls"] for place in document["best"]} == {2}
