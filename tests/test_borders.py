"""Borders: hung over the paper or let in, round the room or round an opening; their strips, print and judge."""

from __future__ import annotations

import json
from copy import deepcopy
from fractions import Fraction
from random import Random
from typing import TYPE_CHECKING, Any

import pytest
from msgspec.structs import replace

from cutplan.check import check_text
from cutplan.faults import ScenarioError
from cutplan.paper.pattern import FREE
from cutplan.parts.border import BorderPaper
from cutplan.parts.border_along_walls import along_line
from cutplan.parts.part import PartKind
from cutplan.parts.rails import Line
from cutplan.parts.read_parts import parse_job
from cutplan.render.sheet.paper_words import first_checks
from cutplan.render.words.step_words import words_of
from cutplan.room.profile import Profile
from cutplan.room.walls import Corner, CornerKind, Room, Wall
from cutplan.scenario.read import scenario_of
from cutplan.solve import make_plan
from cutplan.table.sequence import sequence_of
from cutplan.table.steps import CheckMatch
from parts_planned import job_of, planned
from test_verdicts import kept

if TYPE_CHECKING:
    from collections.abc import Callable

FRAME = """units = "mm"
[paper]
roll_length = "10 m"
roll_width = 500
match = "free"
[[wall]]
name = "wall"
width = 2000
height = 2400
[[wall.opening]]
kind = "door"
left = 600
width = 800
height = 2000
reveal = 80
[start]
at = 0
puts = "joint"
[[border]]
name = "frame"
round = "door"
[border.paper]
name = "Vine, green"
roll_length = "5 m"
roll_width = 100
match = "300"
"""
"""A wall 2000 wide and 2400 high with a door, 800 wide and 2000 high, and round it a border 100 wide.

         500 ┌────────────┐ 1500        the head: 800 + 2 × 100 = 1000 long, at 2000 to 2100
             │ ╲        ╱ │
         600 │  ┌──────┐  │ 1400        the sides: 2000 + 100 = 2100 long
             │  │ door │  │
           0 └──┘      └──┘
"""

# A room of 3000 by 2000, closed, with a window on its first wall that takes 800 to 1800 along it and 900 to 2100 up.
ROOM = """units = "mm"
[paper]
roll_length = "10 m"
roll_width = 500
match = "free"
[room]
closes = true
[[wall]]
name = "a"
width = 3000
height = 2400
[[wall.opening]]
kind = "window"
left = 800
width = 1000
foot = 900
height = 1200
[[wall]]
name = "b"
width = 2000
height = 2400
[[wall]]
name = "c"
width = 3000
height = 2400
[[wall]]
name = "d"
width = 2000
height = 2400
[start]
wall = "c"
at = "middle"
puts = "joint"
[[border]]
name = "rail"
{height}
[border.paper]
roll_length = "6 m"
roll_width = 120
match = "450"
"""
HIGH = ROOM.format(height="foot = 2200")
LOW = ROOM.format(height="foot = 1000")


def strips(text: str) -> list[tuple[object, object]]:
    """Return the lengths and first motifs of the strips of a job's border."""
    border = job_of(text).parts[-1]
    assert border.kind is PartKind.BORDER
    return [(drop.height, drop.first_motif) for drop in border.scenario.job.drops]


def test_a_border_round_a_door_is_mitred() -> None:
    """Strips are as long as their outer edges, and a motif lies in the middle of the head, 500 from either end.

    The print goes on where the middles of two strips meet, 50 from the ends of both. Up the left side that is 2050 from
    its foot, and the head's motif 450 further on: at 2500, so that side's first motif is at 2500 - 8 × 300 = 100. Down
    the right side the middle of the mitre is 450 beyond the motif, and 50 into the strip: -400 there, and 200.
    """
    assert strips(FRAME) == [(2100, 100), (1000, 500 - 300), (2100, 200)]
    assert check_text(planned(FRAME)).holds


def test_a_border_let_in_shortens_the_drops() -> None:
    """Over the door the drops end at the border's upper edge, 2400 - 2100; hung over the paper, at the door's head."""
    let_in = FRAME.replace('round = "door"', 'round = "door"\nlet_in = true')

    # Strips of 500 end at 500, 1000, 1500: the door takes 600 to 1400 of the two in the middle, which are cut out to
    # shape. Let in, the border takes all of these two, so that they are short pieces over it.
    # What turns in at the reveal's sides leaves a patch, as deep as the reveal, at either end of its head.
    assert [drop.height for drop in job_of(FRAME).parts[0].scenario.job.drops] == [2400, 2400, 80, 2400, 80, 2400]
    assert [drop.height for drop in job_of(let_in).parts[0].scenario.job.drops] == [2400, 300, 300, 2400]


def test_a_border_round_a_window_has_four_sides_and_closes_out_of_step() -> None:
    """Round 1000 by 1200 its middle line is 2 × (1120 + 1320) = 4880 long, 70 short of eleven repeats of 450."""
    framed = HIGH.replace("foot = 2200", 'round = "window"')

    lengths = [length for length, _ in strips(framed)]
    assert lengths == [1440, 1240, 1440, 1240]
    closes = job_of(framed).parts[-1].told["closes"]
    assert isinstance(closes, dict)
    assert (closes["out_by"], closes["hidden"]) == ("70", False)
    assert check_text(planned(framed)).holds


def test_a_border_round_the_room_is_joined_in_its_corners() -> None:
    """Each wall has a strip, from the corner where the border closes: a and b, away from the wall where it starts."""
    # The motif lies in the middle of c, 1500 along it: 3500 beyond the beginning of b, 1500 before that of d, and 3500
    # before that of a.
    assert strips(HIGH) == [(2000, 3500 % 450), (3000, 1500 % 450), (2000, -1500 % 450), (3000, -3500 % 450)]
    # 10 000 round is 22 repeats and 100.
    assert job_of(HIGH).parts[-1].told["closes"] == {"wall": "b", "at": "0", "out_by": "100", "hidden": False}
    assert check_text(planned(HIGH)).holds


def test_a_border_that_a_window_interrupts_closes_there_unseen() -> None:
    """At 1000 to 1120 the window takes all of the border, so it begins behind the window and ends before it."""
    assert [length for length, _ in strips(LOW)] == [1200, 2000, 3000, 2000, 800]
    closes = job_of(LOW).parts[-1].told["closes"]
    assert closes == {"wall": "a", "at": "800", "out_by": "100", "hidden": True}
    assert check_text(planned(LOW)).holds


def test_a_border_may_close_where_it_is_told_to() -> None:
    """A finish in another corner moves the joint that does not meet."""
    moved = HIGH.replace("[border.paper]", '[border.finish]\nwall = "b"\nat = "right corner"\n[border.paper]')

    assert job_of(moved).parts[-1].told["closes"] == {"wall": "c", "at": "0", "out_by": "100", "hidden": False}
    assert check_text(planned(moved)).holds


def test_a_border_goes_round_an_external_corner_in_one_strip() -> None:
    """A joint would show there: b and c are one strip of 5000."""
    external = HIGH.replace(
        'name = "b"\nwidth = 2000\nheight = 2400', 'name = "b"\nwidth = 2000\nheight = 2400\ncorner = "external"'
    )

    assert [length for length, _ in strips(external)] == [5000, 2000, 3000]
    assert check_text(planned(external)).holds


def test_a_wall_longer_than_a_roll_is_sure_to_give_is_parted() -> None:
    """A roll of 3 m gives 3000 less a repeat of 450 and two ends of 25: 2500; the rest of 3000 is 500."""
    short = HIGH.replace('roll_length = "6 m"', 'roll_length = "3 m"')

    assert [length for length, _ in strips(short)] == [2000, 2500, 500, 2000, 2500, 500]
    assert check_text(planned(short)).holds


def test_a_border_let_in_round_the_room_parts_every_drop() -> None:
    """At 2200 to 2320 each strip has a piece of 80 over the border, and one of 2200 under it."""
    heights = [
        drop.height
        for drop in job_of(HIGH.replace("foot = 2200", "foot = 2200\nlet_in = true")).parts[0].scenario.job.drops
    ]

    assert {80, 2200} <= set(heights)
    assert max(heights) == 2200


def test_a_border_at_the_ceiling_is_told_by_its_top() -> None:
    """Its lower edge is its width below the top of the walls."""
    crown = ROOM.format(height='top = "0 mm below top"')

    told = job_of(crown).parts[-1].told["strips"]
    assert isinstance(told, list)
    assert {(on["foot"], on["head"]) for strip in told for on in strip["stretches"]} == {("2280", "2400")}


def test_strips_of_a_border_are_checked_to_be_alike_for_their_long_edges_meet_nothing() -> None:
    """Walls of 1500 and 3000, repeats of 500: every strip begins alike, so the second is laid beside the first."""
    text = HIGH.replace("450", "500").replace("width = 2000", "width = 1500")
    scenario = job_of(text).parts[-1].scenario
    sequence = sequence_of(make_plan(scenario.job, scenario.cutting))

    (step,) = (step for step in sequence.steps if isinstance(step, CheckMatch))
    told = words_of(sequence, "mm")(step)

    assert "tops level. The print must be alike in both, all along; if not, cut no further." in told
    assert "joint" not in told
    checks = " ".join(first_checks(sequence, None, "mm"))
    assert "repeat 500 mm" in checks
    assert "straight match" not in checks
    assert "Lay the right edge" not in checks
    assert [drop.is_along for drop in scenario_of(scenario.document, "again").job.drops] == [True] * 4


def test_a_border_may_be_ordered_by_the_metre() -> None:
    """Its strips take 2100 + 1000 + 2100 and 50 each at their ends, at most a repeat before each, in whole metres."""
    metres = FRAME.replace('roll_length = "5 m"', 'roll_length = "50 m"\nsold_by = "m"')
    border = job_of(metres).parts[-1].scenario

    assert border.ordered is not None
    assert 5350 < border.ordered.length <= 5350 + 3 * 300 + 1000
    assert check_text(planned(metres)).holds


@pytest.mark.parametrize("part", [1, 2], ids=["no pieces", "in rolls"])
def test_order_without_pieces_or_of_a_border_in_rolls_is_refused(part: int) -> None:
    """A border by the metre of which nothing comes, and one by the roll that is ordered by the metre too."""
    document = json.loads(kept("borders-by-the-metre"))
    document["plans"][part]["ordered"] = {**document["plans"][1]["ordered"], "pieces": []}

    assert not check_text(json.dumps(document)).holds


# Published numbers


def spools(stretches: str) -> int:
    """Return how many spools of 15 ft, without a match and without ends, a border takes that is joined anywhere."""
    text = f"""units = "ft"
[paper]
roll_length = 33
roll_width = "20.5 in"
match = "free"
[room]
closes = true
{stretches}
[start]
wall = "a"
at = "middle"
puts = "joint"
[[border]]
name = "border"
foot = 7
joins = "anywhere"
ends = 0
[border.paper]
roll_length = 15
roll_width = "7 in"
match = "free"
"""
    border = job_of(text).parts[-1].scenario
    plan = make_plan(border.job, border.cutting)
    assert plan.status.value == "optimal"
    return plan.rolls_needed


def walls(*widths: int) -> list[str]:
    """Return walls 9 ft high, called a, b, c and d."""
    return [
        f'[[wall]]\nname = "{name}"\nwidth = {width}\nheight = 9\n' for name, width in zip("abcd", widths, strict=True)
    ]


def test_check_21_spools_of_a_border() -> None:
    """54 ft take 54 ÷ 15 = 3.6, so 4 spools; 70 ft less openings of 12 and 3 ft take 55 ÷ 15, so 4 [web notes]."""
    plain = walls(15, 12, 15, 12)
    open_walls = walls(20, 15, 20, 15)
    open_walls[0] += '[[wall.opening]]\nkind = "opening"\nleft = 4\nwidth = 12\nfoot = 0\nheight = 8\n'
    open_walls[2] += '[[wall.opening]]\nkind = "door"\nleft = 5\nwidth = 3\nheight = 8\n'

    assert spools("".join(plain)) == 4
    assert spools("".join(open_walls)) == 4


def band_rolls(below: str, *papers: str) -> list[int]:
    """Return the rolls of bands of a room of 70 ft, 9 ft high, less 81 sq ft, in papers of 27 in by 20 ft a roll."""
    room = walls(20, 15, 20, 15)
    room[0] += f'[[wall.opening]]\nkind = "window"\nleft = 4\nwidth = 12\nfoot = {below}\nheight = 4.5\n'
    room[2] += '[[wall.opening]]\nkind = "opening"\nleft = 5\nwidth = 3\nfoot = 0\nheight = 9\n'
    above, under = (
        f'[band.paper]\nname = "{name}"\nroll_length = 20\nroll_width = "27 in"\nmatch = "free"\n' for name in papers
    )
    text = f"""units = "ft"
[trim]
top = "2 in"
bottom = "2 in"
[room]
closes = true
{"".join(room)}
[[rail]]
name = "rail"
foot = {below}
[start]
wall = "a"
at = 0
puts = "joint"
[[band]]
name = "above"
above = "rail"
{above}
[[band]]
name = "below"
below = "rail"
{under}
"""
    return [make_plan(part.scenario.job, part.scenario.cutting).rolls_needed for part in job_of(text).parts]


def test_check_22_why_each_band_is_planned_by_itself() -> None:
    """By area (630 - 81) ÷ 45 = 12.2, so 13 rolls: 70 % are «9» above the rail, 30 % are 4 below it [web note].

    It rounds down, and splits one purchase between two papers. By drops of 27 in, with 4 in of trim, 6.3 ft are
    79.6 in, of which 20 ft give 3; and 2.7 ft are 36.4 in, of which they give 6.
    """
    assert band_rolls("2.7", "Filling", "Dado") == [10, 6]
    # In one paper both are one purchase: what 3 of 79.6 in leave of a roll, and its last drops, serve under the rail.
    assert band_rolls("2.7", "Filling", "Filling") == [15]


def test_a_border_round_a_room_without_an_inner_corner_may_be_one_strip() -> None:
    """Where every corner but that of the closing joint is passed uncut, one strip goes all round and ends at itself."""
    outside = HIGH
    for name in "bcd":
        outside = outside.replace(f'name = "{name}"\n', f'name = "{name}"\ncorner = "external"\n')
    whole = outside.replace('roll_length = "6 m"', 'roll_length = "12 m"')

    assert [length for length, _ in strips(whole)] == [10_000]
    assert check_text(planned(whole)).holds


def strips_across(across: int) -> tuple[int, int]:
    """Return the strips and the rolls as sold, 8 yd by 18 in, for a border of 16 yd in one run, joined anywhere."""
    text = f"""units = "yd"
[paper]
roll_length = 11
roll_width = "20 in"
match = "free"
[[wall]]
name = "a"
width = 16
height = 3
[start]
at = 0
puts = "joint"
[[border]]
name = "border"
foot = 2
joins = "anywhere"
ends = 0
across = {across}
[border.paper]
roll_length = 8
roll_width = "9 in"
match = "free"
price = 7
"""
    (plan,) = (plan for plan in json.loads(planned(text))["plans"] if plan["part"] == "border")
    assert check_text(planned(text)).holds
    return plan["rolls_needed"], plan.get("to_buy", {"packets": plan["rolls_needed"]})["packets"]


def test_a_roll_holds_as_many_lengths_of_border_as_it_has_strips_across() -> None:
    """8 yd of one-strip border hold 8 yd of it, of two-strip 16 yd (*Radford's Cyclopedia*, vol. 10)."""
    assert strips_across(1) == (2, 2)
    assert strips_across(2) == (2, 1)


def test_rolls_in_hand_of_border_side_by_side_give_as_many_strips() -> None:
    """Two rolls of three across are six strips, whose prints begin alike; a price stands for the roll as sold."""
    rolls = 'across = 3\n[[border.roll]]\nlabel = "A"\ncount = 2\nfirst_motif = 30\n[border.paper]\nprice = 9'
    text = HIGH.replace("[border.paper]", rolls)
    border = job_of(text).parts[-1].scenario

    (lot,) = border.job.rolls
    assert (lot.label, lot.count) == ("A", 6)
    assert lot.first_motif == 30
    assert border.job.paper.sale.packet == 3
    assert border.job.paper.price == 3
    assert check_text(planned(text)).holds


def test_strips_across_are_judged() -> None:
    """A plan for two across where three are told is refused."""
    document = json.loads(planned(HIGH.replace("[border.paper]", "across = 2\n[border.paper]")))
    document["scenario"]["border"][0]["across"] = 3

    said = [broken.line() for broken in check_text(json.dumps(document)).violations]
    assert any("paper of its plan is not what" in line for line in said)


def test_a_double_roll_with_strips_across_is_bought_whole_at_the_price_of_its_singles() -> None:
    """Four strips, one to a length of 6 m, are two doubles of two across: at 3.25 a single 6.50 each, 13 in all."""
    sold = 'across = 2\n[border.paper]\nsingles = 2\nprice = 3.25\nprice_per = "single"'
    text = planned(HIGH.replace("[border.paper]", sold).replace("6 m", "3.6 m"))
    (plan,) = (plan for plan in json.loads(text)["plans"] if plan["part"] == "rail")

    assert (plan["to_buy"]["packets"], plan["to_buy"]["cost"]) == (2, "13.00")
    assert any(
        "counts as 2 singles" in note for note in job_of(HIGH.replace("[border.paper]", sold)).parts[-1].scenario.notes
    )
    assert check_text(text).holds
    dearer = text.replace('"price": 6.5', '"price": 3.25')
    assert dearer != text
    assert not check_text(dearer).holds


@pytest.mark.parametrize("price", ['price = 10.50\nprice_per = "packet"', 'price = 5.25\nprice_per = "roll"'])
def test_a_packet_of_rolls_with_strips_across_holds_the_strips_of_all(price: str) -> None:
    """Two rolls of two across are four strips, which cost 10.50 together, whatever the label prices."""
    text = HIGH.replace("[border.paper]", f"across = 2\n[border.paper]\npacket = 2\n{price}")
    paper = job_of(text).parts[-1].scenario.job.paper

    assert (paper.sale.packet, paper.price) == (4, Fraction("2.625"))
    assert check_text(planned(text)).holds


@pytest.mark.parametrize(("across", "length"), [(1, 5400), (2, 3200), (3, 2200)])
def test_what_is_ordered_of_a_border_gives_as_many_strips_of_its_length_as_lie_side_by_side(
    across: int, length: int
) -> None:
    """Without a match: cuts of 2150, 1050 and 2150 take 5350 end to end; two by two 3200 and 2150; each by itself 2150.

    Orders go by 100.
    """
    metres = FRAME.replace('roll_length = "5 m"', 'roll_length = "50 m"\nsold_by = "m"\norder_step = 100')
    text = metres.replace("[border.paper]", f"across = {across}\n[border.paper]\norder_least = 100").replace(
        'match = "300"', 'match = "free"'
    )
    border = job_of(text).parts[-1].scenario

    assert border.ordered is not None
    assert border.ordered.length == border.ordered.least == length
    (lot,) = border.job.rolls
    assert lot.length == length
    assert lot.count == across
    document = json.loads(planned(text))
    assert check_text(json.dumps(document)).holds
    (plan,) = (plan for plan in document["plans"] if plan["part"] == "frame")
    plan["ordered"]["pieces"][0]["count"] += 1
    assert not check_text(json.dumps(document)).holds


# The judge


def _strips(document: Any) -> list[dict[str, Any]]:  # noqa: ANN401 - JSON
    return document["parts"][-1]["strips"]  # type: ignore[no-any-return]


def _height(document: Any) -> None:  # noqa: ANN401
    _strips(document)[0]["stretches"][0]["foot"] = "2190"


def _gap(document: Any) -> None:  # noqa: ANN401
    _strips(document)[1]["stretches"][0]["right"] = "1900"


def _overlap(document: Any) -> None:  # noqa: ANN401
    _strips(document)[1]["stretches"][0]["wall"] = "a"


def _motif(document: Any) -> None:  # noqa: ANN401
    document["plans"][-1]["scenario"]["drop"][1]["first_motif"] = "0 mm"


def _all_motifs(document: Any) -> None:  # noqa: ANN401
    for drop in document["plans"][-1]["scenario"]["drop"]:
        drop["first_motif"] = f"{(int(drop['first_motif'].split()[0]) + 10) % 450} mm"


def _length(document: Any) -> None:  # noqa: ANN401
    document["plans"][-1]["scenario"]["drop"][1]["height"] = "2990 mm"


def _closing(document: Any) -> None:  # noqa: ANN401
    document["parts"][-1]["closes"]["out_by"] = "0"


def _hidden(document: Any) -> None:  # noqa: ANN401
    document["parts"][-1]["closes"]["hidden"] = True


def _elsewhere(document: Any) -> None:  # noqa: ANN401
    document["parts"][-1]["closes"]["wall"] = "d"


def _never(document: Any) -> None:  # noqa: ANN401
    document["parts"][-1]["closes"] = None


def _paper(document: Any) -> None:  # noqa: ANN401
    document["scenario"]["border"][0]["paper"]["price"] = 3


def _unplanned(document: Any) -> None:  # noqa: ANN401
    document["parts"][-1]["kind"] = "lining"


def _untold(document: Any) -> None:  # noqa: ANN401
    del document["parts"][0]


def _nowhere(document: Any) -> None:  # noqa: ANN401
    _strips(document)[0]["stretches"][0]["wall"] = "e"


def _broken(document: Any) -> None:  # noqa: ANN401
    document["parts"][-1]["strips"][0]["stretches"].append(_strips(document)[2]["stretches"][0])


def _shorter_ends(document: Any) -> None:  # noqa: ANN401
    document["scenario"]["border"][0]["ends"] = 30


def _fallen_out(document: Any) -> None:  # noqa: ANN401
    rest = {"label": "rest", "length": "1500 mm", "first_motif": "0 mm", "left": "0 mm", "right": "120 mm"}
    document["plans"][-1]["scenario"]["drop"][0]["cut_outs"] = [rest]


def _narrower(document: Any) -> None:  # noqa: ANN401
    document["plans"][-1]["scenario"]["drop"][0]["right"] = "100 mm"


def _let_in(document: Any) -> None:  # noqa: ANN401
    document["scenario"]["border"][0]["let_in"] = True


def _across(document: Any) -> None:  # noqa: ANN401
    document["plans"][-1]["scenario"]["drop"][0]["along"] = False


def _another_wall(document: Any) -> None:  # noqa: ANN401
    document["plans"][-1]["scenario"]["drop"][0]["wall"] = "c"


@pytest.mark.parametrize(
    ("plant", "said"),
    [
        (_across, "said not to hang along its length"),
        (_another_wall, "cut for another wall than it begins on"),
        (_shorter_ends, "strip 4 is not cut 30 mm longer at either end"),
        (_fallen_out, "cut_outs is told of a strip, which hangs once, whole, and as it is"),
        (_narrower, "right is told of a strip, which hangs once, whole, and as it is"),
        (_height, "hangs at another height"),
        (_gap, "leaves bare 'c' from 1900 mm"),
        (_overlap, "covers 'a' twice"),
        (_motif, "out of step between strips 1 and 2"),
        (_all_motifs, "off the place where it was to lie"),
        (_length, "strip 2 is 10 mm off the length"),
        (_closing, "100 mm out of step, and 0 mm is told"),
        (_hidden, "hidden"),
        (_elsewhere, "out of step between strips 4 and 1"),
        (_never, "closes where the room does not"),
        (_paper, "paper of its plan"),
        (_unplanned, "has no plan"),
        (_untold, "is not told what it is"),
        (_nowhere, "lies on no wall"),
        (_broken, "does not go on from 'b' to 'd'"),
        (_let_in, "its plan is for a stretch of wall"),
    ],
)
def test_the_judge_refuses_a_fault_in_each_rule_of_borders(plant: Callable[[Any], None], said: str) -> None:
    """A border covers its run once, meets at all but its closing joint, and hangs where it was asked for."""
    document = deepcopy(json.loads(planned(HIGH)))
    plant(document)

    report = check_text(json.dumps(document))

    assert any(said in broken.line() for broken in report.violations), report.violations


@pytest.mark.parametrize("at", ["0", "3000"])
def test_motif_of_a_border_that_starts_in_a_corner_lies_in_the_corner(at: str) -> None:
    """Two strips meet there, and all of them moved along by 10 go on from one another as before."""
    document = json.loads(planned(HIGH.replace('at = "middle"', f"at = {at}")))
    assert check_text(json.dumps(document)).holds

    _all_motifs(document)

    (broken,) = check_text(json.dumps(document)).violations
    assert broken.line() == "border 'rail': the motif is 10 mm off the place where it was to lie"


def _no_mitre(document: Any) -> None:  # noqa: ANN401
    document["plans"][-1]["scenario"]["drop"][0]["height"] = "2000 mm"


def _off_mitre(document: Any) -> None:  # noqa: ANN401
    document["plans"][-1]["scenario"]["drop"][2]["first_motif"] = "250 mm"


def _off_middle(document: Any) -> None:  # noqa: ANN401
    for drop in document["plans"][-1]["scenario"]["drop"]:
        drop["first_motif"] = f"{(int(drop['first_motif'].split()[0]) + 10) % 300} mm"


def _side(document: Any) -> None:  # noqa: ANN401
    _strips(document)[0]["side"] = "right"


def _beside(document: Any) -> None:  # noqa: ANN401
    _strips(document)[0]["stretches"][0]["left"] = "490"


@pytest.mark.parametrize(
    ("plant", "said"),
    [
        (_no_mitre, "strip 1 is 100 mm off"),
        (_off_mitre, "50 mm out of step at the mitre of strips 2 and 3"),
        (_off_middle, "no motif lies in the middle"),
        (_side, "has not one strip each"),
        (_beside, "does not lie along the left"),
    ],
)
def test_the_judge_refuses_a_fault_in_each_rule_of_frames(plant: Callable[[Any], None], said: str) -> None:
    """Round an opening strips are as long as their outer edges, and the print goes on at the middle of each mitre."""
    document = deepcopy(json.loads(planned(FRAME)))
    plant(document)

    report = check_text(json.dumps(document))

    assert any(said in broken.line() for broken in report.violations), report.violations


@pytest.mark.parametrize("seed", range(12))
def test_borders_of_random_rooms_are_judged_to_hold(seed: int) -> None:
    """Whatever the walls, openings and repeat, planner and judge agree on the strips; neither knows of the other."""
    chance = Random(seed)  # noqa: S311 - not for secrets
    corners = ["internal", "external"]
    parts = ['units = "mm"\n[paper]\nroll_length = "10 m"\nroll_width = 530\nmatch = "free"\n']
    count = chance.choice([2, 4, 5])
    closes = count > 2 and chance.random() < 0.7
    parts.append(f"[room]\ncloses = {str(closes).lower()}\n")
    for number in range(count):
        width = chance.randrange(1500, 4000)
        parts.append(f'[[wall]]\nname = "{number}"\nwidth = {width}\nheight = 2500\n')
        if closes or number < count - 1:
            parts.append(f'corner = "{chance.choice(corners)}"\n')
        if chance.random() < 0.6:
            left, wide = chance.randrange(200, 500), chance.randrange(600, 900)
            foot = chance.choice([0, 850])
            parts.append(f'[[wall.opening]]\nkind = "opening"\nname = "o{number}"\nleft = {left}\nwidth = {wide}\n')
            parts.append(f"foot = {foot}\nheight = {chance.randrange(900, 1300)}\n")
    parts.append('[start]\nwall = "1"\nat = "middle"\nputs = "joint"\n')
    let_in = f"let_in = {str(chance.random() < 0.5).lower()}"
    label = f'roll_length = "8 m"\nroll_width = {chance.choice([90, 125])}\nmatch = "{chance.choice([0, 210, 533])}"\n'
    parts.append(
        f'[[border]]\nname = "run"\nfoot = {chance.choice([600, 1000, 2300])}\n{let_in}\n[border.paper]\n{label}'
    )
    for name in [f"o{number}" for number in range(count)]:
        if f'"{name}"' in "".join(parts) and chance.random() < 0.5:
            parts.append(f'[[border]]\nname = "round {name}"\nround = "{name}"\nlet_in = true\n[border.paper]\n{label}')

    report = check_text(planned("".join(parts)))

    assert report.holds, report.violations


@pytest.mark.parametrize(
    ("written", "instead", "said"),
    [
        ("foot = 2200", 'round = "door"', "no opening is called so"),
        ("foot = 2200", "foot = 2300", "reaches beyond what is papered"),
        ("foot = 2200", 'round = "window"\nfoot = 3', "belongs to a border round the room"),
        ("foot = 2200", "foot = 2200\ntop = 2320", "say the same thing twice"),
        ('match = "450"', 'match = "450/225"', "match has no offset"),
        ('roll_length = "6 m"', 'roll_length = "40 cm"', "too short to give a strip"),
        ("roll_width = 120\n", "", "roll_width is needed"),
        ('name = "rail"', 'name = "paper"', "used by an earlier entry"),
    ],
)
def test_what_is_wrong_with_a_border_is_said(written: str, instead: str, said: str) -> None:
    """Every fault of a border names its key."""
    with pytest.raises(ScenarioError) as caught:
        parse_job(HIGH.replace(written, instead), "room.toml")

    assert any(said in fault.what for fault in caught.value.faults), caught.value.faults


def test_a_border_that_leaves_its_wall_is_the_one_fault_of_its_job() -> None:
    """A window 100 from the corner has no room for a border of 120; a material for the lining is none the worse."""
    text = HIGH.replace("foot = 2200", 'round = "window"').replace("left = 800", "left = 100")
    text += '[lining]\nname = "lining 1000"\nroll_length = "10 m"\nroll_width = 560\n'
    text += '[[material]]\nname = "filler"\nuse = "filler"\non = ["lining"]\n'

    with pytest.raises(ScenarioError) as caught:
        parse_job(text, "room.toml")
    (fault,) = caught.value.faults
    assert 'with it "window": its left cannot be less than 0, not −20 mm' in fault.what


def test_strip_that_ends_in_a_corner_takes_nothing_of_the_next_wall() -> None:
    """Joined anywhere, a strip as long as the first wall ends in its corner: the next wall has a strip of its own."""
    wall = Wall("long", Fraction(3000), Profile.at_height(Fraction(2400)), Profile.at_height(Fraction(0)))
    room = Room((wall, replace(wall, name="next")), (Corner.usual(CornerKind.INTERNAL),), closes=False)
    paper = BorderPaper(Fraction(100), FREE, Fraction(3000), joins_in_corners=False)

    found = along_line(room, Line(Fraction(1000)), paper, (0, Fraction(1500)), None, by_top=False)

    covered = [[(on.wall, int(on.left), int(on.right)) for on in strip.stretches] for strip in found.strips]
    assert covered == [[(0, 0, 3000)], [(1, 0, 3000)]]


def test_rolls_of_strips_side_by_side_may_be_bought_as_needed() -> None:
    """Two strips across: one roll in hand and more as needed, which is no number to be doubled; else it is told."""
    rolls = (
        'across = 2\n[[border.roll]]\nlabel = "A"\n[[border.roll]]\nlabel = "B"\ncount = "as needed"\n[border.paper]'
    )
    text = HIGH.replace("[border.paper]", rolls)

    assert [lot.count for lot in job_of(text).parts[-1].scenario.job.rolls] == [2, None]
    assert check_text(planned(text)).holds
    for wrong in ("true", '"some"', "[1]", "-1"):
        with pytest.raises(ScenarioError, match="count"):
            job_of(text.replace('"as needed"', wrong))
    with pytest.raises(ScenarioError, match="must be a table, not 3"):
        job_of(HIGH.replace("[border.paper]", "across = 2\nroll = [3]\n[border.paper]"))


@pytest.mark.parametrize(("key", "value"), [("packet", "x"), ("singles", []), ("price", "1e9"), ("packet", -1)])
def test_the_judge_reads_whatever_is_written_of_strips_side_by_side(key: str, value: object) -> None:
    """A packet that is no number is a fault of the plan, and not of the judge."""
    document = json.loads(planned(HIGH.replace("[border.paper]", "across = 2\n[border.paper]")))
    document["scenario"]["border"][0]["paper"][key] = value

    assert not check_text(json.dumps(document)).holds


@pytest.mark.parametrize(("key", "told"), [("wall", "another"), ("at", "499")])
def test_a_border_round_a_window_closes_at_the_left_of_its_foot(key: str, told: str) -> None:
    """Told elsewhere, it is refused."""
    window = FRAME.replace('kind = "door"', 'kind = "window"\nname = "door"\nfoot = 300').replace(
        "2000\nreveal", "1500\nreveal"
    )
    document = json.loads(planned(window))
    assert check_text(json.dumps(document)).holds
    document["parts"][-1]["closes"][key] = told

    report = check_text(json.dumps(document))
    assert any("at the left of its foot" in broken.line() for broken in report.violations), report.violations
