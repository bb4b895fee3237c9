"""What could be given up where rolls are too few: every step against trying everything, on jobs of a few pieces."""

from __future__ import annotations

import json
import re
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import pytest
from msgspec.structs import replace

from brute_force import least_value
from cutplan.check import PlanUnreadable, check_plan
from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Lot
from cutplan.plan.order import CuttingHabit
from cutplan.plan.proof import TooFewRollsError
from cutplan.render.documents.too_few_document import too_few_text
from cutplan.scenario.read import parse_scenario
from cutplan.setting_out import Joint
from cutplan.solve import make_plan
from cutplan.too_few import Covered, GivenUp, could_be_given_up, walls_in_order
from cutplan.too_few.other_pieces import hidden_by, sideways
from hand_plans import drop, job
from scenario_text import scenario_text
from small_rooms import closed, opening, run, wall
from too_few_jobs import LISTS, ROOM, ROOMS, SHORT_ROLL, free_job, list_job, room

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from cutplan.job.drops import Drop
    from cutplan.job.job import Job
    from cutplan.scenario.read import Scenario


def missing(wanted: Job) -> Fraction | None:
    """Return how many rolls must be had besides those in hand, by trying everything."""
    new = Lot("new", wanted.paper.roll_length, count=None, price=Fraction(1))
    return least_value(replace(wanted, lots=(*(replace(lot, price=Fraction(0)) for lot in wanted.lots), new)))


def ladder_of(wanted: Job, scenario: Scenario | None = None) -> tuple[GivenUp, ...]:
    """Return what could be given up."""
    setting_out = None if scenario is None else scenario.setting_out
    return could_be_given_up(wanted, walls_in_order(wanted, setting_out), setting_out)


def numbers(step: GivenUp) -> list[Fraction]:
    """Return the lengths that a step names, exact."""
    return [value for value in step.what.values if not isinstance(value, str)]


def without(wanted: Job, labels: set[str]) -> Job:
    """Return the job without some drops."""
    return replace(wanted, drops=tuple(each for each in wanted.drops if each.label not in labels))


def turned(each: Drop, repeat: Fraction) -> Drop:
    """Return a drop hung head down: from what was its foot, its motifs lie as far as they lay from its foot."""
    from_foot = (each.height - each.first_motif) % repeat
    return replace(each, first_motif=from_foot)


def joined(wanted: Job, label: str, lower: Fraction) -> Job:
    """Return the job with a drop cut in two, each with both trims, the lower piece's print going on."""
    drops: list[Drop] = []
    for each in wanted.drops:
        if each.label != label:
            drops.append(each)
            continue
        upper = each.height - lower
        motif = (each.first_motif - upper) % wanted.paper.pattern.repeat
        drops += [replace(each, label="u", height=upper), replace(each, label="l", height=lower, first_motif=motif)]
    return replace(wanted, drops=tuple(drops))


def trimmed(wanted: Job, top: Fraction, bottom: Fraction) -> Job:
    """Return the job with other trims."""
    drops = (replace(each, trim_top=top, trim_bottom=bottom) for each in wanted.drops)
    return replace(wanted, drops=tuple(drops))


def given_up_by_hand(step: GivenUp, wanted: Job, walls: dict[str, tuple[str, ...]]) -> Job:
    """Return the job that a step of a list of drops stands for, worked out from its words."""
    words, repeat = step.what.read(), wanted.paper.pattern.repeat
    if step.kind == "trim":
        return trimmed(wanted, *numbers(step))
    if step.kind == "turned":
        labels = re.findall(r"\d+", words.removesuffix("head down").replace(" to ", ", "))
        drops = (turned(each, repeat) if each.label in labels else each for each in wanted.drops)
        return replace(wanted, drops=tuple(drops))
    if step.kind == "joined":
        return joined(wanted, str(step.what.values[0]), numbers(step)[0])
    return without(wanted, set(walls[str(step.what.values[0])]))


@cache
def kinds_of_lists() -> dict[int, tuple[GivenUp, ...]]:
    """Return the steps of each small job that its rolls are too few for."""
    return {seed: ladder_of(list_job(seed)) for seed in LISTS}


def test_every_step_of_a_list_of_drops_agrees_with_trying_everything() -> None:
    """Trims, turned pieces, a joined drop, walls: each figure is the least; each kind occurs among the jobs."""
    for seed, steps in kinds_of_lists().items():
        wanted = list_job(seed)
        walls = walls_in_order(wanted)
        now = missing(wanted)
        for step in steps:
            found = missing(given_up_by_hand(step, wanted, walls))
            assert step.missing.enough == step.missing.least == found, (seed, step.what.read())
            assert now is not None
            assert step.missing.enough < now
            if step.other is not None:
                alone = replace(wanted, lots=(Lot("other", SHORT_ROLL, count=None),))
                gone = {each.label for each in wanted.drops} - set(walls[str(step.what.values[0])])
                assert step.other.enough == least_value(without(alone, gone))

    kinds = {step.kind for steps in kinds_of_lists().values() for step in steps}
    assert kinds == {"trim", "turned", "joined", "paper", "batch"}


def laid_sideways(wanted: Job, labels: list[str]) -> Job:
    """Return the job with pieces across the roll: of those as high and of one wall the widest together, and so on."""
    strip = wanted.paper.roll_width
    assert strip is not None
    drops = [each for each in wanted.drops if each.label not in labels]
    heaps: dict[tuple[Fraction, str | None], list[Fraction]] = {}  # by height and wall
    for each in wanted.drops:
        if each.label in labels:
            assert each.left is not None
            assert each.right is not None
            heaps.setdefault((each.cut_length, each.wall), []).append(each.right - each.left)
    for number, (alike, wides) in enumerate(heaps.items()):
        wides.sort(reverse=True)
        while wides:
            drops.append(replace(drop(f"across {number} {len(wides)}", wides[0]), wall=alike[1]))
            del wides[: int(strip // alike[0])]
    return replace(wanted, drops=tuple(drops))


def test_short_pieces_on_their_side_agree_with_trying_everything() -> None:
    """The figure is the least for pieces so laid; nothing is told where they help nothing or the paper forbids it."""
    told = 0
    for seed in range(10):
        wanted = free_job(seed)
        now = missing(wanted)
        if not now:
            continue
        ways = list(sideways(wanted))
        least = min((least for _, made in ways if (least := missing(made)) is not None), default=now)
        step = next((step for step in ladder_of(wanted) if step.kind == "sideways"), None)
        assert (step is not None) == (least < now), seed
        if step is not None:
            told += 1
            words = step.what.read().removesuffix(" by a quarter, across the roll").replace(" to ", "-")
            labels = [label for part in re.findall(r"[\d-]+", words) for label in _run(part)]
            assert step.missing.enough == step.missing.least == missing(laid_sideways(wanted, labels)) == least, seed
        forbidden = replace(wanted, paper=replace(wanted.paper, may_lie_sideways=False))
        assert not list(sideways(forbidden))
    assert told > 2


def _run(part: str) -> list[str]:
    first, _, last = part.partition("-")
    return [str(number) for number in range(int(first), int(last or first) + 1)]


def test_piece_too_high_to_lie_across_the_roll_stays_upright() -> None:
    """450 and two trims of 50 lie across a roll of 550, and not of 549."""
    pieces = [drop("tall", 1500), replace(drop("short", 450), left=Fraction(0), right=Fraction(200))]
    for strip, ways in ((550, 1), (549, 0)):
        wanted = job(pieces, Pattern(Fraction(0), Fraction(0)), (Lot("A", SHORT_ROLL, count=1),))
        paper = replace(wanted.paper, roll_width=Fraction(strip), may_lie_sideways=True)
        assert len(list(sideways(replace(wanted, paper=paper)))) == ways


def test_dearest_stands_last() -> None:
    """By the rolls still to be had, of this batch and of another."""
    for steps in kinds_of_lists().values():
        to_be_had = [step.missing.enough + (step.other.enough if step.other else 0) for step in steps]
        assert to_be_had == sorted(to_be_had)


def test_a_millimetre_more_trim_needs_a_roll_more() -> None:
    """The trim told is the largest that helps so much."""
    steps = [(seed, step) for seed, steps in kinds_of_lists().items() for step in steps if step.kind == "trim"]
    for seed, step in steps:
        top, bottom = numbers(step)
        found = missing(trimmed(list_job(seed), top + 1, bottom))
        assert found is not None
        assert found > step.missing.enough
    assert steps


def test_no_drop_that_is_joined_elsewhere_leaves_fewer_missing() -> None:
    """Every drop of more than half the height, joined at any eighth of it to the centimetre."""
    for seed, steps in kinds_of_lists().items():
        wanted = list_job(seed)
        now = missing(wanted)
        highest = max(each.height for each in wanted.drops)
        every = [
            missing(joined(wanted, each.label, Fraction(round(each.height * part / 8, -1))))
            for each in wanted.drops[:2]  # the others are like them
            if each.height * 2 > highest
            for part in (1, 4)
        ]
        told = [step.missing.enough for step in steps if step.kind == "joined"]
        assert now is not None
        least = min(found for found in (*every, now) if found is not None)
        assert (told[0] if told else now) <= least


@cache
def kinds_of_rooms() -> dict[int, tuple[GivenUp, ...]]:
    """Return the steps of each small room that its rolls are too few for."""
    found = {}
    for seed in ROOMS:
        scenario = room(seed)
        found[seed] = ladder_of(scenario.job, scenario)
    return found


def with_start(scenario: Scenario, step: GivenUp) -> Scenario:
    """Return the room planned again from the start, or with the height, that a step names."""
    document = ROOM.format(
        width=scenario.document["wall"][0]["width"],  # type: ignore[index]
        height=scenario.document["wall"][0]["height"],  # type: ignore[index]
        thing="",
        at=scenario.document["start"]["at"],  # type: ignore[index]
        count=scenario.job.lots[0].count,
        motif="" if scenario.job.lots[0].first_motif is None else f"first_motif = {scenario.job.lots[0].first_motif}",
    )
    (length,) = numbers(step)
    key = "motif_drop" if "motif_drop" in step.what.text else "at"
    puts = "middle" if "middle of a strip" in step.what.read() else "joint"
    document = re.sub(rf"^{key} = .*$", f"{key} = {float(length)}", document, flags=re.MULTILINE)
    if key == "at":
        document = document.replace('puts = "joint"', f'puts = "{puts}"')
    return parse_scenario(document, "again")


def test_every_step_of_a_room_agrees_with_trying_everything() -> None:
    """Another start and height, planned again from the scenario; a joint behind a wardrobe left unmatched."""
    for seed, steps in kinds_of_rooms().items():
        scenario = room(seed)
        plain = replace(scenario.job, drops=tuple(replace(each, cut_outs=()) for each in scenario.job.drops))
        for step in steps:
            if step.kind == "start":
                again = with_start(scenario, step).job
                assert step.missing.enough <= (missing(again) or 0), (seed, step.what.read())
            elif step.kind == "joint" and not seed % 2:
                drops = tuple(unmatched_by_hand(scenario, step))
                assert step.missing.enough == missing(replace(plain, drops=drops)), (seed, step.what.read())

    assert {"start", "joint"} <= {step.kind for steps in kinds_of_rooms().values() for step in steps}


def unmatched_by_hand(scenario: Scenario, step: GivenUp) -> Iterator[Drop]:
    """Yield the drops with those on one side of a joint hung lower: a strip lies there if its middle does."""
    at, lower = numbers(step)
    is_right = "print to its right" in step.what.read()
    assert scenario.setting_out is not None
    middles = {
        piece.label: (piece.panels[0].left + piece.panels[-1].right) / 2 for piece in scenario.setting_out.pieces
    }
    for each in scenario.job.drops:
        plain = replace(each, cut_outs=())
        if (middles[each.label] > at) == is_right:
            plain = replace(plain, first_motif=(each.first_motif + lower) % scenario.job.paper.pattern.repeat)
        yield plain


@pytest.mark.parametrize(
    ("at", "behind"),
    [
        (300, "door"),  # 700 mm from the side of a door 800 mm wide
        (150, None),  # 850 mm from it
        (1900, "door"),  # as far on its other side: on which it hangs nobody has said
        (2700, None),
        (1400, None),  # over the door itself, where everybody looks
    ],
)
def test_joint_is_hidden_where_a_door_stands_open(at: int, behind: str | None) -> None:
    """A door from 1000 to 1800 mm covers as much wall beside it as it is wide."""
    walls = run(wall(4000, opening(1000, 1800, 0, 2000)))

    assert hidden_by(walls, Joint(0, 1, 0, Fraction(at), None, None)) == behind


def test_door_hides_a_joint_round_an_internal_corner() -> None:
    """A door 200 mm from a corner, 800 mm wide, reaches 600 mm round it, and not 700."""
    walls = closed(
        wall(3000, opening(200, 1000, 0, 2000), name="door wall"), wall(3000, name="a"), wall(3000, name="b")
    )

    assert hidden_by(walls, Joint(0, 1, 2, Fraction(2400), None, None)) == "door"
    assert hidden_by(walls, Joint(0, 1, 2, Fraction(2300), None, None)) is None


def test_drops_too_long_for_any_roll_are_joined_of_two() -> None:
    """A stair of 3.5 and 3.4 m and rolls sure of 3.4 m in all, with trims 3.6 and 3.5: each is joined at one height."""
    stair = [replace(drop(label, height, 100), wall="stair") for label, height in (("1", 3500), ("2", 3400))]
    landing = replace(drop("3", 1000, 100), wall="landing")
    made = job([*stair, landing], Pattern(Fraction(600), Fraction(0)), (Lot("A", SHORT_ROLL, None, count=3),))
    made = replace(made, paper=replace(made.paper, roll_length=SHORT_ROLL))
    steps = {step.kind: step for step in ladder_of(made)}
    (lower,) = numbers(steps["joined"])
    by_hand = joined(made, "1", lower)
    by_hand = replace(by_hand, drops=tuple(replace(each, label=f"1{each.label}") for each in by_hand.drops))

    assert missing(made) is None
    assert steps["joined"].what.read() == "join drops 1, 2 of two pieces, 420 mm above the foot"
    assert steps["joined"].missing.enough == steps["joined"].missing.least == missing(joined(by_hand, "12", lower))
    assert steps["paper"].what.read() == "hang another paper on stair"
    assert (steps["paper"].missing.enough, "batch" in steps) == (0, False)


@pytest.mark.parametrize("seconds", [0.0, 0.01])
def test_no_step_promises_too_much_when_time_is_short(seconds: float) -> None:
    """What is told then stands all the same: the rolls are enough, and the bound is none too high."""
    for seed in LISTS:
        wanted = list_job(seed)
        walls = walls_in_order(wanted)
        for step in could_be_given_up(wanted, walls, None, seconds):
            found = missing(given_up_by_hand(step, wanted, walls))
            assert found is not None
            assert step.missing.least <= found <= step.missing.enough, (seed, step.what.read())


def plan_file(scenario: Scenario, steps: tuple[GivenUp, ...]) -> dict[str, Any]:
    """Return the plan file of what could be given up, where all stays bare."""
    with pytest.raises(TooFewRollsError) as short:
        make_plan(scenario.job, CuttingHabit())
    wanted = {each.label: each.count for each in scenario.job.drops}
    walls = walls_in_order(scenario.job, scenario.setting_out)
    nothing = Covered(short.value, None, walls, wanted, wanted, is_most=False)
    document: dict[str, Any] = json.loads(too_few_text(nothing, None, scenario, steps))
    return document


@cache
def plan_files() -> tuple[dict[str, Any], ...]:
    """Return plan files among which every kind of step occurs."""
    found = [plan_file(parse_scenario(scenario_text(list_job(9)), "here"), kinds_of_lists()[9])]
    found += [plan_file(room(seed), kinds_of_rooms()[seed]) for seed in ROOMS[:3]]
    plain = parse_scenario(scenario_text(free_job(0)), "here")
    return (*found, plan_file(plain, ladder_of(plain.job)))


def step_of(kind: str) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return a plan file, to be changed, with the first step of this kind in it."""
    document = next(each for each in plan_files() if any(step["kind"] == kind for step in each["given_up"]))
    document = json.loads(json.dumps(document))
    return document, next(step for step in document["given_up"] if step["kind"] == kind)


def test_every_step_holds_by_its_own_plan() -> None:
    """Of each kind; none of their figures is taken on trust, or vouched for by a search."""
    for document in plan_files():
        report = check_plan(document)
        steps = [fact for fact in report.facts if fact.startswith("given up, step")]

        assert report.holds
        assert len(steps) == len(document["given_up"])
        assert not [claim for claim in (*report.searched, *report.trusted) if "given up" in claim]

    kinds = {step["kind"] for document in plan_files() for step in document["given_up"]}
    assert kinds == {"start", "trim", "joint", "turned", "sideways", "joined", "paper", "batch"}


@pytest.mark.parametrize("lost", ["plan", "other_plan"])
def test_step_without_a_plan_is_named_before_all_else(lost: str) -> None:
    """A file of an earlier version has none."""
    document, step = step_of("batch")
    del step[lost]
    of = len(document["given_up"])

    assert check_plan(document).searched == (
        f"what could be given up: 1 of {of} steps come without a plan that proves them",
    )


JOINT: Final = (
    "leave the joint 0 mm from the left of long wall unmatched, behind wardrobe, "
    "and hang the print to its right 200 mm lower"
)
"""Where the wall begins, and nothing meets."""


@pytest.mark.parametrize(
    ("kind", "key", "value"),
    [
        ("start", "what", "begin with a joint at 1 mm from the left of long wall"),
        ("start", "what", "begin with motif_drop = 599 mm"),
        ("trim", "what", "cut with a trim of 49 mm at the top and 50 mm at the foot"),
        ("joint", "what", JOINT),
        ("turned", "what", "hang drop 0 head down"),
        ("sideways", "what", "turn drop 0 by a quarter, across the roll"),
        ("joined", "what", "join one drop 1 of two pieces, 10 mm above its foot"),
        ("paper", "what", "hang another paper on wall 0"),
        ("batch", "what", "hang another batch on wall 0 alone"),
    ],
)  # fmt: skip
def test_step_whose_words_are_not_those_of_its_plan_is_refused(kind: str, key: str, value: str) -> None:
    """Another place, trim, joint, drop or wall than the plan is for."""
    document, step = step_of(kind)
    if value == step[key]:
        value = value.replace("wall 0", "wall 1")
    step[key] = value

    assert is_refused(document)


def is_refused(document: dict[str, Any]) -> bool:
    """Return True when the judge finds a fault, or nothing that it could judge."""
    try:
        return not check_plan(document).holds
    except PlanUnreadable:
        return True


def test_piece_that_stays_bare_hangs_in_the_print_all_the_same() -> None:
    """What each step leaves to be cut is worked out from where every piece hangs, cut or not."""
    document, _ = step_of("start")
    piece = document["setting_out"]["pieces"][-1]
    piece["first_motif"] = str(Fraction(piece["first_motif"]) + 1)

    assert any(broken.rule == "joint" for broken in check_plan(document).violations)


def test_room_whose_columns_are_not_numbered_from_the_start_is_refused() -> None:
    """The one over which it closes is looked for from the first strip, which is not there."""
    text = (Path(__file__).parent.parent / "scenarios" / "too-few" / "bedroom.toml").read_text(encoding="utf-8")
    document = plan_file(parse_scenario(text, "bedroom"), ())
    document["scenario"]["finish"] = {"wall": "door wall", "over": "door"}
    for column in document["setting_out"]["columns"]:
        column["column"] += 1000

    assert is_refused(document)


def longer_trim(step: dict[str, Any]) -> None:
    """Make a trim longer than any drop of the job has it."""
    step["plan"]["drop"][0]["trim"]["top"] = "51 mm"


def higher_half(step: dict[str, Any]) -> None:
    """Make a piece of what is joined shorter."""
    step["plan"]["drop"][0]["height"] = "10 mm"


def one_more_left_out(step: dict[str, Any]) -> None:
    """Leave out what is cut from the last roll too."""
    gone = step["plan"]["rolls"].pop()["cuts"]
    step["plan"]["left_out"] += [cut["drop"] for cut in gone]


def no_rolls_to_be_had(step: dict[str, Any]) -> None:
    """Leave out which rolls are to be had."""
    step["plan"]["rolls_to_be_had"] = []


def one_roll_more(step: dict[str, Any]) -> None:
    """Ask for a roll that the plan does not take."""
    step["more_rolls_needed"] = step["more_rolls_lower_bound"] = step["more_rolls_needed"] + 1


def print_elsewhere(step: dict[str, Any]) -> None:
    """Hang the print of one drop beyond the joint otherwise than that of its neighbours."""
    step["plan"]["drop"][0]["first_motif"] = "1 mm"


def finished_elsewhere(step: dict[str, Any]) -> None:
    """Say where the room closes, of which the words say nothing."""
    step["plan"]["finish"] = {"wall": step["plan"]["start"]["wall"], "at": "left corner"}


def narrower_across(step: dict[str, Any]) -> None:
    """Cut a piece on its side shorter than it is wide."""
    step["plan"]["drop"][-1]["height"] = "1 mm"


@pytest.mark.parametrize(
    ("kind", "forge"),
    [
        ("trim", longer_trim),
        ("trim", one_roll_more),
        ("joined", higher_half),
        ("paper", one_more_left_out),
        ("batch", no_rolls_to_be_had),
        ("joint", print_elsewhere),
        ("sideways", narrower_across),
        ("start", one_roll_more),
        ("start", finished_elsewhere),
    ],
)
def test_step_whose_plan_is_for_another_job_is_refused(kind: str, forge: Callable[[dict[str, Any]], None]) -> None:
    """Drops, rolls or figures that the step does not give."""
    document, step = step_of(kind)
    forge(step)

    assert is_refused(document)


def test_start_elsewhere_is_not_told_by_its_height_alone() -> None:
    """Its plan begins at another place along the wall, with the print as high as before."""
    steps = [(each, step) for each in plan_files() for step in each["given_up"] if "from the left" in step["what"]]
    document, step = next((each, step) for each, step in steps if step["kind"] == "start")
    height = step["plan"]["start"]["motif_drop"]
    changed = json.loads(json.dumps(document).replace(step["what"], f"begin with motif_drop = {height} mm"))

    assert not is_refused(document)
    assert is_refused(changed)


@pytest.mark.parametrize("drops", ["{0}, {0}", "{0}, 2 to 1", "{0}, 1 to " + "9" * 5000, "{0}, no such drop"])
def test_drops_that_are_no_run_or_told_twice_are_refused(drops: str) -> None:
    """A run goes up, and ends at a drop of the job, however many digits it is said to have."""
    document, step = step_of("turned")
    (label,) = re.findall(r"drops? (\S+) head", step["what"])
    step["what"] = step["what"].replace(label, drops.format(label))

    assert is_refused(document)


def test_hanging_head_down_where_nothing_is_matched_is_judged() -> None:
    """Such paper has no repeat to count in; the drops of the plan are still not those of the job head down."""
    document, step = step_of("sideways")
    step.update(kind="turned", what=f"hang drop {document['scenario']['drop'][0]['label']} head down")

    assert is_refused(document)
