"""Ceilings, floors and stairs out of level: heights between measured points are taken to 1/64 mm, the print never."""

from __future__ import annotations

import json
from fractions import Fraction
from random import Random
from typing import TYPE_CHECKING, Final

import pytest
from typer.testing import CliRunner

from cutplan.check import check_text
from cutplan.cli import load
from cutplan.cli.app import app
from cutplan.faults import ScenarioError
from cutplan.render.documents.plan_document import plan_document, plan_text
from cutplan.room.profile import SLOPE_STEP, Profile
from cutplan.scenario.read import Scenario, parse_scenario
from cutplan.solve import _planned, solve
from cutplan.solve.clock import Clock
from cutplan.solve.reuse import settle_reuse
from cutplan.solve.search.outcome import say_nothing

if TYPE_CHECKING:
    from pathlib import Path

    from cutplan.job.job import Job
    from cutplan.plan.plan import Plan

load(["plan"])

MATCHES: Final = ("free", "64 cm", "64/32 cm", "61 cm/third", "53.4 cm/quarter")


def room_text(random: Random, walls: int, units: str, kind: str) -> str:
    """Return a room whose corners are all of different heights, in whole millimetres or sixteenths of an inch."""

    def number(least: int, most: int) -> str:
        if units == "mm":
            return str(random.randint(least, most))
        return f'"{Fraction(random.randint(least * 10 // 16, most * 10 // 16), 16)} in"'.replace("/1 ", " ")

    widths = [number(900, 4800) for _ in range(walls)]
    tops = [number(2400, 2460) for _ in range(walls + 1)]
    feet = [number(0, 90) for _ in range(walls + 1)]
    closes = kind != "stair"
    if closes:
        tops[-1], feet[-1] = tops[0], feet[0]
    match = random.choice(MATCHES)
    lines = [
        'units = "mm"',
        "[paper]",
        'name = "paper"',
        'roll_length = "10.05 m"',
        f"roll_width = {random.choice([500, 530, 686])}",
        f'match = "{match}"',
        'offset_direction = "down"',
        "[room]",
        f"closes = {str(closes).lower()}",
        *(["level_line = 2440"] if random.random() < 1 / 2 else []),
    ]
    for wall, width in enumerate(widths):
        lines += [
            "[[wall]]",
            f'name = "wall {wall + 1}"',
            f"width = {width}",
            f"top = [[0, {tops[wall]}], [{width}, {tops[wall + 1]}]]",
        ]
        if kind != "ceiling":
            lines.append(f"foot = [[0, {feet[wall]}], [{width}, {feet[wall + 1]}]]")
    lines += ["[start]", 'wall = "wall 1"', 'at = "middle"', 'puts = "joint"']
    lines += [] if match == "free" else ["motif_drop = 140"]
    return "\n".join(lines)


def judged(scenario: Scenario) -> list[str]:
    """Return what the checker finds wrong with the plan of a scenario."""
    report = check_text(plan_text(plan_document(solve(scenario.job, time_limit=1), scenario)))
    return [violation.message for violation in report.violations]


class OutOfTime(Clock):
    """A clock with time left when it is first asked, and none after that."""

    @property
    def left(self) -> float:
        """Seconds left."""
        was_asked, self.was_interrupted = self.was_interrupted, True
        return 0.0 if was_asked else 60.0


def test_what_is_possible_at_best_is_no_worse_than_what_is_certain_when_time_runs_out_between_them() -> None:
    """16 rolls are certain by cut-outs; without these 17, which is what haste finds for the rolls at best."""
    job = parse_scenario(room_text(Random("8 ceiling in"), 8, "in", "ceiling"), "room").job  # noqa: S311 - always the same

    def plan_of(job: Job, *, wants_best: bool) -> Plan:
        return _planned(job, wants_best=wants_best, clock=Clock(0 if wants_best else 60), tell=say_nothing)

    plan = settle_reuse(job, _planned(job, clock=Clock(60), tell=say_nothing), OutOfTime(60), plan_of)

    assert plan.at_best is not None
    assert (plan.rolls_needed, plan.at_best.rolls) == (16, 16)


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("kind", ["ceiling", "floor", "stair"])
@pytest.mark.parametrize("walls", [3, 4, 6, 8, 12])
def test_room_out_of_level_is_planned_and_judged_right(walls: int, kind: str, units: str) -> None:
    """Nine rooms in ten of six walls and more left 64 bits while heights along a slope were exact."""
    random = Random(f"{walls} {kind} {units}")  # noqa: S311 - the same rooms on every run
    text = room_text(random, walls, units, kind)

    scenario = parse_scenario(text, "room")

    assert judged(scenario) == []
    sizes = {length.denominator for drop in scenario.job.drops for length in (drop.height, drop.first_motif)}
    # 64ths of a millimetre, sixteenths of an inch (127/80 mm), thirds and quarters of the repeat.
    assert all((64 * 80 * 3) % denominator == 0 for denominator in sizes)


def test_room_of_six_walls_with_a_ceiling_out_of_level() -> None:
    """Six walls, tops running 2440, 2433, 2428, 2431, 2438, 2429 and back to 2440 mm."""
    widths, tops = (3617, 1249, 1103, 2954, 4721, 4204), (2440, 2433, 2428, 2431, 2438, 2429, 2440)
    walls = "\n".join(
        f'[[wall]]\nname = "{name}"\nwidth = {width}\ntop = [[0, {tops[name]}], [{width}, {tops[name + 1]}]]'
        for name, width in enumerate(widths)
    )
    text = f"""
        units = "mm"
        paper = {{name = "paper", roll_length = "10.05 m", roll_width = 530, match = "64/32 cm"}}
        room = {{closes = true, level_line = 2440}}
        start = {{wall = "0", at = "middle", puts = "joint", motif_drop = 140}}
        {walls}
        """

    scenario = parse_scenario(text, "room")

    assert judged(scenario) == []
    # Column 0 begins at 1808.5 mm, where the ceiling is 2440 - 7 × 1808.5 / 3617 = 2436.5 mm high: taken as it is.
    assert scenario.job.drops[0].height == Fraction("2436.5")


def test_height_between_measured_points_is_taken_up_and_down() -> None:
    """A third of the way from 2400 to 2401 mm is 2400 1/3 mm: 2400 22/64 at a top, 2400 21/64 at a foot."""
    line = Profile(((Fraction(0), Fraction(2400)), (Fraction(900), Fraction(2401))))
    height = line.just_right_of(Fraction(300))

    assert height == 2400 + Fraction(1, 3)
    assert line.taken_up(height) == 2400 + 22 * SLOPE_STEP
    assert line.taken_down(height) == 2400 + 21 * SLOPE_STEP


def test_measured_height_is_taken_as_it_is() -> None:
    """What somebody measured stays exact, however odd: a third of a millimetre."""
    odd = Fraction(7200, 3) + Fraction(1, 3)

    assert Profile.at_height(odd).taken_up(odd) == odd


@pytest.mark.parametrize("off", [1, -1])
def test_checker_takes_no_other_height_at_a_slope(off: int) -> None:
    """1/64 mm more or less than the next one is refused: the piece is cut, and said to hang, too long or short."""
    scenario = parse_scenario(room_text(Random(7), 3, "mm", "ceiling"), "room")  # noqa: S311 - one room
    document = json.loads(plan_text(plan_document(solve(scenario.job), scenario)))
    piece = document["setting_out"]["pieces"][1]
    piece["top"] = str(Fraction(piece["top"]) + off * SLOPE_STEP)

    assert check_text(json.dumps(document)).violations


# --- Slips of unit, and figures that no plan can hold --------------------------------------------------------


LIST: Final = """
    units = "{units}"
    paper = {{name = "paper", roll_length = "10.05 m", roll_width = {width}, match = "{match}"}}
    trim = {{top = {trim}}}
    drop = [{{label = "1", height = "{height}", first_motif = {motif}}}]
    """


def list_text(**changed: str) -> str:
    """Return a list of one drop with some of its figures changed."""
    return LIST.format(
        **{
            "units": "mm",
            "width": "530",
            "match": "64 cm",
            "trim": "50",
            "height": "2.4 m",
            "motif": "95",
            **changed,
        }
    )


@pytest.mark.parametrize(
    ("changed", "doubt"),
    [
        # A width written in millimetres in a file in centimetres: 5.3 m of paper across.
        (
            {"units": "cm", "width": "530", "trim": "5", "motif": "9"},
            "paper.roll_width: 5300 mm is unusual for the width of a roll; 530 mm?",
        ),
        # A trim of 2 in a file in feet is two feet.
        (
            {"units": "ft", "width": "1.75", "trim": "2", "motif": "0.3"},
            "trim.top: 2 ft is unusual for a trim; 2 in?",
        ),
        # And a repeat of 25 1/4 is 25 feet.
        (
            {"units": "ft", "width": "1.75", "match": "25 1/4", "trim": "0.2", "motif": "0.3"},
            "paper.match: 25 ft 3 in is unusual for a repeat; 2 ft 1 1/4 in?",
        ),
    ],
)
def test_slip_of_unit_is_what_the_plan_opens_with(changed: dict[str, str], doubt: str) -> None:
    """The figure stands as it was written, and the page asks first whether it is so."""
    scenario = parse_scenario(list_text(**changed), "job")

    assert scenario.doubts == (doubt,)
    assert doubt in scenario.notes


def test_plan_opens_with_its_doubt_and_says_it_once(tmp_path: Path) -> None:
    """«Is this so?» stands before the rolls, and not among the notes again."""
    file = tmp_path / "job.toml"
    file.write_text(list_text(units="cm", trim="5", motif="9"))

    page = " ".join(CliRunner().invoke(app, ["plan", str(file)]).output.split())

    assert page.startswith("Is this so? paper.roll_width: 5300 mm is unusual for the width of a roll; 530 mm?")
    assert page.count("is unusual") == 1


@pytest.mark.parametrize(
    ("changed", "fault"),
    [
        ({"motif": "95.000000000000001"}, 'drop["1"].first_motif: 95.000000000000001 lies on no scale'),
        ({"height": "0.000000000000000000000000000001 mm"}, 'drop["1"].height: "0.00000'),
        ({"match": "0.0000000000000000000000001 mm"}, "paper.match: no print repeats within 1 mm"),
        ({"match": "0.000001 mm"}, "paper.match: no print repeats within 1 mm"),
        ({"match": "64.00000001 cm"}, "paper.match: is finer than any print"),
    ],
)
def test_figure_that_leaves_the_solvers_numbers_is_refused_where_it_stands(changed: dict[str, str], fault: str) -> None:
    """Its key, what it is, and how to write it instead."""
    with pytest.raises(ScenarioError) as refused:
        parse_scenario(list_text(**changed), "job")

    assert fault in "\n".join(refused.value.lines())


def test_thirds_thousandths_and_sixty_fourths_of_an_inch_lie_on_one_scale() -> None:
    """A third of 61 cm, a height of 1 000.001 mm and a motif at 3 1/64 in: 24 000 steps a millimetre."""
    scenario = parse_scenario(
        list_text(match="61 cm/third", height="1000.001 mm", motif='"3.015625 in"').replace(
            "match =", 'offset_direction = "down", match ='
        ),
        "job",
    )

    assert solve(scenario.job).rolls_needed == 1
