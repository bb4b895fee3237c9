"""A placement is compared by the very plan that is made of it: cut-outs, offcuts and batches count in both."""

from __future__ import annotations

import re
from pathlib import Path
from random import Random

import pytest

from cutplan.comparing.placements import Placement
from cutplan.comparing.proving import Prover
from cutplan.comparing.sweep import Bench, SweepTask
from cutplan.errors import NoPlanError
from cutplan.parts.read_parts import read_scenario
from cutplan.scenario.read import parse_scenario
from cutplan.solve import solve
from cutplan.too_few import more_rolls


def room(seed: int) -> str:
    """Return a room of two or three walls with a door and perhaps a window, from rolls of one sort or another."""
    chance = Random(seed)  # noqa: S311 - repeatable, nothing secret
    match, repeat = chance.choice([("free", 0), ("64 cm", 640), ("64/32 cm", 640)])
    motif = f"motif_drop = {chance.randrange(repeat)}\n" if repeat else ""
    text = f'units = "mm"\n[paper]\nroll_length = 10050\nroll_width = 530\nmatch = "{match}"\n[room]\n'
    text += f'[start]\nwall = "wall 1"\nat = 0\nputs = "joint"\n{motif}'
    for number in range(1, chance.randint(3, 4)):
        width = chance.randrange(1800, 3200, 10)
        text += f'[[wall]]\nname = "wall {number}"\nwidth = {width}\nheight = 2450\n'
        if number == 1 or chance.random() < 0.5:
            kind, foot, high = chance.choice([("door", 0, 2030), ("window", 900, 1200), ("window", 1200, 1000)])
            left = chance.randrange(200, 700)
            text += f'[[wall.opening]]\nkind = "{kind}"\nname = "o{number}"\nleft = {left}\nwidth = 900\n'
            text += f"foot = {foot}\nheight = {high}\n"
    first = f"first_motif = {chance.randrange(repeat)}\n" if repeat else ""
    stock = chance.choice(["sealed", "measured", "batches", "offcut"])
    if stock == "measured":
        text += "".join(f'[[roll]]\nlabel = "R{number}"\n{first}' for number in range(7))
    if stock == "batches":
        text += '[[roll]]\nlabel = "A"\nbatch = 1\ncount = 4\n[[roll]]\nlabel = "B"\nbatch = 2\ncount = 4\n'
    if stock == "offcut":
        across = chance.choice(["", "left = 0\nright = 300\n", "left = 250\n"])
        text += f'[[offcut]]\nlabel = "K"\nlength = {chance.randrange(500, 2700)}\n{first}{across}'
    return text


@pytest.mark.parametrize("seed", range(25))
def test_own_placement_is_compared_by_its_plan(seed: int) -> None:
    """What the comparison says of the placement as it stands is what the plan of the same scenario needs."""
    scenario = parse_scenario(room(seed), "room.toml")
    set_out, job = scenario.setting_out, scenario.job
    assert set_out is not None
    trims = (job.drops[0].trim_top, job.drops[0].trim_bottom)
    bench = Bench(SweepTask(set_out.room, set_out.paper, set_out.way, job.lots, trims))
    again = bench.set_out(Placement(set_out.start, set_out.finish, None, 0, is_own=True))
    try:
        plan = solve(job)
    except NoPlanError:
        with pytest.raises(NoPlanError):
            bench.prove_set_out(again)
        return

    proved = bench.prove_set_out(again)

    assert proved.value == plan.value
    assert proved.is_proved == (plan.gap == 0)


@pytest.mark.parametrize(("name", "rolls"), [("reuse-one-roll", 2), ("reuse-two-rolls", 2)])
def test_cut_outs_that_save_rolls_are_counted_when_places_are_compared(name: str, rolls: int) -> None:
    """From rolls alone these drops take 3 and 4; what falls out of their drops saves one and two."""
    job = read_scenario(Path(__file__).parent.parent / "scenarios" / f"{name}.toml").job
    names = [(number, "full", 1) for number, _ in enumerate(job.drops)]

    proved = Prover(job.paper, job.lots).prove(job.drops, names)

    assert proved.rolls == rolls
    assert proved.is_proved


@pytest.mark.parametrize("seed", [4, 5, 8, 11])
def test_own_placement_orders_what_its_plan_does(seed: int) -> None:
    """By the metre too, with what falls out of drops and what is kept; here is a piece that one of them holds."""
    by_the_metre = '\nsold_by = "m"\norder_step = 100\nprice = 12\nprice_per = "m"\n[room]'
    text = re.sub(r"\[\[roll\]\]\n(.+\n)+", "", room(seed)).replace("\n[room]", by_the_metre)
    scenario = parse_scenario(text, "room.toml")
    set_out, ordered = scenario.setting_out, scenario.ordered
    assert set_out is not None
    assert ordered is not None
    drop = scenario.job.drops[0]
    lots = scenario.job_to_order.lots
    bench = Bench(SweepTask(set_out.room, set_out.paper, set_out.way, lots, (drop.trim_top, drop.trim_bottom)))
    again = bench.set_out(Placement(set_out.start, set_out.finish, None, 0, is_own=True))

    proved = bench.prove_set_out(again)

    assert (proved.value, proved.bound) == (ordered.length, ordered.least)
    assert more_rolls(scenario.job).rolls
