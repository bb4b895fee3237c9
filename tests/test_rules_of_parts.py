"""Single rules of the judge for bands, borders, linings and what a job takes, where the planner's own plans say little.

What stands for a plan here has no more than the rule reads.
"""

from __future__ import annotations

from fractions import Fraction
from types import SimpleNamespace
from typing import Any

import pytest

from cutplan.check.contract_rules.rooms_served import _from_rolls
from cutplan.check.lining_rules.lined_room import LinedRoom
from cutplan.check.lining_rules.lining_on_wall import _clash_rule, _cover_rule, _end_joint_rule, _joints
from cutplan.check.lining_rules.stated_lining import Lined, StatedClash, StatedLength, StatedLining
from cutplan.check.part_rules.bands_on_wall import (
    _crossing_rule,
    _is_of,
    _papered,
    _slices,
    _stretches,
    _there,
    _things_rule,
    nothing_of,
)
from cutplan.check.part_rules.borders_along_lines import _takes
from cutplan.check.part_rules.borders_on_wall import _ends, _joints_rule, _whole
from cutplan.check.part_rules.shared_rolls import _as_sold
from cutplan.check.part_rules.shopping_judged import _covers, _Job, _joint_at
from cutplan.check.part_rules.stated_parts import (
    Border,
    Closes,
    Hangs,
    On,
    PartedRoom,
    Planned,
    Rail,
    Strip,
    _border,
    frame_of,
)
from cutplan.check.stated.fields import Table
from cutplan.check.survey.surveyed import Corner, SurveyReader, Thing, Wall
from cutplan.check.survey.wall_line import Edges, Leg

NOTHING = Fraction(0)
PASSED_OVER = Fraction(1, 4)
"""What a rail may be off, mm."""
SLIVER = Fraction(1, 1000)


def like(**told: object) -> Any:  # noqa: ANN401 - stands for anything
    """Return what has these fields and no others."""
    return SimpleNamespace(**told)


def line(*points: tuple[int | Fraction, int | Fraction], width: int = 1000) -> Edges:
    """Return a line through points, level for a single one."""
    return Edges.through([(Fraction(along), Fraction(height)) for along, height in points], Fraction(width))


def figures(*of: int) -> tuple[Fraction, ...]:
    """Return lengths, mm."""
    return tuple(map(Fraction, of))


def thing(name: str, left: int, right: int, foot: int, head: int) -> Thing:
    """Return a window."""
    return Thing("window", name, Fraction(left), Fraction(right), Fraction(foot), Fraction(head), NOTHING)


def wall(
    name: str = "long",
    width: int = 1000,
    *openings: Thing,
    foot: Edges | None = None,
    top: Edges | None = None,
    is_internal: bool = True,
) -> Wall:
    """Return a wall 2 m high, unless its foot or its top is another."""
    corner = Corner(NOTHING, NOTHING, is_true=True, is_internal=is_internal)
    feet, tops = foot or line((0, 0), width=width), top or line((0, 2000), width=width)
    return Wall(name, Fraction(width), tops, feet, openings, (), corner)


def rail(name: str, foot: int | Fraction, head: int | Fraction) -> Rail:
    """Return a level rail."""
    return Rail(name, (line((0, foot)),), (line((0, head)),))


def parted(*rails: Rail, walls: tuple[Wall, ...] = (), borders: tuple[Border, ...] = (), closes: bool = False) -> Any:  # noqa: ANN401
    """Return a room of one wall, unless its walls are told."""
    return PartedRoom(walls or (wall(),), rails, (), borders, {}, {}, (), {}, closes)


def border(name: str, framed: tuple[int, Thing] | None = None) -> Border:
    """Return a border 60 mm wide, let in 900 mm above the floor line, or round an opening."""
    lines = () if framed else (line((0, 900)),)
    return Border(
        name,
        Fraction(60),
        is_let_in=True,
        framed=framed,
        foot=Fraction(900),
        motif_at=(0, NOTHING),
        table={},
        ends=NOTHING,
        lines=lines,
    )


# Bands


def test_what_is_left_beside_an_opening_is_passed_over_up_to_a_quarter_of_a_millimetre() -> None:
    """A rail's place on a steep edge is taken to 1/64 mm, so that bands may be a little off."""
    foot, top = Fraction(50), Fraction(900)
    assert _papered(foot, top, {(foot + PASSED_OVER, top)}) == []
    assert _papered(foot, top, {(foot + PASSED_OVER + SLIVER, top)}) == [(foot, foot + PASSED_OVER + SLIVER)]


def test_slices_are_passed_over_up_to_a_quarter_of_a_millimetre() -> None:
    """One of just that width is too narrow to hang anything in."""
    box = (Fraction(500), 500 + PASSED_OVER, NOTHING, Fraction(100))
    assert list(_slices([line((0, 0))], [box])) == [figures(0, 500), (500 + PASSED_OVER, Fraction(1000))]


@pytest.mark.parametrize(
    ("head", "there"), [(2000 - PASSED_OVER, 1), (2000 - PASSED_OVER - SLIVER, 2), (Fraction(3000), 1)]
)
def test_stretch_is_there_where_more_of_the_wall_than_a_sliver_lies_in_it(head: Fraction, there: int) -> None:
    """Above a rail that lies beyond the top of the wall there is nothing."""
    assert len(_there(parted(rail("dado", 900, head)))) == there


def test_rails_stand_in_the_order_of_their_heights_however_they_are_told() -> None:
    """From the foot up."""
    stretches = _stretches(parted(rail("picture rail", 1700, 1740), rail("dado", 900, 960)))
    assert [high.name for _, high in stretches if high is not None] == ["dado", "picture rail"]


def test_rails_may_touch_and_may_not_cross() -> None:
    """Told is by how much, and on which wall."""
    assert not list(_crossing_rule(parted(rail("dado", 900, 960), rail("picture rail", 960, 1000))))
    (broken,) = _crossing_rule(parted(rail("dado", 900, 960), rail("picture rail", 950, 1000)))
    assert broken.amount == 10


def test_place_of_a_border_let_in_round_the_room_need_not_be_told_on_a_band_that_it_leaves() -> None:
    """It is no thing of the wall."""
    room = parted(borders=(border("run"),))
    (papered,) = room.papered()
    assert [each.name for each in papered.openings] == ["run"]
    assert not list(_things_rule("band", room, papered, wall()))


@pytest.mark.parametrize(("name", "is_of"), [("run", True), ("run 2", True), ("runner", False)])
def test_place_of_a_border_has_its_name_and_beside_openings_a_number_too(name: str, is_of: bool) -> None:  # noqa: FBT001
    """A longer word is another thing."""
    assert _is_of(thing(name, 0, 100, 900, 960), ["run"]) == is_of


def test_nothing_of_a_wall_is_all_between_its_lowest_foot_and_its_highest_top() -> None:
    """Along slopes too."""
    sloping = wall(foot=line((0, 100), (1000, 400)), top=line((0, 2000), (1000, 2300)))
    assert nothing_of(sloping).box == figures(0, 1000, 100, 2300)


def test_frame_goes_down_to_the_floor_only_where_its_opening_stands_on_it() -> None:
    """On a slope, where it reaches down to the lowest of the floor."""
    level, sloping = wall(), wall(foot=line((0, 0), (1000, 200)))
    assert frame_of(level, thing("window", 100, 900, 600, 1200), Fraction(60)).box == figures(40, 960, 540, 1260)
    assert frame_of(level, thing("door", 100, 900, 0, 1200), Fraction(60)).box == figures(40, 960, 0, 1260)
    assert frame_of(sloping, thing("hatch", 0, 1000, 100, 1200), Fraction(60)).foot == 40


def test_borders_after_a_frame_are_let_in_too() -> None:
    """Each takes its place of the walls."""
    window = thing("window", 100, 900, 300, 600)
    walls = (wall("long", 1000, window),)
    (papered,) = parted(walls=walls, borders=(border("frame", (0, window)), border("run"))).papered()
    assert [each.name for each in papered.openings] == ["window", "run"]


def test_walls_that_come_first_stand_in_the_plan_of_a_room_as_in_the_whole_scenario() -> None:
    """Only a list of drops has no more of them than it hangs on."""
    scenario: dict[str, Any] = {"cutting": {"first_walls": ["long", "short"]}}
    wanted = like(drops={"A": like(wall="long")})
    assert Planned({}, wanted, like()).shared(scenario, "cutting") == {"first_walls": ["long", "short"]}
    assert Planned({}, wanted, None).shared(scenario, "cutting") == {"first_walls": ["long"]}


# Borders


@pytest.mark.parametrize(("count", "whole"), [(2, 2), (0, None), (-1, None), (True, None), ("2", None), (1.5, None)])
def test_count_is_a_whole_number_from_1_on(count: object, whole: int | None) -> None:
    """Whatever else is written is none."""
    assert _whole({"count": count}, "count") is whole


@pytest.mark.parametrize(("head", "takes"), [(150, True), (149, False)])
def test_opening_takes_a_border_along_a_slope_only_if_it_takes_its_plumb_height(head: int, takes: bool) -> None:  # noqa: FBT001
    """Which of 60 mm is 75 mm where a run of 100 mm rises by 75."""
    leg = Leg(Fraction(100), Fraction(200), NOTHING, Fraction(75))
    assert _takes(border("run"), leg, thing("window", 100, 200, 0, head)) == takes


def strip(drop: str, *stretches: On) -> Strip:
    """Return a level strip."""
    return Strip(drop, None, stretches, (NOTHING, NOTHING), (NOTHING,) * len(stretches))


def on(name: str, left: int, right: int) -> On:
    """Return what a strip covers of a wall."""
    return On(name, Fraction(left), Fraction(right), Fraction(900), Fraction(960))


def test_border_that_closes_in_the_middle_of_a_wall_is_as_much_out_of_step_as_its_print_is() -> None:
    """By 100 mm here, where 30 mm are told: 70 mm too few."""
    walls = wall("long", 1000), wall("short", 500)
    all_round = strip("A", on("long", 100, 1000), on("short", 0, 500), on("long", 0, 100))
    assert _ends({"long": NOTHING, "short": Fraction(1000), "": Fraction(1500)}, all_round) == figures(100, 100)
    plan = like(wanted=like(match=like(repeat=Fraction(400)), drops={"A": like(height=1500, first_motif=0)}))
    room, hangs = (
        parted(walls=walls, closes=True),
        Hangs((all_round,), Closes("long", Fraction(100), Fraction(30), is_hidden=False)),
    )
    (broken,) = _joints_rule(room, hangs, plan, "run")
    assert broken.amount == 70


def test_border_starts_its_motif_in_the_middle_of_the_first_wall_unless_it_is_told() -> None:
    """Its foot is its own width below a line that it hangs from."""
    table = Table("border", {"name": "run", "top": 900, "paper": {"roll_width": 60}}, [], "mm")
    read = _border(table, (wall("long", 1000), wall("short", 500)), SurveyReader(Table("", {}, [], "mm"), is_free=True))
    assert read is not None
    assert (read.motif_at, read.foot) == ((0, Fraction(500)), Fraction(840))


def test_roll_without_a_price_was_bought_at_1_in_earlier_files() -> None:
    """Where rolls in hand needed a price."""
    plan = like(wanted=like(sold=like(price=None, roll_length=10000)))
    assert _as_sold(plan, was_priced=True) == figures(10000, 1)
    assert _as_sold(plan, was_priced=False) == (Fraction(10000), None)


# Linings

LINING = StatedLining(
    (Fraction(2050), Fraction(500)),
    is_horizontal=True,
    goes_round=False,
    short=NOTHING,
    end=Fraction(25),
    clear=Fraction(100),
    patches=(),
    lengths=(),
    clashes=(),
)
"""Along the walls, from rolls that two metres just come off."""


def run(*walls: tuple[int, bool]) -> LinedRoom:
    """Return walls told by their widths, and whether the corner at their right ends is internal."""
    surveyed = [wall(f"wall {n}", width, is_internal=is_internal) for n, (width, is_internal) in enumerate(walls, 1)]
    return LinedRoom(surveyed, closes=False)


def closed(*walls: tuple[int, bool]) -> LinedRoom:
    """Return such walls that go all round."""
    return LinedRoom(run(*walls).walls, closes=True)


@pytest.mark.parametrize(
    ("room", "one", "other", "by"),
    [
        (closed((2000, False), (2000, False)), 3950, 20, 70),
        (closed((2000, False), (2000, False)), 20, 3950, -70),
        (run((2000, False), (2000, False)), 3950, 20, None),
        (closed((1000, False), (2970, True), (30, False)), 20, 3950, None),
        (closed((10, True), (2990, False), (1000, False)), 3950, 20, None),
        (run((1000, True), (1000, False)), 1000, 1050, 50),
        (run((1000, True), (1000, False)), 950, 1000, 50),
        (run((1000, True), (1000, False)), 950, 1010, None),
    ],
)
def test_joints_are_near_one_another_round_the_room_but_not_round_an_internal_corner(
    room: LinedRoom, one: int, other: int, by: int | None
) -> None:
    """A joint in the very corner is near those on either side."""
    assert room.from_to(Fraction(one), Fraction(other), Fraction(100)) == by


def test_first_wall_begins_in_a_corner_unless_the_room_closes() -> None:
    """A run that is open begins at its first wall, and one that closes where a corner is internal."""
    walls = (1000, True), (1000, False), (1000, False)
    assert not closed(*walls).is_internal(0)
    assert run(*walls).is_internal(0)
    assert [part.group for part in closed(*walls).to_line(LINING)] == [1, 1, 1]
    assert [part.group for part in run(*walls).to_line(LINING)] == [0, 1, 1]
    twice = (1000, True), (1000, True), (1000, False)
    assert [part.group for part in closed(*twice).to_line(LINING)] == [2, 1, 2]


def length(drop: str, *panels: tuple[int, int, int, int, int]) -> StatedLength:
    """Return a length that covers as much of walls: number, from, to, foot, top."""
    return StatedLength(drop, 1, tuple(Lined(at, *map(Fraction, box)) for at, *box in panels), None)


def lining(*lengths: StatedLength, **told: object) -> StatedLining:
    """Return a lining of these lengths."""
    fields = {name: getattr(LINING, name) for name in LINING.__struct_fields__}
    return StatedLining(**{**fields, "lengths": lengths, **told})


@pytest.mark.parametrize(("reach", "refused"), [(2050, 1), (2049, 0)])
def test_lengths_meet_on_the_wall_only_where_one_would_not_have_reached(reach: int, refused: int) -> None:
    """Both together with what is cut longer at either end."""
    room = run((2000, True))
    asked = lining(length("1", (0, 0, 1000, 0, 500)), length("2", (0, 1000, 2000, 0, 500)), roll=(reach, 500))
    joints = list(_joints(room, asked))
    assert [butt[:3] for butt in joints] == [figures(1000, 0, 500)]
    assert len(list(_end_joint_rule(room, asked, joints))) == refused


def test_lengths_may_meet_in_a_corner_where_lengths_begin_unless_only_patches_are_lined() -> None:
    """At a patch that goes over the corner one length would have reached on."""
    room = run((1000, True), (1000, True))
    both = length("1", (0, 0, 1000, 0, 500)), length("2", (1, 0, 1000, 0, 500))
    joints = [(Fraction(1000), NOTHING, Fraction(500), "1", "2")]
    assert not list(_end_joint_rule(room, lining(*both), joints))
    patch = Lined(0, NOTHING, Fraction(1000), NOTHING, Fraction(500))
    assert len(list(_end_joint_rule(room, lining(*both, patches=(patch,)), joints))) == 1


def test_lengths_butt_at_the_end_of_a_run_that_closes_and_not_where_they_touch_at_a_corner() -> None:
    """The end of such a run is its beginning."""
    asked = lining(length("1", (0, 0, 1000, 0, 500)), length("2", (1, 0, 1000, 0, 500)))
    assert [butt[0] for butt in _joints(closed((1000, False), (1000, False)), asked)] == [0, 1000]
    assert [butt[0] for butt in _joints(run((1000, False), (1000, False)), asked)] == [1000]
    above = lining(length("1", (0, 0, 500, 0, 500)), length("2", (0, 500, 1000, 500, 1000)))
    assert not list(_joints(run((1000, True)), above))


def test_joint_is_near_the_papers_only_where_both_are_beside_one_another() -> None:
    """One that begins where the other ends is none."""
    room, joints = run((1000, True)), [(Fraction(500), NOTHING, Fraction(900), "1", "2")]
    assert not list(_clash_rule(room, LINING, joints, [(Fraction(520), Fraction(900), Fraction(2000))]))
    paper = [(Fraction(520), Fraction(899), Fraction(2000))]
    (broken,) = _clash_rule(room, LINING, joints, paper)
    assert broken.amount == 80
    named = lining(clashes=(StatedClash(0, Fraction(500), Fraction(520)),))
    assert not list(_clash_rule(room, named, joints, paper))


def test_bare_wall_is_told_where_most_of_it_is_bare_below_the_top_of_a_patch() -> None:
    """Half-way along, where the sloping ceiling comes down to the patch's top: 1000 mm less 450 mm of floor."""
    slope = wall(foot=line((0, 0), (1000, 900)), top=line((0, 0), (1000, 2000)))
    asked = lining(patches=(Lined(0, NOTHING, Fraction(1000), NOTHING, Fraction(1000)),))
    (broken,) = _cover_rule(LinedRoom([slope], closes=False), asked)
    assert broken.amount == 550


# What a job takes


def test_square_foot_is_a_foot_each_way() -> None:
    """In mm²."""
    table = Table("material", {"use": "paste", "covers": "10 sq ft"}, [])
    assert _covers(table) == 10 * Fraction("304.8") ** 2


def test_joint_of_paper_is_as_long_as_the_wall_to_its_right_less_openings_beside_it() -> None:
    """Whether an opening begins or ends there."""
    stepped = wall(
        "long", 1000, thing("window", 200, 500, 900, 1200), foot=line((0, 0), (500, 0), (500, 300), (1000, 300))
    )
    assert [_joint_at(stepped, Fraction(at)) for at in (100, 200, 500, 600)] == [2000, 1700, 1400, 1700]


def job(**told: object) -> _Job:
    """Return as much of a job as is told."""
    made = object.__new__(_Job)
    for name, value in told.items():
        setattr(made, name, value)
    return made


def test_joints_of_a_lining_are_where_its_lengths_meet_on_one_wall() -> None:
    """Side by side, and one above the other."""
    boxes = [("long", 0, 500, 0, 900), ("long", 500, 1000, 0, 900), ("long", 0, 500, 900, 1500)]
    boxes += [("short", 500, 1000, 0, 900), ("long", 1001, 1500, 0, 900), ("long", 1600, 2000, 950, 1500)]
    panels = [(name, tuple(map(Fraction, box))) for name, *box in boxes]
    assert job(linings={"lining": None}, panels={"lining": panels})._joints("lining") == 900 + 500  # noqa: SLF001


def test_paste_is_for_the_strip_where_a_piece_is_not_told_from_one_side_to_the_other() -> None:
    """Else for as much of it as the piece is wide."""
    drops = {
        label: like(cut_length=1000, count=2, left=left, right=right)
        for label, left, right in (("A", None, None), ("B", 100, 300), ("C", None, 300))
    }
    wanted = like(drops=drops, strip=500)
    assert job(apart={"paper": like(wanted=wanted)})._area_cut("paper") == 2 * 1000 * (500 + 200 + 500)  # noqa: SLF001


def test_band_hangs_over_as_much_of_what_keeps_damp_back_as_it_reaches() -> None:
    """On the wall of the patch: from the lowest of its foot there up to its highest top, and over none it is not on."""
    band = wall(foot=line((0, 200), (1000, 400)), top=line((0, 600), (1000, 800)))
    tables = {"damp-lining": Table("", {"adhesive": "latex"}, [])}
    panels = {"damp-lining": [("long", (NOTHING, Fraction(1000), NOTHING, Fraction(1000)))]}
    for walls, area in (
        ((wall("short"), band), 1000 * (800 - 200)),
        ((wall("long", 1000, nothing_of(wall())),), 0),
    ):
        made = job(linings=tables, room=like(kinds={"upper": "band"}), panels=panels)
        made.apart = {"upper": like(survey=like(walls=walls))}
        assert made._area_over("damp-lining", "upper") == area  # noqa: SLF001


# Contracts


def test_pieces_from_rolls_are_those_that_no_offcut_gives_on_a_wall_those_from_what_falls_out_there() -> None:
    """A roll of a lot that is not in the stock gives none."""
    lots = {
        "over": like(is_offcut=True, waits_for="1"),
        "end": like(is_offcut=True, waits_for=None),
        "roll": like(is_offcut=False, waits_for=None),
    }
    drops = {"1": like(count=3, wall="long"), "2": like(count=2, wall="long"), "3": like(count=2, wall="short")}
    rolls = [
        like(lot="over", cuts=[like(piece="2 (1 of 2)")]),
        like(lot="end", cuts=[like(piece="1 (1 of 3)"), like(piece="3 (1 of 2)")]),
        like(lot="roll", cuts=[like(piece="1 (2 of 3)")]),
        like(lot="gone", cuts=[like(piece="1 (3 of 3)")]),
    ]
    part = like(wanted=like(drops=drops, lots=lots), plan=like(rolls=rolls))
    assert _from_rolls(part, None) == {"1": 2, "2": 1, "3": 1}
    assert _from_rolls(part, "long") == {"1": 3, "2": 1}
    assert _from_rolls(part, "short") == {"3": 2}
