"""Every figure on the pages of what is sold, and on the customer's page, worked out again from the plan file."""

from __future__ import annotations

import json
import re
from collections import Counter
from fractions import Fraction
from math import ceil, floor
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import pytest
from typer.testing import CliRunner

from cutplan.cli.all_commands import app
from cutplan.comparing.comparison import compare
from cutplan.comparing.placements import focus_of
from cutplan.plan.order import CuttingHabit
from cutplan.render.documents.comparing_document import comparison_document
from cutplan.render.documents.plan_document import plan_document, plan_text
from cutplan.render.sheet.customer_page import customer_sheet
from cutplan.scenario.read import parse_scenario
from cutplan.solve import make_plan

if TYPE_CHECKING:
    from collections.abc import Iterator

ROOM: Final = """\
units = "mm"
[paper]
name = "Sallow leaf"
roll_length = "10.05 m"
roll_width = 530
match = "64/32 cm"
{sold}
[[wall]]
name = "north"
width = 4200
height = 2600
[start]
at = "middle"
puts = "joint"
motif_drop = 100
"""
DROPS, CUT, REPEAT, ROLL = 8, 2700, 640, 10050
"""Columns of 530 on 4200, begun in the middle: four on either side; each 2600 high with trims of 50."""


def said(path: Path, *words: str) -> str:
    """Return what a command prints about a scenario."""
    ran = CliRunner().invoke(app, [words[0], str(path), *words[1:]])
    assert ran.exit_code == 0, ran.output
    return ran.stdout


def figures(page: str) -> set[str]:
    """Return every figure on a page."""
    return set(re.findall(r"(?<![\w-])\d+(?:\.\d+)?", page))


def two_places(amount: Fraction) -> str:
    """Return an amount as it is printed, with two places."""
    return f"{float(amount):.2f}"


# Packets, doubles, and both


@pytest.mark.parametrize(
    ("packet", "singles", "price_per", "price"),
    [(2, 1, "packet", 168), (2, 2, "single", 45), (1, 3, "roll", None)],
)
def test_every_figure_of_packets_follows_from_the_files(
    tmp_path: Path, packet: int, singles: int, price_per: str, price: int | None
) -> None:
    """What to ask for and what it costs, the table of certain rolls, short rolls, and the rules of thumb."""
    path = tmp_path / "room.toml"
    keys = [f"packet = {packet}"] * (packet > 1) + [f"singles = {singles}"] * (singles > 1)
    keys += [f'price = {price}\nprice_per = "{price_per}"'] * (price is not None)
    path.write_text(ROOM.format(sold="\n".join(keys)))
    plan, answer = (json.loads(said(path, command, "--json")) for command in ("plan", "buy"))
    rolls = sum(roll["count"] for roll in plan["rolls"])
    packets = ceil(Fraction(rolls, packet))
    bought = packets * packet
    of_one = Fraction(price or 0) * {"packet": Fraction(1, packet), "single": Fraction(singles)}.get(
        price_per, Fraction(1)
    )
    cost = two_places(bought * of_one)
    named = f"{bought} {({1: 'roll', 2: 'double', 3: 'triple'})[singles]}s"
    inner = ", ".join([named] * (packet > 1) + [f"{bought * singles} singles"] * (singles > 1))
    asked = f"{packets} packet{'s' * (packets > 1)} ({inner})" if packet > 1 else f"{named} ({inner})"

    page = said(path, "plan").partition("Cutting sequence")[0]
    assert f"To buy: {asked}{f', {cost} in all' if price else ''}." in " ".join(page.split())
    rows = re.findall(r"^(roll-\d)  ([\d, ]+?)  +(\d+) mm  +(\d+) mm$", page, re.MULTILINE)
    assert [row[0] for row in rows] == [roll["roll"] for roll in plan["rolls"]]
    for row, roll in zip(rows, plan["rolls"], strict=True):
        end = roll["cuts"][-1]["to_mm"]  # from the outer end, the worst lead-in with it
        assert row[1:] == (", ".join(cut["drop"] for cut in roll["cuts"]), f"{end:.0f}", f"{ROLL - end:.0f}")

    page = " ".join(said(path, "buy").split())
    head = re.match(r"Buy (.+?) of Sallow leaf", page)
    assert head is not None
    assert head[1] == asked
    assert (f"({cost})" in page) is (price is not None)
    certain, opened, best = (answer[key]["rolls"] for key in ("certain", "measured_first", "at_best"))
    assert certain == rolls
    columns = [
        f"{number} {ceil(Fraction(number, packet))}" if packet > 1 else str(number)
        for number in (certain, opened, best)
    ]
    table = page.partition("How many rolls =")[2]
    for words, column in zip(("as they come", "before the first cut", "wants: no( promise)?"), columns, strict=True):
        assert re.search(f"{words} {column}", table)
    short, each = floor(ROLL * Fraction(985, 1000)), floor(Fraction(ROLL, CUT))
    by_repeats = floor(Fraction(floor(Fraction(ROLL, REPEAT)), ceil(Fraction(CUT, REPEAT))))
    area = Fraction(4200 * 2600, 530 * ROLL)
    rules = [ceil(Fraction(DROPS, each)), ceil(Fraction(DROPS, by_repeats)), ceil(area * Fraction(115, 100))]
    assert [rule["rolls"] for rule in answer["rules_of_thumb"]][:3] == rules
    known = {packets, bought, bought * singles, rolls, certain, opened, best, short, each, by_repeats, DROPS, *rules}
    known |= {
        ceil(Fraction(number, packet)) for number in (certain, opened, best, answer["short_rolls"]["certain"]["rolls"])
    }
    known |= {answer["spoiled_drop"]["rolls"], ROLL // singles}  # a single so short is doubted
    known |= {answer["short_rolls"]["certain"]["rolls"], answer["rules_of_thumb"][3]["rolls"]}
    constant = {"1.5", "233", "2", "15", "1", "4", cost}  # per cent short (EN 233), 2 in of trim, area and 15 %, 1 in 4
    assert figures(page) <= {str(number) for number in known} | constant


# By the metre


@pytest.mark.parametrize(
    ("unit", "mm", "least", "step"), [("m", 1000, "3 m", "50 cm"), ("yd", Fraction("914.4"), "2 yd", "1 yd")]
)
def test_every_figure_of_an_order_follows_from_the_files(
    tmp_path: Path, unit: str, mm: Fraction, least: str, step: str
) -> None:
    """How long, at what cost, what the drops take up, in two pieces, with each further cut, with a spare."""
    path = tmp_path / "room.toml"
    sold = f'sold_by = "{unit}"\norder_least = "{least}"\norder_step = "{step}"\nprice = 12.50\nprice_per = "{unit}"'
    path.write_text(ROOM.format(sold=sold).replace("10.05 m", "50 m"))
    plan, answer = (json.loads(said(path, command, "--json")) for command in ("plan", "buy"))
    page = " ".join(said(path, "buy").split())
    mm = Fraction(mm)
    smallest = Fraction(least.split(maxsplit=1)[0]) * mm
    by = Fraction(500) if unit == "m" else mm

    def orderable(length: Fraction) -> Fraction:
        return smallest + max(ceil((length - smallest) / by), 0) * by

    def shown(length: Fraction) -> str:
        return f"{float(length / mm):.2f}".removesuffix(".00") + f" {unit}"

    (piece,) = plan["rolls"]
    needed = Fraction(str(piece["cuts"][-1]["to_mm"]))
    length, cost = orderable(needed), two_places(orderable(needed) / mm * Fraction("12.5"))
    further, two = CUT + REPEAT, Fraction(answer["in_two_pieces"]["length"])
    spare = Fraction(answer["with_spare_drop"]["length"])
    assert Fraction(answer["order"]["length"]) == Fraction(plan["ordered"]["length"]) == length
    assert page.startswith(f"Order {shown(length)} of Sallow leaf ({cost}), in one piece")
    assert f"The drops take up {needed} mm of it." in page
    assert f"Orders go by steps of {shown(by) if unit == 'yd' else '0.50 m'}, from {shown(smallest)} on;" in page
    assert length <= two <= orderable(needed + further)
    assert two == orderable(two)
    assert f"Cut in two, wherever that is, {shown(two)} would be certain." in page
    assert Fraction(answer["each_further_cut_at_most"]) == further
    assert f"one piece is {floor(50_000 / mm * 100) / 100:.2f}".removesuffix(".00") + f" {unit} at most" in page
    told = re.search(rf"Each further cut, wherever it is, takes ([\d.]+) {unit} more at most", page)
    assert told is not None
    assert 0 <= Fraction(told[1]) - further / mm < Fraction(1, 100)
    assert spare == orderable(Fraction(answer["with_spare_drop"]["needed"]))
    assert f"With one more of the longest drop, {shown(spare)} would be certain" in page
    area = DROPS * 2600 / Fraction(mm)  # every piece has the roll's width
    rules = [ceil(DROPS * CUT / mm), ceil(area), ceil(area * Fraction(11, 10))]
    assert [rule[unit] for rule in answer["rules_of_thumb"]] == rules
    assert re.findall(rf" (\d+) {unit}\b", page.partition("Rules of thumb")[2]) == [str(rule) for rule in rules]


# The customer's page

CUSTOMER: Final = """\
units = "mm"
[paper]
name = "Bramble"
roll_length = "10.05 m"
roll_width = 530
match = "64/32 cm"
motif_above = 120
motif_below = 90
price = 84
[room]
closes = true
[[wall]]
name = "north"
width = 1150
height = 2500
[[wall]]
name = "east"
width = 1100
height = 2500
[[wall.opening]]
kind = "door"
left = 100
width = 830
height = 2030
[[wall]]
name = "south"
width = 1150
height = 2500
[[wall]]
name = "west"
width = 1100
height = 2500
[start]
wall = "north"
at = "middle"
puts = "joint"
motif_at = "165 cm"
"""


def cuts(setting_out: dict[str, Any]) -> Iterator[tuple[str, Fraction, int]]:
    """Yield by which edge, how much and in which column a motif 210 high, 90 of it below its datum, is cut."""
    for piece in setting_out["pieces"]:
        top, foot = Fraction(piece["top"]), Fraction(piece["foot"])
        datum = top - Fraction(piece["first_motif"]) + REPEAT
        while datum > foot - REPEAT:
            for edge, at, beyond in (("ceiling", 2500, datum + 120 - 2500), ("skirting", 0, 90 - datum)):
                if 0 < beyond < 210 and at in {top, foot}:
                    yield edge, beyond, piece["column"]
            datum -= REPEAT


def test_every_figure_of_the_customers_page_follows_from_the_plan_file() -> None:
    """What the start takes and costs, how high the print hangs, what ceiling and skirting cut, where it closes."""
    scenario = parse_scenario(CUSTOMER, "room.toml")
    found = scenario.setting_out
    assert found is not None
    comparison = compare(found, scenario.job, focus_of(found), step=Fraction(100))
    sheet = customer_sheet(scenario, found, None, comparison)
    page = re.sub(r"<(style|script|svg).*?</\1>", "", sheet, flags=re.DOTALL)
    page = " ".join(re.sub(r"<[^>]+>", "", page).split())
    plan = json.loads(plan_text(plan_document(make_plan(scenario.job, CuttingHabit()), scenario)))
    places = json.loads(plan_text(comparison_document(comparison, scenario)))
    set_out, rolls = plan["setting_out"], plan["rolls_needed"]

    assert f"It takes {rolls} rolls, {two_places(Fraction(84 * rolls))} in all." in page
    assert "A joint is placed 575 mm from the left of north" in page
    drop = (Fraction(set_out["level_line"]) - 1650) % REPEAT
    assert f"a motif hangs 1650 mm above the floor; the first, {drop} mm below the level line" in page
    strips = len({column["column"] for column in set_out["columns"]})
    cut_off: dict[tuple[str, Fraction], set[int]] = {}
    for edge, beyond, column in cuts(set_out):
        cut_off.setdefault((edge, beyond), set()).add(column)
    told = {
        (edge, Fraction(off)): (int(number), int(of), Fraction(shown))
        for number, of, edge, off, shown in re.findall(
            r"In (\d+) of (\d+) strips the (\w+) cuts (\d+) mm off a motif; (\d+) mm of it shows", page
        )
    }
    assert told == {key: (len(columns), strips, 210 - key[1]) for key, columns in cut_off.items()} != {}
    closing = set_out["closing"]
    assert f"It is on {closing['wall']}, {Fraction(closing['at'])} mm from its left" in page
    assert (f"{abs(Fraction(closing['sideways']))} mm of the pattern" in page) is bool(Fraction(closing["sideways"]))
    others = Counter(place["rolls"] for place in places["best"] if not place["is_own"])
    (planned, *instead) = re.findall(r"It takes (\d+) rolls?, ([0-9.]+) in all\.", page)
    assert planned == (str(rolls), two_places(Fraction(84 * rolls)))
    assert all(cost == two_places(Fraction(84 * int(number))) for number, cost in instead)
    shown = Counter(int(number) for number, _ in instead)
    assert shown
    assert shown <= others
