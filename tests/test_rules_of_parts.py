"""Single rules of the judge for bands, borders, linings and what a job takes, where the planner's own plans say little.

What stands for a plan here has no more than the rule reads.
"""

from __future__ import annotations

from fractions import Fraction
from types import SimpleNamespace
from typing import Any

import pytest
from msgspec.structs import replace

from cutplan.check.contract_rules.bounds_of_ways import _as_one, _fair_in_turns, _proved_in_turns, judge_together
from cutplan.check.contract_rules.lengths_to_order import rooms_order_rule, way_order_rule
from cutplan.check.contract_rules.rooms_served import _figures_rule, _from_rolls, is_mirror_image, same_paper
from cutplan.check.lining_rules.lined_room import LinedRoom
from cutplan.check.lining_rules.lining_on_wall import (
    _clash_rule,
    _course_rule,
    _cover_rule,
    _drops_rule,
    _end_joint_rule,
    _joints,
    _reveal_rule,
    _width_rule,
    judge_lining,
)
from cutplan.check.lining_rules.linings import _days_rule, _paper_joints
from cutplan.check.lining_rules.stated_lining import Lined, StatedClash, StatedLength, StatedLining, read_lining
from cutplan.check.part_rules.bands_on_wall import (
    _crossing_rule,
    _is_of,
    _level_line,
    _papered,
    _slices,
    _stretches,
    _there,
    _things_rule,
    nothing_of,
)
from cutplan.check.part_rules.borders_along_lines import _ends_rule, _takes
from cutplan.check.part_rules.borders_on_wall import _ends, _joints_rule, _motif_rule, _whole, borders_rule
from cutplan.check.part_rules.shared_rolls import _as_sold, _scenario_rule
from cutplan.check.part_rules.shopping_judged import _covers, _Job, _joint_at, _Material, _material_rule
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
from cutplan.check.report import Report
from cutplan.check.roll_rules.what_fits_where import StockLot, WantedDrop
from cutplan.check.stated.document import ListedPrices, ListedProof
from cutplan.check.stated.echo import Wanted
from cutplan.check.stated.fields import Table
from cutplan.check.stated.match import Match
from cutplan.check.stated.sold import Sold
from cutplan.check.survey.surveyed import Corner, Start, SurveyReader, Thing, Wall
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


def test_rail_along_a_floor_that_steps_at_the_very_edge_of_a_wall_stands_as_high_as_it_does_within() -> None:
    """At 1400 mm here, over one at 1200, and not at the 900 mm that it would have before the step."""
    foot, above = line((0, 0), (0, 500), (1000, 500)), line((0, 900), (0, 1400), (1000, 1400))
    room = parted(Rail("above foot", (above,), (above,)), rail("level", 1200, 1200), walls=(wall(foot=foot),))
    assert [high.name for _, high in _stretches(room) if high is not None] == ["level", "above foot"]
    assert not list(_crossing_rule(room))


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
    assert Planned({}, wanted, like(), like()).shared(scenario, "cutting") == {"first_walls": ["long", "short"]}
    assert Planned({}, wanted, None, like()).shared(scenario, "cutting") == {"first_walls": ["long"]}


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


def test_every_border_is_asked_for_its_plan() -> None:
    """The second too, where the first has none."""
    broken = list(borders_rule(parted(borders=(border("run"), border("frame"))), {}))
    assert [each.where for each in broken] == ["border 'run'", "border 'frame'"]


def test_motif_of_a_level_border_lies_just_where_it_was_told() -> None:
    """Along a slope, where lengths are taken to 1/64 mm, it may be as much off."""
    level, drop = strip("A", on("long", 0, 1000)), like(first_motif=Fraction(1, 64))
    plan: Any = like(wanted=like(match=like(repeat=Fraction(400)), drops={"A": drop}))
    for hangs, refused in ((level, 1), (level._replace(rises=(Fraction(750),)), 0)):
        assert len(list(_motif_rule(parted(), border("run"), Hangs((hangs,), None), plan, "run"))) == refused


def test_level_line_of_a_band_is_its_own_or_that_of_its_room() -> None:
    """None where neither tells one."""
    room = {"units": "cm", "room": {"level_line": 200}}
    assert [_level_line(room, {"level_line": 210}), _level_line(room, {}), _level_line({}, {})] == [2100, 2000, None]


def test_end_of_a_strip_is_judged_though_its_other_end_lies_on_no_wall() -> None:
    """The right one leans here, and meets nothing."""
    leaning = Strip("A", None, (on("gone", 0, 100), on("long", 0, 100)), (NOTHING, Fraction(10)), (NOTHING, NOTHING))
    lines = {"long": [Leg(NOTHING, Fraction(1000), NOTHING, NOTHING)]}
    (broken,) = _ends_rule(border("run"), lines, Hangs((leaning,), None), leaning, "run")
    assert broken.amount == 10


def test_end_is_mitred_to_the_strip_that_lies_straight_beside_it() -> None:
    """One that goes on beyond the wall there is refused for that."""
    legs = [
        Leg(NOTHING, Fraction(400), NOTHING, Fraction(300)),
        Leg(Fraction(400), Fraction(800), Fraction(300), Fraction(300)),
    ]
    level = Strip("A", None, (on("long", 400, 800),), (Fraction(-20), NOTHING), (NOTHING,))
    hangs = Hangs((level, strip("B", on("long", 0, 400)), strip("C", on("long", -100, 400))), None)
    assert not list(_ends_rule(border("run"), {"long": legs}, hangs, level, "run"))


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


def test_rolls_of_one_band_beside_those_bought_cost_nothing_in_earlier_files() -> None:
    """The other has none listed."""
    paper = {"roll_length": 10000, "roll_width": 530}
    told = like(
        match=Match(NOTHING, NOTHING), sold=like(price=None, roll_length=10000), buys_beside_hand=False, drops={}
    )
    told.rolls = [like(count=2, length=9000, price=0), like(count=None, length=10000, price=1)]
    plan: Any = like(wanted=told, scenario={"paper": paper, "roll": [{"label": "x", "price": 0}, {"label": "more"}]})
    parts: Any = {
        "upper": like(wanted=told, scenario={"paper": paper, "roll": [{"label": "x", "price": 3}]}),
        "lower": like(wanted=told, scenario={"paper": paper}),
    }
    assert not list(_scenario_rule("both", plan, parts))


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


def test_course_hangs_from_the_highest_of_the_patch_that_its_length_begins_in() -> None:
    """Not from that of the one that ends there; by no more than 1/64 mm above it."""
    patches = Lined(0, *figures(0, 500, 0, 1000)), Lined(0, *figures(500, 1000, 0, 500))
    room, second = run((1000, True)), length("1", (0, 500, 1000, 0, 500))
    assert not list(_course_rule(room, lining(second, patches=patches)))
    for more, refused in ((Fraction(1, 64), 0), (Fraction(1, 63), 1)):
        high = StatedLength("1", 1, (Lined(0, Fraction(500), Fraction(1000), Fraction(1), 500 + more),), None)
        assert len(list(_course_rule(room, lining(high, patches=patches)))) == refused


def test_reveal_that_is_not_lined_as_deep_as_it_is_lies_bare_for_the_rest() -> None:
    """A side that has no length lies bare all over."""
    window = replace(thing("window", 200, 500, 600, 1000), reveal=Fraction(100))
    drop = like(height=400, left=None, right=60)
    asked = lining(StatedLength("1", 0, (), (0, "window", "left")))
    room = LinedRoom([wall("long", 1000, window)], closes=False)
    told = [broken.line() for broken in _reveal_rule(room, asked, like(drops={"1": drop}))]
    assert [" 40 mm of the left" in told[0], " 100 mm of the head" in told[1], " 100 mm of the right" in told[2]] == [
        True
    ] * 3


def test_length_is_judged_though_another_before_it_is_of_no_drop_or_lies_in_a_reveal() -> None:
    """Each by itself."""
    room, hung = run((1000, True)), length("1", (0, 0, 500, 0, 600))
    drop = WantedDrop("1", Fraction(500), NOTHING, NOTHING, NOTHING, count=1, wall="elsewhere")
    told = [broken.line() for broken in _drops_rule(room, lining(length("gone"), hung), like(drops={"1": drop}))]
    assert "length 1: is cut for 'elsewhere', and hangs elsewhere" in told
    (broken,) = _width_rule(room, lining(StatedLength("2", 0, (), (0, "window", "left")), hung))
    assert broken.amount == 100


def test_wall_that_is_all_opening_takes_no_length() -> None:
    """Nothing of it is bare."""
    wanted: Any = like(match=like(repeat=NOTHING), drops={})
    room = LinedRoom([wall("long", 1000, thing("window", 0, 1000, 0, 2000))], closes=False)
    assert "0 lengths in up to 0 courses" in judge_lining("lining", room, lining(), wanted, []).facts[0]


def test_patch_without_a_width_goes_to_the_end_of_its_wall_and_one_on_no_wall_is_not_read() -> None:
    """As high as its wall, from as far along it as is told."""
    told: dict[str, Any] = {"roll_length": 10000, "roll_width": 500}
    for name, patches in (("long", (Lined(0, *figures(100, 1000, 0, 2000)),)), ("nowhere", None)):
        asked = Table("lining", {**told, "part": [{"wall": name, "left": 100}]}, [], "mm")
        read = read_lining(asked, Table("part", {}, []), [wall()])
        assert (None if read is None else read.patches) == patches


def test_joints_of_the_paper_are_its_strips_edges_but_for_those_in_internal_corners_and_beyond_a_wall() -> None:
    """Where a run closes its end is its beginning, and is a joint unless the corner is internal."""

    def joints(room: LinedRoom, at: int, *edges: int | Fraction) -> list[Fraction]:
        panels = [like(wall=at, left=edge, right=edge) for edge in edges]
        plan = like(wall=like(hung=like(columns=[like(panels=panels)]), survey=like(walls=room.walls)))
        return sorted({place for place, _, _ in _paper_joints(room, [plan, like(wall=None)])})

    half, round_one, round_other = Fraction(1, 2), closed((900, False), (900, True)), closed((900, True), (900, False))
    assert joints(run((900, False), (900, False)), 1, -half, 0, half, 900) == [900, 900 + half]
    assert joints(run((900, False), (900, False)), 2, 0) == []
    assert joints(run((900, False), (900, False)), 0, 0, 900) == [900]
    assert joints(round_one, 1, 400, 900) == [1300]
    assert joints(round_other, 1, 400, 900) == [0, 1300]


@pytest.mark.parametrize(
    ("dries", "begin", "early"), [(None, 0, 60), (None, 60, 0), (None, 59, 1), (23, 0, 0), (25, 0, 120)]
)
def test_paper_waits_until_its_lining_is_dry(dries: int | None, begin: int, early: int) -> None:
    """A day long where nothing is told: what is done an hour after the work began is so an hour after it next day."""
    plans = [
        {"part": name, "timetable": [{"begin": str(at), "minutes": "60"}]}
        for name, at in (("lining", 0), ("paper", begin))
    ]
    document = Table("", {"days": [{"part": "lining", "day": 1}, {"part": "paper", "day": 2}], "plans": plans}, [])
    asked = {"lining": Table("", {} if dries is None else {"dries": dries}, [])}
    assert [broken.amount for broken in _days_rule(document, asked)] == [early] * (early > 0)
    none = Table("", {"days": [{"part": "lining", "day": 1}], "plans": plans}, [])
    assert [broken.where for broken in _days_rule(none, asked)] == ["paper"]


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


@pytest.mark.parametrize(("usable", "joints"), [(None, 3), (Fraction(480), 1)])
def test_paper_in_equal_strips_has_no_joints_in_corners(
    monkeypatch: pytest.MonkeyPatch, usable: Fraction | None, joints: int
) -> None:
    """Any other is joined at its first strip too, where the room closes."""
    monkeypatch.setattr("cutplan.check.part_rules.shopping_judged.run_of", lambda survey, _: survey.run)
    panels = [like(panel=like(wall=0, left=Fraction(left))) for left in (0, 500)]
    seams = [like(is_joint=True, right=laid) for laid in panels]
    survey = like(start=like(usable=usable), walls=[wall()], closes=True)
    survey.run = like(seams=seams, survey=survey, laid=panels)
    paper = job(linings={}, apart={"paper": like(wall=like(survey=survey, hung=None))})
    assert paper._joints("paper") == joints * 2000  # noqa: SLF001


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
        label: WantedDrop(label, Fraction(1000), NOTHING, NOTHING, NOTHING, count=2, left=left, right=right)
        for label, left, right in (("A", None, None), ("B", Fraction(100), Fraction(300)), ("C", None, Fraction(300)))
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


def test_paste_is_a_fifth_more_than_its_label_says() -> None:
    """Other things are as their labels say."""
    for use, packs in (("paste", 12), ("adhesive", 10)):
        asked: Any = like(parts_of=lambda _: ("paper",), amount=lambda *_: Fraction(1000))
        entry = Table(
            "", {"amount": "1000", "covers": "100", "packs": packs, "by_label": 10, "use": use, "parts": ["paper"]}, []
        )
        assert not list(_material_rule(asked, _Material("tub", use, Fraction(100)), entry))


# Contracts


def test_paper_of_a_room_may_say_more_of_how_it_is_ordered_unless_all_is_to_be_alike() -> None:
    """Rooms are planned in rolls of it all the same."""
    by_the_yard: dict[str, Any] = {"paper": {"name": "Reed", "sold_by": "yard"}}
    in_rolls: dict[str, Any] = {"paper": {"name": "Reed"}}
    assert not list(same_paper("room", by_the_yard, in_rolls))
    assert len(list(same_paper("room", by_the_yard, in_rolls, is_all=True))) == 1


def wanted(rolls: dict[str, int], repeat: int = 0, **lengths: int) -> Wanted:
    """Return what drops of so many mm take, once each, of rolls of such lengths."""
    lots = {label: StockLot(label, Fraction(of), None, None, None) for label, of in rolls.items()}
    drops = {
        label: WantedDrop(label, Fraction(of), NOTHING, NOTHING, NOTHING, count=1, batch="A")
        for label, of in lengths.items()
    }
    match = Match(Fraction(repeat), NOTHING)
    return Wanted(match, lots, drops, is_survey=False, is_reversed=False, sold=Sold(1, 1), strip=None, first_sheet=None)


def rooms_of(*kinds: tuple[str, int, Wanted]) -> list[Any]:
    """Return kinds of rooms: each its name, how many there are, and what one wants."""
    return [like(name=name, count=count, part=like(wanted=of)) for name, count, of in kinds]


def test_all_rooms_as_one_job_are_as_many_drops_as_hang_in_them_of_the_first_rooms_rolls() -> None:
    """Each drop is told by its room."""
    rooms = rooms_of(("bed", 2, wanted({"x": 10000, "y": 9000}, a=2500)), ("bath", 1, wanted({"x": 8000}, b=2000)))
    as_one = _as_one(rooms)
    assert list(as_one.drops) == ["bed 1/a", "bed 2/a", "bath 1/b"]
    assert [lot.length for lot in as_one.lots.values()] == [10000]
    assert judge_together(rooms, like(together=None)) == Report()


def test_piece_without_a_price_proves_nothing_in_turns() -> None:
    """One with a price proves as many rolls as its pieces are worth, the last of them begun."""
    of = wanted({"x": 10000}, a=2500)
    rooms, bound = rooms_of(("bed", 3, of)), like(wanted=of)
    for prices, scale, proved in (({}, 1, 0), ({"a": 2}, 4, 2)):
        assert _proved_in_turns(rooms, like(turns=((3, prices),), scale=scale), bound) == proved


def test_prices_in_turns_are_fair_if_no_roll_holds_more_than_one_roll_is_worth() -> None:
    """Where the second piece must begin as far below the first as the print asks for."""
    bound = like(
        wanted=like(
            drops={name: like(datum=Fraction(at), cut_length=Fraction(600)) for name, at in (("a", 0), ("b", 300))},
            match=like(repeat=Fraction(500)),
            rolls=(like(length=Fraction(1850), datum_of=lambda drop: drop.datum), like(length=Fraction(9000))),
        )
    )
    assert [broken.amount for broken in _fair_in_turns(like(turns=((1, {"a": 2}), (1, {"b": 2})), scale=3), bound)] == [
        1
    ]


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


def test_room_in_equal_strips_has_a_mirror_image_if_its_strips_are_as_wide() -> None:
    """It has no start to be mirrored: every wall hangs from its left."""
    room, other, narrow = (
        like(
            walls=(wall(),),
            closes=False,
            strip=Fraction(520),
            level_line=Fraction(2000),
            start=Start(0, NOTHING, "joint", NOTHING, NOTHING, "right", usable=Fraction(usable)),
            finish=None,
        )
        for usable in (500, 500, 400)
    )
    assert is_mirror_image(room, other)
    assert not is_mirror_image(room, narrow)


def test_way_costs_what_its_rolls_cost_at_the_first_rooms_price() -> None:
    """A room of another price is refused for that."""
    rooms: Any = [
        like(part=like(wanted=like(rolls=(like(price=price),), sold=like(bought=lambda _: 2)))) for price in (5, 7)
    ]
    way: Any = like(name="pooled", parts=(), rolls=0, lower_bound=0, status="optimal", to_buy=2, cost=10)
    assert not list(_figures_rule(rooms, way, NOTHING))


def test_bound_of_all_rooms_is_proved_by_rolls_that_may_lose_a_repeat() -> None:
    """Of 2500 mm two would come off 5200 mm only if the print began where they want it."""
    prices = ListedPrices(1, {"bed 1/a": 1, "bed 2/a": 1}, {"roll": 0})
    way: Any = like(name="pooled", together=ListedProof("prices", Fraction(2), prices))
    rooms = rooms_of(("bed", 2, wanted({"x": 5200}, repeat=500, a=2500)))
    assert not judge_together(rooms, way).violations


def test_room_that_one_piece_does_for_is_told_what_it_must_give() -> None:
    """Be it just as long as the paper comes."""
    sold = Sold(1, 1, "m", least=Fraction(1000), step=Fraction(100), roll_length=Fraction(2500))
    rooms = rooms_of(("bed", 1, wanted({"x": 2500}, a=2500)))
    rooms[0].to_order = like(length=Fraction(2500), least=Fraction(2500), needed=None, cost=None)
    assert "one piece does" in next(broken.line() for broken in rooms_order_rule(rooms, sold))


def test_room_is_asked_for_its_order_though_one_before_it_tells_none() -> None:
    """Each is refused."""
    sold = Sold(1, 1, "m", least=Fraction(1000), step=Fraction(100), roll_length=Fraction(2500))
    rooms = rooms_of(("bed", 1, wanted({"x": 2500}, a=2500)), ("bath", 1, wanted({"x": 2500}, a=2500)))
    for kind in rooms:
        kind.to_order = None
    assert [broken.where for broken in rooms_order_rule(rooms, sold)] == ["bed", "bath"]


def test_contract_orders_what_each_of_its_rooms_orders_by_itself_or_all_rolls_but_the_rest_of_one() -> None:
    """Two rooms of 3 m and one of 2 m; together one roll of 2.5 m, whose bound is the least order."""
    sold = Sold(1, 1, "m", least=Fraction(1000), step=Fraction(100), roll_length=Fraction(2500))
    rooms = rooms_of(("bed", 2, wanted({"x": 2500}, a=2500)), ("bath", 1, wanted({"x": 2500}, a=2500)))
    for kind, of, least in zip(rooms, (3000, 2000), (2500, 1500), strict=True):
        kind.to_order = like(length=Fraction(of), least=Fraction(least))
    rolls = [like(cuts=[like(end=Fraction(2500))])]

    def faults(of: int, least: int, **told: object) -> int:
        with_spare = like(length=Fraction(of), least=Fraction(least), cost=None)
        order = like(**vars(with_spare), with_spare=with_spare)
        way: Any = like(to_order=order, parts=[like(plan=like(rolls=rolls))], rolls=1, lower_bound=1, **told)
        return len(list(way_order_rule(rooms, way, sold, NOTHING, is_there=True)))

    assert faults(8000, 6500, name="apart") == 0
    assert faults(2500, 1000, name="pooled") == 0
