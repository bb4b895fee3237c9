"""A start whole strips further along: what is known of the one that laid the same strips answers for it."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from msgspec.structs import replace

from cutplan.comparing.placements import Placement
from cutplan.comparing.same_strips import strips_of
from cutplan.comparing.sweep import Bench, SweepTask
from cutplan.scenario.read import parse_scenario
from cutplan.setting_out import FinishAt, SettingOut, Way, set_out

ROOM = """\
units = "mm"
[paper]
roll_length = "10.05 m"
roll_width = 530
match = "{match}"
offset_direction = "down"
motif_from_left = 200
motif_above = 100
motif_below = 120
[room]
closes = true
[[wall]]
name = "north"
width = 3300
top = {top}
[[wall.opening]]
kind = "window"
left = 1100
width = 1200
foot = 850
height = 1250
reveal = 120
[[wall]]
name = "east"
width = 1500
height = 2520
[[wall]]
name = "south"
width = 3300
height = 2520
[[wall.opening]]
kind = "door"
left = 600
width = 860
height = 2030
[[wall]]
name = "west"
width = 1500
height = 2520
[start]
wall = "north"
at = 1500
puts = "motif"
motif_drop = 140
"""
LEVEL = "[[0, 2520]]"
OUT_OF_LEVEL = "[[0, 2520], [1600, 2541], [3300, 2520]]"


def task_of(match: str, top: str, way: Way = Way.RIGHT_THEN_LEFT) -> tuple[SweepTask, Placement]:
    """Return the room with this match and ceiling, and its own placement."""
    scenario = parse_scenario(ROOM.format(match=match, top=top), "room.toml")
    setting_out, drop = scenario.setting_out, scenario.job.drops[0]
    assert setting_out is not None
    trims = drop.trim_top, drop.trim_bottom
    task = SweepTask(setting_out.room, setting_out.paper, way, scenario.job.lots, trims)
    return task, Placement(setting_out.start, None, None)


def at(placement: Placement, place: int) -> Placement:
    """Return the placement with its start ``place`` mm from the left of its wall."""
    return replace(placement, start=replace(placement.start, at=Fraction(place)))


@pytest.mark.parametrize(
    ("match", "top", "way"),
    [
        ("64/32 cm", LEVEL, Way.RIGHT_THEN_LEFT),
        ("64/32 cm", OUT_OF_LEVEL, Way.LEFT_THEN_RIGHT),
        ("64 cm/third", OUT_OF_LEVEL, Way.RIGHT_THEN_LEFT),
    ],
)
def test_start_whole_strips_further_on_has_the_figures_that_it_would_have_alone(match: str, top: str, way: Way) -> None:
    """The first strip begins 20 mm from the left corner, then 550 and so on past both sides of the window."""
    task, own = task_of(match, top, way)
    bench = Bench(task, is_along_wall=True)
    for place in range(220, 2871, 530):
        known, alone = bench.work_out(at(own, place)), Bench(task).work_out(at(own, place))

        assert known == alone, place
        assert known is not None
        assert known.proved is not None
        assert known.proved.is_proved


def test_room_is_set_out_once_for_all_starts_that_lay_the_same_strips(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ten places within a strip's width, and each of them one to four strips further on: ten settings-out."""
    task, own = task_of("64/32 cm", OUT_OF_LEVEL)
    laid: list[object] = []

    def counted(*args: Any) -> SettingOut:  # noqa: ANN401 - whatever it takes
        laid.append(args)
        return set_out(*args)

    monkeypatch.setattr("cutplan.comparing.sweep.set_out", counted)
    bench = Bench(task, is_along_wall=True)
    for number in range(50):
        assert bench.work_out(at(own, 220 + number % 10 * 50 + number // 10 * 530)) is not None

    assert len(laid) == 10


def test_starts_whose_strips_differ_are_told_apart() -> None:
    """Half a strip further on, in a corner, closing on the start's wall, or hung one way only: nothing is shared."""
    task, own = task_of("64/32 cm", LEVEL)
    strips = strips_of(task, at(own, 730))

    assert strips == strips_of(task, at(own, 1260))
    assert strips != strips_of(task, at(own, 995))
    assert strips_of(task, at(own, 200)) is None  # the first strip would begin in the corner
    assert strips_of(task, at(own, 2970)) is None  # and end in the other
    assert strips_of(task, replace(at(own, 730), finish=FinishAt(0, Fraction(1700)))) is None
    assert strips_of(replace(task, way=Way.RIGHT), at(own, 730)) is None


def test_measured_rolls_share_only_where_the_print_hangs_as_high() -> None:
    """Of a half-drop two strips further on; one strip further on the other half of the print meets them."""
    task, own = task_of("64/32 cm", LEVEL)
    lots = tuple(replace(lot, count=30, first_motif=Fraction(130)) for lot in task.lots)
    task = replace(task, lots=lots)
    bench = Bench(task, is_along_wall=True)
    first = bench.work_out(at(own, 730))
    assert first is not None
    (laid,) = bench.laid.values()

    assert laid.moved_to(at(own, 1260), task, bench.prover) is None
    assert laid.moved_to(at(own, 1790), task, bench.prover) == Bench(task).work_out(at(own, 1790))
