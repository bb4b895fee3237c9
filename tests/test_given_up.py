"""What could be given up where rolls are too few: every step against trying everything, on jobs of a few pieces."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from functools import cache
from random import Random
from typing import TYPE_CHECKING, Final

import pytest

from brute_force import least_value
from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Lot
from cutplan.scenario.read import parse_scenario
from cutplan.setting_out import Joint
from cutplan.too_few import GivenUp, could_be_given_up, walls_in_order
from cutplan.too_few.other_pieces import hidden_by, sideways
from hand_plans import drop, job
from small_rooms import closed, opening, run, wall

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cutplan.job.drops import Drop
    from cutplan.job.job import Job
    from cutplan.scenario.read import Scenario

SHORT_ROLL: Final = Fraction(4000)
"""Rolls of 4 m hold one or two drops, so that few pieces are too many for the rolls."""


LISTS: Final = (3, 9, 13, 21, 22, 49)
ROOMS: Final = (1, 11, 15, 23, 32, 44, 48, 50)
"""Seeds of jobs among which every kind of step occurs; most jobs have two kinds only."""


def missing(wanted: Job) -> Fraction | None:
    """Return how many rolls must be had besides those in hand, by trying everything."""
    new = Lot("new", wanted.paper.roll_length, count=None, price=Fraction(1))
    return least_value(replace(wanted, lots=(*(replace(lot, price=Fraction(0)) for lot in wanted.lots), new)))


def list_job(seed: int) -> Job:
    """Return five or six pieces on two walls, two of them short, and a roll or two of 4 m."""
    random = Random(seed)  # noqa: S311 - repeatable, nothing secret
    pattern = Pattern(Fraction(600), random.choice([Fraction(0), Fraction(300)]))
    high = random.choice([1040, 1240, 1340, 1540])
    drops = [drop(str(number), high, 300 * (number % 2)) for number in range(4)]
    drops += [
        drop(str(number), random.randrange(300, high // 2, 50), 100 * random.randrange(6))
        for number in range(4, random.choice([5, 6]))
    ]
    drops = [replace(each, wall=f"wall {number % 2}") for number, each in enumerate(drops)]
    motif = random.choice([None, Fraction(random.randrange(0, 600, 100))])
    lots = (Lot("A", SHORT_ROLL, motif, count=random.choice([1, 2])),)
    made = job(drops, pattern, lots)
    return replace(made, paper=replace(made.paper, roll_length=SHORT_ROLL))


ROOM: Final = """\
units = "mm"
[paper]
roll_length = 4200
roll_width = 500
match = "60/30 cm"
[[wall]]
name = "long wall"
width = {width}
height = {height}
{thing}
[start]
wall = "long wall"
at = {at}
puts = "joint"
motif_drop = 100
[[roll]]
label = "A"
count = {count}
{motif}
"""
WARDROBE: Final = """[[wall.fitting]]
kind = "fitting"
name = "wardrobe"
left = {left}
width = 700
height = 2000
"""


def room(seed: int) -> Scenario:
    """Return a wall of five or six drops with a wardrobe before it, and a few rolls of 4.20 m, sealed or measured.

    Of a piece cut 1500–1800 mm long two lie on a sealed roll, 4200 − 600, when their prints are alike, else one.
    """
    random = Random(seed)  # noqa: S311 - repeatable, nothing secret
    at = random.choice([500, 1000, 1500]) + 100 * (seed % 2) * random.randrange(1, 5)  # whole strips, where even
    thing = WARDROBE.format(left=random.randrange(600, 1800, 100))
    width, height, count = (
        random.choice([2500, 3000]),
        random.choice([1250, 1450, 1550, 1950]),
        random.choice([1, 2, 3]),
    )
    motif = random.choice(["", f"first_motif = {random.randrange(0, 600, 100)}"])
    return parse_scenario(ROOM.format(width=width, height=height, thing=thing, at=at, count=count, motif=motif), "here")


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


def free_job(seed: int) -> Job:
    """Return two tall pieces and four short narrow ones of a plain paper that may lie sideways, and a roll of 4 m."""
    random = Random(seed)  # noqa: S311 - repeatable, nothing secret
    strip = random.choice([500, 900, 1300])
    drops = [drop(str(number), random.choice([1200, 1300, 1400])) for number in range(2)]
    for number in range(2, 6):
        left = random.randrange(0, strip - 250, 50)
        each = drop(str(number), random.choice([250, 350, 600]))
        right = Fraction(left + random.randrange(50, 250, 50))
        drops.append(replace(each, left=Fraction(left), right=right, wall=random.choice(["a", "a", "b"])))
    made = job(drops, Pattern(Fraction(0), Fraction(0)), (Lot("A", SHORT_ROLL, count=1),))
    paper = replace(made.paper, roll_length=SHORT_ROLL, roll_width=Fraction(strip), may_lie_sideways=True)
    return replace(made, paper=paper)


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
