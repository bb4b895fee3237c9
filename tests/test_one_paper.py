"""Bands in one and the same paper: cut from the same rolls, proved as one job, and judged on the wall band by band."""

from __future__ import annotations

import json
import re
from copy import deepcopy
from typing import TYPE_CHECKING, Any

import pytest

from cutplan.check import check_text
from cutplan.errors import ScenarioError
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

    assert (part.name, [band.name for band in part.bands]) == ("filling and dado", ["filling", "dado"])
    assert [drop.label for drop in part.scenario.job.drops] == ["filling 1", "filling 2", "dado 1", "dado 2"]
    assert [drop.wall for drop in part.scenario.job.drops] == ["wall, filling"] * 2 + ["wall, dado"] * 2
    (plan,) = json.loads(planned(ONE_PAPER))["plans"]
    assert (plan["rolls_needed"], plan["lower_bound"], plan["status"]) == (1, 1, "optimal")
    assert [make_plan(band.scenario.job, band.scenario.cutting).rolls_needed for band in part.bands] == [1, 1]
    assert check_text(planned(ONE_PAPER)).holds


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


@pytest.mark.parametrize(
    ("written", "instead"),
    [
        ('name = "Reed"', 'name = "Rush"'),
        ('match = "free"\n[[band]]', 'match = "free"\n[band.trim]\ntop = 20\n[[band]]'),
        ('match = "free"\n[[band]]', 'match = "free"\n[[band.roll]]\nlabel = "A"\n[[band]]'),
    ],
)
def test_bands_in_other_papers_or_cut_otherwise_have_rolls_of_their_own(written: str, instead: str) -> None:
    """Another paper, another trim, or rolls in hand for one of them alone; of one paper that is said."""
    job = job_of(ONE_PAPER.replace(written, instead, 1))

    assert [part.name for part in job.parts] == ["filling", "dado"]
    is_one = all(part.scenario.job.paper == job.parts[0].scenario.job.paper for part in job.parts)
    assert any("rolls of its own" in note for part in job.parts for note in part.scenario.notes) == is_one


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
        if part.bands:
            assert pooled[part.name] <= sum(
                make_plan(band.scenario.job, band.scenario.cutting).rolls_needed for band in part.bands
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


def _off_the_joint(document: Any) -> None:  # noqa: ANN401
    _bands(document)[0]["setting_out"]["columns"][0]["panels"][0]["to"] = "490"


def _off_the_print(document: Any) -> None:  # noqa: ANN401
    (cut,) = (cut for roll in _plan(document)["rolls"] for cut in roll["cuts"] if cut["drop"] == "filling 2")
    cut |= {key: cut[key] - 20 for key in ("from_mm", "to_mm")} | {
        key: str(int(cut[key]) - 20) for key in ("from", "to")
    }
    _bands(document)[0]["setting_out"]["pieces"][1]["first_motif"] = "20"
    _plan(document)["scenario"]["drop"][1]["first_motif"] = "20 mm"


@pytest.mark.parametrize(
    ("plant", "said"),
    [
        (_missing_drop, "is not one of its bands"),
        (_shorter, "is another than hangs on the wall"),
        (_print, "is another than hangs on the wall"),
        (_swapped, "not listed band after band"),
        (_paper, "paper of its plan is not that"),
        (_stock, "roll of its plan is not what its bands have together"),
        (_left_out, "is not one of its bands"),
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
