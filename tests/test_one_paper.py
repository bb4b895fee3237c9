"""Bands in one and the same paper: cut from the same rolls, proved as one job, and judged on the wall band by band."""

from __future__ import annotations

import json
import re
from copy import deepcopy
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import pytest

import cutplan
from cutplan.check import check_text
from cutplan.faults import ScenarioError
from cutplan.render.words.start_lines import start_lines
from cutplan.solve import make_plan
from parted_rooms import parted_room
from parts_planned import job_of, planned
from program import run
from test_bands import faults_of

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

# A wall 1000 wide, two strips of 500, in one paper over and under a rail from 800 to 850; every cut has 100 of trim.
#
#   2400 ┌────────┬────────┐
#        │ filling, 1550:  │   two cuts of 1650, 3300 in all
#    850 ├────────┼────────┤
#    800 ├────────┼────────┤
#        │ dado, 800:      │   two cuts of  900, 1800 in all: together 5100, just a roll
#      0 └────────┴────────┘
ONE_PAPER = """units = "mm"
[[wall]]
name = "wall"
width = 1000
height = 2400
[[rail]]
name = "rail"
foot = 800
height = 50
[start]
wall = "wall"
at = 0
puts = "joint"
way = "right"
[[band]]
name = "filling"
above = "rail"
[band.paper]
name = "Reed"
roll_length = "5.1 m"
roll_width = 500
match = "free"
[[band]]
name = "dado"
below = "rail"
[band.paper]
name = "Reed"
roll_length = "5.1 m"
roll_width = 500
match = "free"
"""


def test_bands_in_one_paper_are_cut_from_the_same_rolls() -> None:
    """Apart each band opens a roll; together their 5100 are one, and what is on a piece begins with its band."""
    job = job_of(ONE_PAPER)
    (part,) = job.parts

    assert (part.name, [band.name for band in part.sharing]) == ("filling and dado", ["filling", "dado"])
    assert [drop.label for drop in part.scenario.job.drops] == ["filling 1", "filling 2", "dado 1", "dado 2"]
    assert [drop.wall for drop in part.scenario.job.drops] == ["wall, filling"] * 2 + ["wall, dado"] * 2
    (plan,) = json.loads(planned(ONE_PAPER))["plans"]
    assert (plan["rolls_needed"], plan["lower_bound"], plan["status"]) == (1, 1, "optimal")
    assert [make_plan(band.scenario.job, band.scenario.cutting).rolls_needed for band in part.sharing] == [1, 1]
    assert check_text(planned(ONE_PAPER)).holds


def test_one_paper_may_be_written_in_two_ways() -> None:
    """A roll of 5.1 m is one of 5100 mm, for the planner and for the judge."""
    text = ONE_PAPER.replace('"5.1 m"', "5100", 1)

    assert [part.name for part in job_of(text).parts] == ["filling and dado"]
    assert check_text(planned(text)).holds


def test_bands_in_one_paper_may_have_another_between_them() -> None:
    """A frieze and a dado share rolls though the filling between them is another paper; all hang from the top down."""
    three = ONE_PAPER.replace('name = "filling"', 'name = "filling"\nbelow = "upper"').replace("Reed", "Oak", 1)
    three = three.replace("[start]", '[[rail]]\nname = "upper"\nfoot = 2000\n[start]')
    three += (
        three.partition('[[band]]\nname = "dado"')[2]
        .replace('below = "rail"', 'above = "upper"')
        .join(['[[band]]\nname = "frieze"', ""])
    )
    job = job_of(three)

    assert [part.name for part in job.parts] == ["frieze and dado", "filling"]
    assert job.hanging == ("frieze", "filling", "dado")
    assert check_text(planned(three)).holds


AT_FILLING = 'match = "free"\n[[band]]'
"""Where a table of the filling's own may stand."""


def _with(table: str) -> str:
    return ONE_PAPER.replace(AT_FILLING, f'match = "free"\n{table}[[band]]', 1)


def test_bands_in_another_paper_have_rolls_of_their_own() -> None:
    """Two papers are two jobs."""
    assert [part.name for part in job_of(ONE_PAPER.replace("Reed", "Rush", 1)).parts] == ["filling", "dado"]


def test_bands_in_one_paper_may_be_trimmed_otherwise() -> None:
    """With 20 less trim each the fillings are 1630 and 1630, so that with the dado's twice 900 a roll has 40 over."""
    text = _with("[band.trim]\ntop = 30\n")

    (plan,) = json.loads(planned(text))["plans"]
    assert (plan["rolls_needed"], plan["status"]) == (1, "optimal")
    assert [drop.get("trim") for drop in plan["scenario"]["drop"]] == [
        None,
        None,
        *[{"top": "50 mm", "bottom": "50 mm"}] * 2,
    ]
    assert max(Fraction(cut["to"]) for roll in plan["rolls"] for cut in roll["cuts"]) == 5100 - 40
    assert check_text(planned(text)).holds


def test_bands_in_one_paper_may_be_worked_otherwise() -> None:
    """One job has one order and one pace: those of the band that hangs first, which is said."""
    text = _with('[band.pace]\npasted = "paper"\nsoak = 5\n[band.cutting]\nopen_rolls = 1\n')
    (part,) = job_of(text).parts

    assert part.scenario.cutting.open_rolls == 1
    assert "all of them are cut in the order and at the pace of filling" in part.scenario.notes
    assert check_text(planned(text)).holds


def test_walls_that_come_first_come_first_in_every_band_of_a_paper() -> None:
    """Where rolls are too few, a wall that was named goes before others with all bands that share the paper."""
    text = ONE_PAPER.replace("[[wall]]", '[cutting]\nfirst_walls = ["wall"]\n[[wall]]', 1)
    (part,) = job_of(text).parts

    assert part.scenario.cutting.first_walls == ("wall, filling", "wall, dado")
    assert check_text(planned(text)).holds


@pytest.mark.parametrize(
    ("lengths", "opened", "bought"),
    # 1650 + 1650 and 900 + 900; a new roll that must be bought holds all of it, and then none in hand is opened.
    [((3300, 1900), 2, 0), ((1900,), 1, 1), ((5100,), 1, 0), ((800,), 1, 1)],
)
def test_rolls_in_hand_for_one_band_serve_all_of_its_paper_and_the_fewest_are_bought(
    lengths: tuple[int, ...], opened: int, bought: int
) -> None:
    """The filling has rolls listed and the dado none: what is in hand goes first, though more rolls are opened."""
    rolls = "".join(
        f'[[band.roll]]\nlabel = "{label}"\nlength = {long}\n' for label, long in zip("AB", lengths, strict=False)
    )
    text = _with(rolls)
    (part,) = job_of(text).parts

    plan = make_plan(part.scenario.job, part.scenario.cutting)
    assert (plan.rolls_needed, plan.rolls_to_buy) == (opened, bought)
    assert (plan.job.bought_in(plan.value), plan.gap) == (bought, Fraction(0))
    assert check_text(planned(text)).holds


# The wall of above with a border 500 high at 1200, in the same paper laid along: one strip of 1000, cut 1050.
#
#   2400 ┌────────┬────────┐
#   1700 │────────┴────────│  crown, let in: the fillings are 1200 - 850 = 350 and 2400 - 1700 = 700 high,
#   1200 │────────┬────────│  cut 450 and 800: 2 × 1250 = 2500
#    850 ├────────┼────────┤
#    800 ├────────┼────────┤  dado 2 × 900 = 1800; with the strip of 1050 they are 5350, of a roll of 5350
#      0 └────────┴────────┘
CROWNED = """[[border]]
name = "crown"
foot = 1200
let_in = true
[border.paper]
name = "Reed"
roll_length = "5.35 m"
roll_width = 500
match = "free"
"""


def test_a_border_in_the_paper_of_its_wall_is_cut_from_the_same_rolls() -> None:
    """Bands and border are just a roll of 5350; apart they were two."""
    text = ONE_PAPER.replace("5.1 m", "5.35 m") + CROWNED
    (part,) = job_of(text).parts

    assert (part.name, part.what) == ("filling, dado and crown", "band and border")
    (plan,) = json.loads(planned(text))["plans"]
    assert (plan["rolls_needed"], plan["status"]) == (1, "optimal")
    assert "crown: strip 1: wall from 0 mm to 1000 mm" in part.scenario.notes
    assert check_text(planned(text)).holds


def test_borders_in_one_paper_are_cut_from_the_same_spool() -> None:
    """Two borders along 1000: twice 1050 of a spool of 5 m with a repeat of 180, where each by itself opens one."""
    border = '[[border]]\nname = "{}"\nfoot = {}\n[border.paper]\nname = "Rope"\nroll_length = "5 m"\n'
    border += 'roll_width = 100\nmatch = "18 cm"\n'
    text = ONE_PAPER + border.format("chair border", 900) + border.format("crown", 2200)

    (_, borders) = job_of(text).parts
    assert (borders.name, borders.what) == ("chair border and crown", "border")
    assert not borders.scenario.doubts, "a border may be 100 wide"
    assert [plan["rolls_needed"] for plan in json.loads(planned(text))["plans"]] == [1, 1]
    assert check_text(planned(text)).holds


def test_paper_that_cannot_be_shared_is_said_to_be_planned_apart(tmp_path: Path) -> None:
    """Of paper by the metre, in hand for one band and ordered for the other, what less might do is no proof."""
    metres = ONE_PAPER.replace('match = "free"', 'match = "free"\nsold_by = "m"')
    file = tmp_path / "room.toml"
    file.write_text(metres.replace('"m"\n[[band]]', '"m"\n[[band.roll]]\nlabel = "A"\n[[band]]'), encoding="utf-8")
    page = " ".join(run("plan", str(file)).stdout.split())

    assert "filling and dado are in one paper and planned apart: each figure is for one of them alone." in page
    assert "Together less might do, though never less than the greatest of them takes." in page


def test_numbered_sheets_for_two_bands_are_listed_as_not_proved() -> None:
    """Each band takes a sheet of a set of its own: whether one set might do for both is not known."""
    sheets = ONE_PAPER.replace('match = "free"', "[band.sheets]\ncount = 2\nfirst_motif = 100").replace(
        'way = "right"', 'way = "right"\nmotif_drop = 0'
    )
    text = sheets + '[lining]\nname = "lining 1000"\nroll_length = "10 m"\nroll_width = 560\n'
    document = run("plan", "-", "--json", given=text).stdout
    listed = {entry["part"]: entry["proved"] for entry in json.loads(document)["shopping"]["rolls"]}

    assert listed == {"lining": True, "filling": False, "dado": False}
    assert check_text(document).holds
    assert not check_text(document.replace('"proved": false', '"proved": true')).holds


def test_rolls_in_hand_for_bands_in_one_paper_are_there_for_all_of_them() -> None:
    """A roll of 3300 listed with the filling and one of 1800 with the dado; the same label twice is a slip."""
    filling = '[[band.roll]]\nlabel = "A"\nlength = 1900\n'
    dado = '[[band.roll]]\nlabel = "B"\nlength = 3300\n'
    text = ONE_PAPER.replace('match = "free"\n[[band]]', f'match = "free"\n{filling}[[band]]') + dado

    (part,) = job_of(text).parts
    assert [lot.label for lot in part.scenario.job.rolls] == ["A", "B"]
    assert make_plan(part.scenario.job, part.scenario.cutting).rolls_needed == 2
    assert check_text(planned(text)).holds
    (said,) = faults_of(text.replace('"B"', '"A"'))
    assert "is used by an earlier entry" in said


def test_what_falls_out_of_one_band_serves_in_another() -> None:
    """On 1300 the third strips are 300 wide. A window 400 wide leaves 1300 of a strip of the filling: a dado's 900.

    Three cuts of 1650 and two of 900 are 6750, just a roll; without what falls out the third of 900 opens another.
    """
    window = '[[wall.opening]]\nkind = "window"\nleft = 0\nwidth = 400\nfoot = 1000\nheight = 1300\n[[rail]]'
    text = ONE_PAPER.replace("[[rail]]", window, 1).replace("width = 1000", "width = 1300", 1)
    text = text.replace("5.1 m", "6.75 m")

    (plan,) = json.loads(planned(text))["plans"]
    assert (plan["rolls_needed"], plan["without_offcuts"]["rolls_needed"]) == (1, 2)
    cut_out = next(roll for roll in plan["rolls"] if roll["roll"] == "cut-out of filling 1")
    assert [cut["drop"] for cut in cut_out["cuts"]] == ["dado 3"]
    assert check_text(planned(text)).holds


def test_a_strip_that_goes_round_a_corner_uncut_belongs_to_the_wall_that_it_is_hung_on_first() -> None:
    """To the left of the start strips are hung from the right: that over the corner is first on the right wall."""
    corner = 'corner = "external"\ntrue_corner = true'
    two = f'[[wall]]\nname = "before"\nwidth = 750\nheight = 2400\n{corner}\n[[wall]]'
    text = ONE_PAPER.replace("width = 1000", "width = 1200", 1).replace("[[wall]]", two, 1)
    text = text.replace('way = "right"', 'way = "left"').replace("at = 0", "at = 1200")

    (part,) = job_of(text).parts
    dado = [drop.wall for drop in part.scenario.job.drops if drop.label.startswith("dado")]
    # From 1200 to 700, to 200, and to 300 round the corner: what hangs there begins on the wall with 200 of it.
    assert dado == ["wall, dado", "wall, dado", "wall, dado", "before, dado"]
    assert check_text(planned(text)).holds


def _in_one_paper(text: str) -> str:
    papers = re.findall(r"\[band\.paper\]\n(?:[a-z_]+ = .*\n)+", text)
    return re.sub(r"\[band\.paper\]\n(?:[a-z_]+ = .*\n)+", papers[0], text) if papers else text


@pytest.mark.parametrize("seed", [seed for seed in range(14) if parted_room(seed).count("[band.paper]") > 1])
def test_bands_of_random_rooms_in_one_paper_never_need_more_rolls_than_apart(seed: int) -> None:
    """Whatever the walls, all bands of a paper are one job, as good as each by itself or better, and judged to hold."""
    text = _in_one_paper(parted_room(seed))
    try:
        document = planned(text)
    except ScenarioError:
        pytest.skip("a border that this room has no place for")
    job = job_of(text)
    pooled = {plan["part"]: plan["rolls_needed"] for plan in json.loads(document)["plans"]}

    for part in job.parts:
        if part.sharing:
            assert pooled[part.name] <= sum(
                make_plan(band.scenario.job, band.scenario.cutting).rolls_needed for band in part.sharing
            )
    report = check_text(document)
    assert report.holds, report.violations


def test_each_band_of_one_paper_keeps_its_address_and_its_places_to_start(tmp_path: Path) -> None:
    """Plan, buy, draw, sheet and the record go by the paper's part; compare and pictures by each band."""
    file = tmp_path / "room.toml"
    file.write_text(ONE_PAPER, encoding="utf-8")
    both = f"{file}/filling and dado"

    page = run("plan", str(file)).stdout
    assert "In the order in which they hang: filling and dado." in page
    assert f'cutplan plan "{both}"' in " ".join(page.split())
    alone = " ".join(run("plan", f"{file}/dado").stdout.split())
    assert f"for the plan of all, {both}" in alone
    assert run("done", both, "1-3").exit_code == 0
    record = tmp_path / "room.filling and dado.record.jsonl"
    assert check_text(record.read_text(encoding="utf-8")).holds
    assert "filling 1" in run("status", both).stdout
    # On the whole wall each band has its own numbers, for the names of bands do not fit into narrow strips.
    assert run("draw", str(file)).stdout.count(">2</text>") == 2
    compared = run("compare", str(file), "--json")
    assert [each["part"] for each in json.loads(compared.stdout)["compares"]] == ["filling", "dado"]


# A wall of 1700 with a window: what a start saves depends on what the other band leaves of its rolls.
STARTED = """units = "mm"
[[wall]]
name = "wall"
width = 1700
height = 2400
[[wall.opening]]
kind = "window"
left = 700
width = 600
foot = 1000
height = 900
[[rail]]
name = "rail"
foot = 800
height = 50
[start]
wall = "wall"
at = 250
puts = "joint"
motif_drop = 0
[[band]]
name = "filling"
above = "rail"
{filling}[band.paper]
name = "Reed"
roll_length = "5 m"
roll_width = 500
match = "400/200"
[[band]]
name = "dado"
below = "rail"
{dado}[band.trim]
top = 20
bottom = 30
[band.paper]
name = "Reed"
roll_length = "5 m"
roll_width = 500
match = "400/200"
"""
IN_HAND = "".join(f'[[band.roll]]\nlabel = "{name}"\nfirst_motif = {at}\n' for name, at in (("A", 90), ("B", 310)))


@pytest.mark.parametrize("stock", ["", IN_HAND])
@pytest.mark.parametrize("band", ["filling", "dado"])
def test_places_compared_for_a_band_count_what_the_plan_of_all_counts(band: str, stock: str) -> None:
    """Wherever a band is started, its rolls are cut for the other band too, which stays where it is."""
    hung = {"filling": "", "dado": "", band: stock}
    scenario = next(part.scenario for part in job_of(STARTED.format(**hung)).single if part.name == band)
    assert scenario.setting_out is not None
    found = cutplan.compare(
        scenario.setting_out,
        scenario.of_all.job_to_order,
        cutplan.focus_of(scenario.setting_out),
        step=Fraction(50),
        beside=scenario.beside,
    )

    tried = 0
    for each in (found.own, *found.front):
        lines = start_lines(scenario.setting_out.room, each.placement, scenario.setting_out.way, "mm", "band.")
        moved = STARTED.format(**{**hung, band: "\n".join(lines) + "\n" + stock})
        (all_of_it,) = job_of(moved).parts
        plan = make_plan(all_of_it.scenario.job, all_of_it.scenario.cutting)
        assert each.proved is not None
        value = plan.rolls_to_buy if plan.job.buys_beside_hand else plan.value
        assert (each.proved.value, each.proved.is_proved) == (value, plan.value == plan.proof.bound)
        tried += 1
    assert tried > 1
    alone = make_plan(scenario.job, scenario.cutting)
    assert found.own.proved is not None
    assert stock or found.own.proved.value > alone.value, "the other band counts"


def test_bands_of_one_paper_are_told_apart_in_the_document() -> None:
    """The document lists of each band its ordinary scenario and where its drops hang, called as they are cut."""
    (part,) = json.loads(planned(ONE_PAPER))["parts"]

    assert [band["band"] for band in part["bands"]] == ["filling", "dado"]
    assert [piece["drop"] for piece in part["bands"][1]["setting_out"]["pieces"]] == ["dado 1", "dado 2"]
    assert all("wall" in band["scenario"] for band in part["bands"])


# The judge

MATCHED = ONE_PAPER.replace('match = "free"', 'match = "400"').replace('way = "right"', 'way = "right"\nmotif_drop = 0')


def _plan(document: Any) -> Any:  # noqa: ANN401 - JSON
    return document["plans"][0]


def _bands(document: Any) -> Any:  # noqa: ANN401 - JSON
    return document["parts"][0]["bands"]


def _missing_drop(document: Any) -> None:  # noqa: ANN401
    del _plan(document)["scenario"]["drop"][3]


def _shorter(document: Any) -> None:  # noqa: ANN401
    _plan(document)["scenario"]["drop"][2]["height"] = "790 mm"


def _print(document: Any) -> None:  # noqa: ANN401
    _plan(document)["scenario"]["drop"][2]["first_motif"] = "20 mm"


def _swapped(document: Any) -> None:  # noqa: ANN401
    drops = _plan(document)["scenario"]["drop"]
    drops[0], drops[2] = drops[2], drops[0]


def _paper(document: Any) -> None:  # noqa: ANN401
    _plan(document)["scenario"]["paper"]["price"] = 3


def _stock(document: Any) -> None:  # noqa: ANN401
    _plan(document)["scenario"]["roll"] = [{"label": "A", "count": 9}]


def _left_out(document: Any) -> None:  # noqa: ANN401
    del _bands(document)[1]


def _lower(document: Any) -> None:  # noqa: ANN401
    document["scenario"]["rail"][0]["foot"] = 810


def _trim(document: Any) -> None:  # noqa: ANN401
    _plan(document)["scenario"]["drop"][2]["trim"] = {"top": "20 mm", "bottom": "50 mm"}


def _off_the_joint(document: Any) -> None:  # noqa: ANN401
    _bands(document)[0]["setting_out"]["columns"][0]["panels"][0]["to"] = "490"


def _off_the_print(document: Any) -> None:  # noqa: ANN401
    (cut,) = (cut for roll in _plan(document)["rolls"] for cut in roll["cuts"] if cut["drop"] == "filling 2")
    cut |= {key: cut[key] - 20 for key in ("from_mm", "to_mm")} | {
        key: str(int(cut[key]) - 20) for key in ("from", "to")
    }
    _bands(document)[0]["setting_out"]["pieces"][1]["first_motif"] = "20"
    _plan(document)["scenario"]["drop"][1]["first_motif"] = "20 mm"


def _beyond_the_strip(document: Any) -> None:  # noqa: ANN401
    _bands(document)[1]["setting_out"]["pieces"][0]["paper_from"] = "-1"


@pytest.mark.parametrize(
    ("plant", "said"),
    [
        (_beyond_the_strip, "is said to need 1 mm more than the strip has"),
        (_missing_drop, "is not one of its parts"),
        (_shorter, "is another than hangs on the wall"),
        (_print, "is another than hangs on the wall"),
        (_trim, "is another than hangs on the wall"),
        (_swapped, "not listed part after part"),
        (_paper, "paper of its plan is not that"),
        (_stock, "roll of its plan is not what its parts have together"),
        (_left_out, "is not one of its parts"),
        (_lower, "10 mm off"),
        (_off_the_joint, "filling: "),
        (_off_the_print, "filling: "),
    ],
)
def test_the_judge_refuses_a_fault_in_each_rule_of_shared_rolls(plant: Callable[[Any], None], said: str) -> None:
    """Every drop is its band's, as it hangs there; paper and rolls are those of every band."""
    document = deepcopy(json.loads(planned(MATCHED)))
    plant(document)

    report = check_text(json.dumps(document))

    assert any(said in broken.line() for broken in report.violations), report.violations


def _strip_shorter(document: Any) -> None:  # noqa: ANN401
    _bands(document)[2]["strips"][0]["stretches"][0]["right"] = "990"


def _border_is_band(document: Any) -> None:  # noqa: ANN401
    _bands(document)[2]["kind"] = "band"


def _strip_of_another(document: Any) -> None:  # noqa: ANN401
    _plan(document)["scenario"]["drop"][-1]["wall"] = "wall, dado"


@pytest.mark.parametrize(
    ("plant", "said"),
    [
        (_strip_shorter, "10 mm off the length that it covers"),
        (_border_is_band, "is no band of this room"),
        (_strip_of_another, "is another than hangs on the wall"),
    ],
)
def test_the_judge_refuses_a_fault_of_a_border_that_shares_rolls(plant: Callable[[Any], None], said: str) -> None:
    """A border among bands is judged as any border, and its strips are drops of the shared plan."""
    document = deepcopy(json.loads(planned(ONE_PAPER.replace("5.1 m", "5.35 m") + CROWNED)))
    plant(document)

    report = check_text(json.dumps(document))
    assert any(said in broken.line() for broken in report.violations), report.violations


def _dear(document: Any) -> None:  # noqa: ANN401
    _plan(document)["scenario"]["roll"][0]["price"] = 1


def _cheap(document: Any) -> None:  # noqa: ANN401
    _plan(document)["scenario"]["roll"][-1]["price"] = 2


def _long(document: Any) -> None:  # noqa: ANN401
    _plan(document)["scenario"]["roll"][-1]["length"] = "5200 mm"


def _none_bought(document: Any) -> None:  # noqa: ANN401
    del _plan(document)["scenario"]["roll"][-1]["count"]


@pytest.mark.parametrize(
    ("plant", "said"),
    [
        (_dear, "roll of its plan is not what its parts have together"),
        (_cheap, "the rolls to be bought are not those of its paper"),
        (_long, "the rolls to be bought are not those of its paper"),
        (_none_bought, "the rolls to be bought are not those of its paper"),
    ],
)
def test_the_judge_refuses_rolls_that_are_neither_in_hand_nor_as_sold(plant: Callable[[Any], None], said: str) -> None:
    """What is in hand costs nothing, and what is bought is as long and as dear as the paper says."""
    document = deepcopy(json.loads(planned(_with('[[band.roll]]\nlabel = "A"\nlength = 1900\n'))))
    plant(document)

    report = check_text(json.dumps(document))
    assert any(said in broken.line() for broken in report.violations), report.violations
