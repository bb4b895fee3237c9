"""What another place for a room's start would save."""

from __future__ import annotations

from cutplan.comparing.cheaper import cheaper_placements
from cutplan.render.words.start_lines import start_lines
from cutplan.scenario.read import Scenario, parse_scenario
from cutplan.solve import solve
from cutplan.solve.clock import Clock

WALL = """
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
puts = "{puts}"
motif_drop = 140
"""


def wall_started_by(puts: str) -> Scenario:
    """Return the wall with this put on its middle."""
    return parse_scenario(WALL.format(puts=puts), "wall")


def test_another_start_that_saves_a_roll_is_found_and_proved() -> None:
    """A joint on the middle takes 3 rolls; the motif there takes 2, as planning it anew proves."""
    wall = wall_started_by("joint")
    assert wall.setting_out is not None
    needed = solve(wall.job).rolls_needed

    found = [
        (what.read(), proved.rolls)
        for what, proved, _ in cheaper_placements(wall.setting_out, wall.job, Clock(10), fewer_than=needed)
    ]

    assert needed == 3
    assert found == [("The motif at 1600 mm from the left of long wall", 2)]
    assert solve(wall_started_by("motif").job).rolls_needed == 2


def test_motif_on_the_focal_point_is_not_moved_to_save_a_roll() -> None:
    """Where the customer wants the motif on the middle, no other start is suggested, however few rolls it takes."""
    wall = wall_started_by("motif")
    assert wall.setting_out is not None

    found = list(cheaper_placements(wall.setting_out, wall.job, Clock(10), fewer_than=99))

    assert [proved.rolls for _, proved, _ in found] == [solve(wall.job).rolls_needed]


def test_a_cheaper_height_is_written_in_place_of_what_the_print_was_hung_at() -> None:
    """What the customer pointed at holds at that height no longer: the lines for the scenario tell the height tried."""
    text = WALL.format(puts="motif").replace("motif_drop = 140", 'motif_at = "165 cm"')
    rolls = "".join(f'[[roll]]\nlabel = "{label}"\nfirst_motif = 30\n' for label in "ABC")
    wall = parse_scenario(text + rolls, "wall")
    assert wall.setting_out is not None

    *_, (what, _, placement) = cheaper_placements(wall.setting_out, wall.job, Clock(10), fewer_than=99)

    lines = start_lines(wall.setting_out.room, placement, wall.setting_out.way, "mm")
    assert what.read() == f"motif_drop = {placement.start.motif_drop} mm"
    assert lines[4] == f"motif_drop = {placement.start.motif_drop}"
