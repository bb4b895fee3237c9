"""What is left of a plan: what is kept, what is thrown away, and the kept paper as stock of a later scenario."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from cutplan.buying.spoiled_drop import drops_left_over
from cutplan.cli.all_commands import app
from cutplan.errors import NoPlanError
from cutplan.job.print_along import agree_in_batch, could_hold, is_of_no_roll
from cutplan.render.pages.left_over_page import stock_text
from cutplan.scenario.read import parse_scenario
from cutplan.solve import solve
from cutplan.table.left_over import Leavings, Served, first_served, leavings_of
from cutplan.table.sequence import sequence_of
from special_scenarios import special_scenario
from test_special_stock import fits, random_job, solved, wide_enough

if TYPE_CHECKING:
    from pathlib import Path

    from cutplan.paper.stock import Lot

ROOM = """\
units = "mm"
[paper]
roll_length = 2000
roll_width = 530
match = "100 mm"
[trim]
top = 0
bottom = 0
[[roll]]
label = "A"
first_motif = 80
batch = "7"
[[drop]]
label = "1"
height = 900
first_motif = 20
cut_outs = [{from_top = 50, length = 500, left = 300}]
[[drop]]
label = "2"
height = 450
first_motif = 70
left = 400
wall = "chimney breast"
"""
"""Roll A holds both drops; the cut-out of drop 1 has its first motif 70 below its edge."""

SHORT = ROOM.replace("first_motif = 80", "length = 1300\nfirst_motif = 80")
"""Roll A holds drop 1 alone, behind a lead-in of 60."""


def mm(number: int) -> Fraction:
    """Return whole millimetres as a length."""
    return Fraction(number)


def leavings(text: str) -> Leavings:
    """Return what is left of the plan of a scenario."""
    plan = solved(parse_scenario(text, "job.toml").job)
    assert plan is not None
    return leavings_of(sequence_of(plan).plan)


def facts(paper: Lot) -> tuple[object, ...]:
    """Return what is said of a piece that is left."""
    return paper.label, paper.length, paper.first_motif, paper.left, paper.right, paper.batch


def test_ends_lead_ins_and_cut_outs_are_left_with_their_print() -> None:
    """Datums of A lie at 80, 180 …, so drop 1 goes from 60 to 960 and drop 2 from 1010 to 1460; the rest is left."""
    left = leavings(ROOM)

    kept = {piece.paper.label: piece for piece in left.kept}
    assert facts(kept["end of A"].paper) == ("end of A", mm(540), mm(20), None, None, "7")
    assert [drop.label for drop in kept["end of A"].serves] == ["2"]
    assert facts(kept["cut-out of 1"].paper) == ("cut-out of 1", mm(500), mm(70), mm(300), mm(530), "7")
    assert [drop.label for drop in kept["cut-out of 1"].serves] == ["2"]
    assert [facts(piece.paper) for piece in left.binned] == [
        ("start of A", mm(60), mm(80), None, None, "7"),
        ("loss 1 of A", mm(50), mm(20), None, None, "7"),
    ]


def test_an_offcut_that_comes_later_is_kept_and_is_there_for_no_drop_hung_before() -> None:
    """A roll gives drops 1 and 2; two offcuts that come with drop 2 give drop 3, and could be no other again."""
    drops = [(1, 1500), (2, 2400), (3, 1500)]
    text = 'units = "mm"\n[paper]\nroll_length = 4200\nmatch = "free"\n[[roll]]\nlabel = "A"\n'
    text += "".join(f'[[offcut]]\nlabel = "{label}"\nlength = 2200\nafter = "2"\n' for label in "XY")
    text += "".join(f'[[drop]]\nlabel = "{label}"\nheight = {height}\n' for label, height in drops)
    plan = solve(parse_scenario(text, "later.toml").job)

    assert plan.rolls_needed == 1
    assert drops_left_over(plan) == {"3"}
    kept = stock_text(leavings_of(plan), "mm", is_free=True)
    assert ('label = "X"' in kept) != ('label = "Y"' in kept)
    assert "after" not in kept


def test_what_is_left_of_a_cut_out_is_left_too() -> None:
    """Roll A ends at 1300, so drop 2 comes from the cut-out of drop 1, which lies from 60 to 960."""
    left = leavings(SHORT)

    assert left.kept == ()
    assert [facts(piece.paper) for piece in left.binned] == [
        ("start of A", mm(60), mm(80), None, None, "7"),
        ("end of A", mm(340), mm(20), None, None, "7"),
        ("end of cut-out of 1", mm(50), mm(20), mm(300), mm(530), "7"),
    ]


def test_a_long_end_of_full_width_is_kept_for_patches() -> None:
    """No drop of 1500 can be cut from the 1100 that is left, but 1 m and more gives patches."""
    left = leavings(ROOM.split("[[drop]]", maxsplit=1)[0].replace("2000", "2660") + "[[drop]]\n"
                    'label = "1"\nheight = 1500\nfirst_motif = 20\n')  # fmt: skip

    assert [(piece.paper.label, piece.paper.length, tuple(piece.serves)) for piece in left.kept] == [
        ("end of A", mm(1100), ())
    ]


@pytest.mark.parametrize("seed", range(60))
def test_what_is_kept_would_serve_the_drops_it_names_and_no_others(seed: int) -> None:
    """The exhaustive search agrees on every piece left, whichever way its roll comes off, and nothing is left twice."""
    scenario = parse_scenario(special_scenario(seed, free=False), "special.toml")
    plan = solved(scenario.job)
    if plan is None:
        return
    left = leavings_of(sequence_of(plan).plan)

    for piece in (*left.kept, *left.binned):
        if piece.paper.first_motif is None:
            continue
        served = {drop.label for drop in piece.serves}
        expected = {drop.label for drop in scenario.job.drops
                    if wide_enough(piece.paper, drop) and fits(scenario.job, piece.paper, [drop])}  # fmt: skip
        assert served == expected
    labels = [label for piece in (*left.kept, *left.binned) for label in piece.labels]
    assert len(set(labels)) == len(labels)


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("seed", range(30))
def test_kept_paper_is_read_again_as_it_was_written(seed: int, units: str) -> None:
    """Label, length, first motif, width and batch survive the file, in whatever unit it is written."""
    text = special_scenario(seed, free=False)
    plan = solved(parse_scenario(text, "special.toml").job)
    if plan is None:
        return
    kept = leavings_of(sequence_of(plan).plan).kept
    written = stock_text(leavings_of(sequence_of(plan).plan), units, is_free=False)

    later = (
        f'units = "{units}"\n[paper]\nroll_length = "9 m"\nroll_width = "20 mm"\nmatch = "8 mm"\n'
        f'[[drop]]\nlabel = "1"\nheight = "1 mm"\nfirst_motif = 0\n{written}'
    )

    read = {lot.label: lot for lot in parse_scenario(later, "later.toml").job.lots}
    for piece in kept:
        assert facts(read[piece.paper.label]) == facts(piece.paper)


def test_the_plan_ends_with_what_to_keep_and_what_to_bin(tmp_path: Path) -> None:
    """Two lists; --stock-out writes the first for a later scenario. In hanging order drop 2 ends at 1460."""
    path, stock = tmp_path / "job.toml", tmp_path / "kept.toml"
    path.write_text(ROOM, encoding="utf-8")

    result = CliRunner().invoke(app, ["plan", str(path), "--stock-out", str(stock)])

    assert result.exit_code == 0
    page = re.sub(r"\s+", " ", result.stdout)
    assert "end of A: 540 mm, motif 20 mm below its top; would serve as drop 2 of chimney breast, for repair." in page
    assert page.endswith("Bin === 2 lead-ins and match losses. ")
    assert '[[offcut]]\nlabel = "end of A"\nlength = 540\nfirst_motif = 20\nbatch = "7"\n' in stock.read_text("utf-8")


def test_stock_goes_neither_over_the_scenario_nor_the_plan(tmp_path: Path) -> None:
    """Refused before planning, with exit status 2 and nothing written."""
    path, plan = tmp_path / "job.toml", tmp_path / "plan.txt"
    path.write_text(ROOM, encoding="utf-8")
    for target, why in (
        (str(path), "is the scenario itself"),
        (str(plan), "is where the plan goes; give what is kept a file of its own"),
        ("-", "name a file; standard output is for the plan"),
    ):
        result = CliRunner().invoke(app, ["plan", str(path), "-o", str(plan), "--stock-out", target])

        assert result.exit_code == 2
        assert why in result.stderr
        assert not plan.exists()


def test_end_of_a_sealed_roll_that_is_foot_first_is_kept_without_a_motif() -> None:
    """Its top is the roll's inner end, and how far that lies below the last cut is not known: nor is its motif."""
    text = (
        'units = "mm"\n[paper]\nroll_length = 10050\nmatch = "64 cm"\n[[roll]]\nlabel = "F"\nfoot_first = true\n'
        '[[drop]]\nlabel = "1"\nheight = 2500\nfirst_motif = 95\n'
    )
    scenario = parse_scenario(text, "job.toml")

    written = stock_text(leavings_of(solve(scenario.job)), "mm", is_free=False)
    kept = parse_scenario(text + written, "next.toml").job

    # 10050 less the worst lead-in of 640 and a drop of 2600 with its trims.
    (end,) = [lot for lot in kept.lots if lot.is_offcut]
    assert end.length == 6810
    assert end.first_motif is None


@settings(max_examples=40)
@given(seed=st.integers(0, 10**6), free=st.booleans())
def test_drops_left_over_are_found_as_if_every_piece_were_held_against_every_drop(seed: int, free: bool) -> None:  # noqa: FBT001
    """What falls out of a drop serves only those hung later; all else that is kept serves any."""
    job = random_job(seed, free=free)
    try:
        plan = solve(job)
    except NoPlanError:
        return
    turn = {drop.label: number for number, drop in enumerate(job.drops)}
    assert drops_left_over(plan) == {
        drop.label
        for piece in leavings_of(plan).kept
        for drop in piece.serves
        if piece.waits_for is None or turn[piece.waits_for] < turn[drop.label]
    }


@settings(max_examples=60)
@given(data=st.data())
def test_first_of_many_pieces_that_a_drop_could_be_is_found(data: st.DataObject) -> None:
    """Against every pair: runs that begin anywhere in two shared lists of drops, and numbers in any order."""
    drops = random_job(7, free=True).drops
    shared = [list(range(0, len(drops), step)) for step in (1, 2)]
    run = st.sampled_from(shared).flatmap(lambda places: st.tuples(st.just(places), st.integers(0, len(places))))
    pieces = data.draw(st.lists(st.tuples(st.lists(run, max_size=2), st.integers(-1, 9)), max_size=8))
    found = [(Served(drops, runs), number) for runs, number in pieces]
    least: dict[str, int] = {}
    for drop, number in first_served(found):
        least[drop.label] = min(number, least.get(drop.label, number))

    every = {drop.label: [number for served, number in found if drop in served] for drop in drops}
    assert least == {label: min(numbers) for label, numbers in every.items() if numbers}


@settings(max_examples=40)
@given(seed=st.integers(0, 10**6), free=st.booleans())
def test_what_a_piece_could_be_is_found_as_if_every_drop_were_tried(seed: int, free: bool) -> None:  # noqa: FBT001
    """Short drops are not tried, for the print cannot matter to them; the longest still comes first."""
    job = random_job(seed, free=free)
    try:
        found = leavings_of(solve(job))
    except NoPlanError:
        return
    longest_first = sorted(job.drops, key=lambda drop: -drop.cut_length)
    for piece in (*found.kept, *found.binned):
        known = not piece.is_lead_in and not is_of_no_roll(piece.paper, job.rolls)
        holds = [drop for drop in longest_first if could_hold(job.paper.pattern, piece.paper, drop)] if known else []
        could_be = [drop for drop in holds if agree_in_batch(piece.paper, drop)]
        assert (list(piece.serves), len(piece.serves)) == (could_be, len(could_be))
