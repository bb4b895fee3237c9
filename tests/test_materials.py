"""Materials: packs by area and label, size as usual, filler by joints, days of drying, and a job's shopping list."""

from __future__ import annotations

import json
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING

import pytest
from typer.testing import CliRunner

from cutplan.check import PlanUnreadable, check_text
from cutplan.cli import load
from cutplan.cli.app import app
from cutplan.faults import ScenarioError
from cutplan.materials.material import SQUARE_METRE, USUAL_SIZE, Material, Use, packs_of
from cutplan.materials.surfaces import area_cut, area_of
from cutplan.parts.shopping import rolls_planned, shopping_list
from cutplan.plan.order import CuttingHabit
from cutplan.render.pages.shopping_page import packs_line
from cutplan.solve import make_plan
from parted_rooms import parted_room
from parts_planned import job_of
from sessions import REPOSITORY, printed, sessions, shows
from small_rooms import opening, run, wall
from test_lining_judged import SCENARIOS, lining_of, room
from test_verdicts import kept

if TYPE_CHECKING:
    from pathlib import Path

LINED = str(SCENARIOS / "parts" / "lined-room.toml")
MATERIALS = """
[[material]]
name = "tub paste"
use = "paste"
covers = "10 m2"
pack = "tub"
price = 5
[[material]]
name = "filler"
use = "filler"
covers = "6 m"
"""


def paste(covers: Fraction | None, area: int) -> tuple[int | None, int | None, int]:
    """Return packs to buy, packs by the label, and packs that may go back, for an area in square metres."""
    packs = packs_of(Material("paste", Use.PASTE, covers), ("paper",), area * SQUARE_METRE)
    return packs.buy, packs.by_label, packs.returned


def test_paste_is_bought_as_it_is_used_and_not_as_packets_promise() -> None:
    """40 m2 at 10 a tub: 4 by the label, but 1.2 times as much is used, 4.8: 5, of which 1 may go back."""
    assert paste(10 * SQUARE_METRE, 40) == (5, 4, 1)
    assert paste(48 * SQUARE_METRE, 40) == (1, 1, 0)


def test_spread_that_nobody_has_read_is_asked_for_and_not_invented() -> None:
    """Paste without a label's figure has no number of packs."""
    assert paste(None, 40) == (None, None, 0)


def test_size_that_nobody_has_read_is_taken_as_it_usually_is_and_said_so() -> None:
    """5 l of size cover the wall for 8 rolls, about 43 m2 (DIY reference, UK): 44 m2 take two packets."""
    packs = packs_of(Material("size", Use.SIZE), (), 44 * SQUARE_METRE)

    assert packs.covers == USUAL_SIZE
    assert packs.is_practice
    assert packs.buy == 2


def test_wall_is_measured_without_its_openings_and_with_its_reveals() -> None:
    """3.00 x 2.40 is 7.2 m2; a window of 1.0 x 1.2 takes 1.2 off, its reveal of 0.1 adds 0.1 x (2 x 1.2 + 1.0)."""
    walls = run(wall(3000, opening(500, 1500, 800, 2000, reveal=100, kind="window")))

    assert area_of(walls) == Fraction("6.34") * SQUARE_METRE
    assert area_of(run(wall(2000, top=[(0, 2400), (2000, 2000)]))) == Fraction("4.4") * SQUARE_METRE


def test_all_of_a_piece_is_pasted_with_its_allowances_and_ripped_pieces_as_ripped() -> None:
    """Four courses 560 and one 160 wide on 3 m, each 2994 and 25 at either end: 3.044 x (4 x 0.56 + 0.154)."""
    job = lining_of(room(3000)).scenario.job

    assert area_cut(job) == Fraction("3.044") * (4 * Fraction("0.56") + Fraction("0.154")) * SQUARE_METRE


def test_list_has_every_part_and_every_material_with_what_it_is_for() -> None:
    """On 3 m: 4 joints of 2.994 m between courses are 11.976 m, two packs of 6 m."""
    job = room(3000, lining=MATERIALS)
    plans = [rolls_planned(part, make_plan(part.scenario.job, CuttingHabit())) for part in job.parts]

    listed = shopping_list(job, plans)
    assert [(rolls.part.name, rolls.buy, rolls.is_proved) for rolls in listed.rolls] == [
        ("lining", 2, True), ("paper", 2, True),
    ]  # fmt: skip
    pasted, filled = listed.packs
    assert pasted.parts == ("lining", "paper")
    assert filled.parts == ("lining",)
    assert filled.amount == 4 * 2994
    assert filled.buy == 2
    assert listed.cost is None


def test_paste_stands_on_the_list_of_a_lined_room_that_names_none() -> None:
    """Its label is asked for, and no figure is invented."""
    (packs,) = shopping_list(room(3000), []).packs

    assert packs.material.use is Use.PASTE
    assert packs.buy is None


# A wall of 12000 with a rail at 900: a lining keeps damp back up to 600, so that only the dado hangs over it.
DAMP_DADO = """units = "mm"
[[wall]]
name = "wall"
width = 12000
height = 2400
[start]
at = 0
puts = "joint"
[lining]
roll_length = "20.1 m"
roll_width = 560
[[damp_lining]]
roll_length = "10 m"
roll_width = 500
adhesive = "pitch glue"
part = [{ wall = "wall", width = 2000, height = 600 }]
[[rail]]
name = "rail"
foot = 900
[[band]]
name = "filling"
above = "rail"
[band.paper]
roll_length = "10.05 m"
roll_width = 530
match = "free"
[[band]]
name = "dado"
below = "rail"
[band.paper]
roll_length = "10.05 m"
roll_width = 600
match = "free"
[[material]]
name = "tub paste"
use = "paste"
on = ["dado"]
covers = "20 m2"
"""


def test_what_hangs_over_a_damp_lining_takes_its_adhesive_as_far_as_it_reaches() -> None:
    """The lining and the dado hang over all of it, 2000 less 3 by 600 less 3 at its edges; the filling over nothing."""
    damp = next(part for part in job_of(DAMP_DADO).parts if part.name == "damp-lining")
    _, glue, _ = shopping_list(job_of(DAMP_DADO), []).packs

    assert glue.material.name == "pitch glue"
    assert glue.amount - area_cut(damp.scenario.job) == 2 * 1997 * 597
    assert "to hang damp-lining and what goes over it" in packs_line(glue, "mm")
    assert check_text(listed(DAMP_DADO)).holds


def test_a_part_that_nothing_named_is_for_has_its_paste_asked_for() -> None:
    """The paste that is named is for the dado alone: lining and filling are pasted too."""
    tub, _, paste_to_read = shopping_list(job_of(DAMP_DADO), []).packs

    assert tub.parts == ("dado",)
    assert (paste_to_read.parts, paste_to_read.buy) == (("lining", "filling"), None)
    assert "goes over" not in packs_line(tub, "mm")


def test_a_length_along_a_long_wall_is_not_doubted_as_a_height_would_be() -> None:
    """A length of lining on 12 m is as long as the wall."""
    lining = next(part for part in job_of(DAMP_DADO).parts if part.name == "lining")

    assert max(drop.height for drop in lining.scenario.job.drops) > 10_000
    assert not lining.scenario.doubts


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ('use = "paste"\ncovers = "40"', "covers"),
        ('use = "paste"\ncovers = "40 m"', "covers"),
        ('use = "filler"\ncovers = "40 m2"', "covers"),
        ('use = "soap"', "use"),
        ('use = "paste"\non = ["ceiling"]', "on"),
        ('use = "paste"\non = []', "on"),
        ('use = "paste"\non = "paper"', "on"),
        ('use = "paste"\ncovers = "1,234 m2"', "covers"),
    ],
)
def test_faults_of_materials_are_told_at_their_keys(wrong: str, said: str) -> None:
    """An area for what is spread, a length for what fills joints; parts that the job has."""
    with pytest.raises(ScenarioError) as raised:
        room(3000, lining=f'[[material]]\nname = "tub"\n{wrong}')

    assert f'material["tub"].{said}' in "\n".join(raised.value.lines())


def test_parts_begin_when_what_they_hang_over_is_dry_and_an_earlier_day_is_refused() -> None:
    """The lining is done on day 4 and dry on day 5 after 8 o'clock: the paper begins on day 6, and not on day 5."""
    load(["plan"])
    result = CliRunner().invoke(app, ["plan", LINED, "--json"])
    document = json.loads(result.stdout)

    assert [turn["day"] for turn in document["days"]] == [1, 3, 6]
    assert check_text(result.stdout).holds
    document["days"][2]["day"] = 5
    (broken,) = check_text(json.dumps(document)).violations
    assert broken.rule == "days"


def test_day_that_is_left_out_or_told_twice_is_refused() -> None:
    """Where days are told, each part has one: to leave out the last would hide that it waits for the lining."""
    load(["plan"])
    document = json.loads(CliRunner().invoke(app, ["plan", LINED, "--json"]).stdout)
    days = document["days"]

    for told, said in ((days[:-1], "has 0 days, and must have one"), ([*days, days[-1]], "has 2 days")):
        broken = check_text(json.dumps({**document, "days": told})).violations
        assert any(each.rule == "days" and said in each.line() for each in broken)


def test_days_rest_on_exact_times_that_are_told() -> None:
    """Without them what is hung would count from midnight, and the paper could hang on the day of its lining."""
    document = json.loads(kept("closed-lining"))
    for act in document["plans"][0]["timetable"]:
        del act["begin"]
    document["days"][1]["day"] = 1

    with pytest.raises(PlanUnreadable, match=r"timetable\[1\]\.begin: is missing"):
        check_text(json.dumps(document))


def test_page_of_the_lined_room_ends_with_list_and_days(monkeypatch: pytest.MonkeyPatch) -> None:
    """As docs/lining.md shows it: quantities, what they are for, and what is to be read from a label still."""
    monkeypatch.chdir(REPOSITORY)
    ((command, shown),) = sessions((REPOSITORY / "docs" / "lining.md").read_text(encoding="utf-8"))

    page = printed(command)
    assert shows(shown, page)
    assert "pitch adhesive: to hang damp-lining and what goes over it" in page
    assert all(len(line) <= 80 for line in page.splitlines())


def test_sheet_of_a_part_lists_what_it_is_hung_with(tmp_path: Path) -> None:
    """The sheet of what keeps damp back asks for its adhesive's label; that of the lining has paste and filler."""
    load(["sheet"])
    file = str(tmp_path / "job.html")

    assert CliRunner().invoke(app, ["sheet", LINED, "-o", file]).exit_code == 0
    damp, lining = ((tmp_path / f"job-{part}.html").read_text(encoding="utf-8") for part in ("damp-lining", "lining"))
    assert "pitch adhesive" in damp
    assert "tub paste" not in damp
    assert "tub paste" in lining
    assert "fine filler" in lining


# The judge

SMALL = """units = "mm"
[paper]
roll_length = "10 m"
roll_width = 500
match = "free"
price = 20
[lining]
name = "lining 1000"
roll_length = "10 m"
roll_width = 560
price = 9
[[damp_lining]]
name = "pitch lining"
roll_length = "10 m"
roll_width = 500
adhesive = "pitch adhesive"
part = [{ wall = "wall", height = 1000 }]
[[material]]
name = "tub paste"
use = "paste"
covers = "10 m2"
price = 5
[[material]]
name = "size"
use = "size"
[[material]]
name = "filler"
use = "filler"
covers = "6 m"
[[wall]]
name = "wall"
width = 1500
height = 2400
[[wall.opening]]
kind = "window"
left = 500
width = 400
foot = 900
height = 900
reveal = 100
[start]
at = 0
puts = "joint"
"""
FILLED = """
[[material]]
name = "joint filler"
use = "filler"
on = ["lining", "paper"]
covers = "60 m"
"""


@cache
def listed(text: str) -> str:
    """Return the document of the plans and the shopping list of a job, judged to hold."""
    load(["plan"])
    result = CliRunner().invoke(app, ["plan", "-", "--json"], input=text)
    report = check_text(result.stdout)
    assert report.holds, report.violations
    return result.stdout


def test_the_judge_works_the_shopping_list_out_again() -> None:
    """Areas, joints, packs and rolls: nothing of the list is taken on trust."""
    report = check_text(listed(SMALL))

    assert any("shopping list: rolls of 3 parts by their plans, and 4 materials" in fact for fact in report.facts)
    assert not any("shopping" in trusted for trusted in report.trusted)


@pytest.mark.parametrize(
    ("kind", "key", "value"),
    [
        ("rolls", "rolls", 5),
        ("rolls", "in_hand", 1),
        ("rolls", "returned", 1),
        ("rolls", "proved", False),
        ("rolls", "cost", "1"),
        ("rolls", "part", "attic"),
        *(("materials", key, "7") for key in ("amount", "covers", "packs", "by_label", "cost")),
        ("materials", "parts", ["paper"]),
        ("materials", "use", "filler"),
        ("materials", "common_practice", True),
        ("materials", "material", "soap"),
    ],
)
def test_a_fault_in_each_figure_of_the_shopping_list_is_refused(kind: str, key: str, value: object) -> None:
    """One figure of a list that holds is another, of its second part or of its paste."""
    document = json.loads(listed(SMALL))
    document["shopping"][kind][1 if kind == "rolls" else 0][key] = value

    assert {broken.rule for broken in check_text(json.dumps(document)).violations} == {"shopping"}


BY_THE_METRE = """
[[border]]
name = "rope"
foot = 2300
[border.paper]
roll_length = "10 m"
roll_width = 60
match = "free"
sold_by = "m"
price = 2
price_per = "m"
"""
ORDERED = {"part": "rope", "rolls": 0, "in_hand": 0, "returned": 0, "proved": True, "cost": "4.00", "length": "2000"}


def test_border_by_the_metre_is_listed_by_its_length() -> None:
    """1500 along the wall and 25 at either end are 1550: 2 m at 2 a metre, and no shorter order is certain."""
    document = json.loads(listed(f"{SMALL}{BY_THE_METRE}"))

    assert document["shopping"]["rolls"][-1] == ORDERED
    others = {"rolls": 1, "in_hand": 1, "returned": 1, "proved": False, "cost": "2.00", "length": "1550"}
    for key, value in others.items():
        document["shopping"]["rolls"][-1] = {**ORDERED, key: value}
        assert [broken.rule for broken in check_text(json.dumps(document)).violations] == ["shopping"]


@pytest.mark.parametrize(("written", "packs"), [("0,5 m", 15), ("٠.٥ m", 15), ("1 ft", 25)])
def test_what_a_pack_covers_may_be_written_with_a_comma_and_in_any_digits(written: str, packs: int) -> None:
    """As any length: the judge reads it as the reader did; the joints that are filled are 7.492 m long."""
    materials = json.loads(listed(SMALL.replace('"6 m"', f'"{written}"')))["shopping"]["materials"]

    assert [each["packs"] for each in materials if each["use"] == "filler"] == [packs]


@pytest.mark.parametrize("written", ["0 m", "1.2.3 m", "1,234 m", "60", "m"])
def test_what_no_pack_covers_is_told_by_the_judge(written: str) -> None:
    """Nothing, no number, a comma that may part thousands, no unit."""
    document = json.loads(listed(SMALL))
    document["scenario"]["material"][-1]["covers"] = written

    with pytest.raises(PlanUnreadable, match="as what a pack covers"):
        check_text(json.dumps(document))


@pytest.mark.parametrize("turns", [(1, 0), (0, 0, 1)], ids=["turned", "doubled"])
def test_rolls_of_each_part_are_told_once_and_in_turn(turns: tuple[int, ...]) -> None:
    """A list that tells of one part twice would be bought twice."""
    document = json.loads(listed(SMALL))
    rolls = document["shopping"]["rolls"]
    document["shopping"]["rolls"] = [*(rolls[turn] for turn in turns), *rolls[2:]]

    (broken,) = check_text(json.dumps(document)).violations
    assert broken.rule == "shopping"
    assert "in turn, and others are listed" in broken.message


@pytest.mark.parametrize("number", range(4))
def test_the_amount_of_each_use_is_worked_out_again(number: int) -> None:
    """Paste by what is cut, size by the walls, filler by joints, adhesive by what keeps damp back and is over it."""
    document = json.loads(listed(SMALL))
    entry = document["shopping"]["materials"][number]
    entry["amount"] = f"{entry['amount']}1"

    (broken, *_) = check_text(json.dumps(document)).violations
    assert broken.where == entry["material"]
    assert "amount says" in broken.message


def test_how_long_joints_of_paper_are_is_worked_out_again() -> None:
    """Joints at 500 and 1000 on 2400: the first runs along the window, 900 high, where nothing is to be filled."""
    document = json.loads(
        listed(SMALL.replace("[[wall]]", f"{FILLED}[[wall]]").replace('["lining", "paper"]', '["paper"]'))
    )
    filler = document["shopping"]["materials"][3]

    assert filler["amount"] == "3900"
    assert not any("joint" in trusted for trusted in check_text(json.dumps(document)).trusted)
    filler["amount"] = "4800"
    (broken, *_) = check_text(json.dumps(document)).violations
    assert "amount says 4800, and it comes to 3900" in broken.message


@pytest.mark.parametrize("seed", range(4))
def test_joints_of_random_rooms_are_as_long_by_the_judge(seed: int) -> None:
    """Closed rooms and open ones, slopes and openings: the judge reckons from what hangs, and finds the same."""
    filler = '\n[[material]]\nname = "filler"\nuse = "filler"\ncovers = "50 m"\n'
    text = parted_room(seed)
    on = [part.name for part in job_of(text).single_bands]
    (entry, _) = json.loads(listed(f"{text}{filler}on = {json.dumps(on)}"))["shopping"]["materials"]

    assert entry["parts"] == on
    assert 0 < Fraction(entry["amount"]) < sum(3000 * part.scenario.job.drop_count for part in job_of(text).parts)
