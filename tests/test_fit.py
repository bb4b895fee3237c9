"""The command ``cutplan fit``: where an offcut in the hand fits, what it saves, and why it fits nowhere."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from typer.testing import CliRunner

from cutplan.check import check_text
from cutplan.cli.all_commands import app
from cutplan.job.offcut_in_hand import Fit, Miss, fits_of, misses_of
from cutplan.job.print_along import could_hold
from cutplan.paper.stock import Lot
from cutplan.render.documents.plan_document import plan_document, plan_text
from cutplan.scenario.read import parse_scenario
from cutplan.solve import solve
from cutplan.solve.ordering import order_cuts
from special_scenarios import special_scenario
from test_special_stock import fits

if TYPE_CHECKING:
    from pathlib import Path

ROOM = """\
units = "mm"
[paper]
roll_length = 1000
roll_width = 530
match = "100 mm"
[trim]
top = 10
bottom = 10
[[drop]]
label = "wide"
height = 900
first_motif = 20
[[drop]]
label = "over the door"
height = 180
first_motif = 40
left = 300
right = 530
"""
"""Both drops are cut at places 70 and 50 of the repeat: 920 mm and 200 mm do not lie on one roll of 1000 mm."""


def mm(number: int) -> Fraction:
    """Return whole millimetres as a length."""
    return Fraction(number)


def fit(tmp_path: Path, *options: str, text: str = ROOM) -> tuple[int, str]:
    """Return the exit status of ``cutplan fit`` and what it prints, its white space evened out."""
    path = tmp_path / "job.toml"
    path.write_text(text, encoding="utf-8")
    result = CliRunner().invoke(app, ["fit", str(path), *options])
    return result.exit_code, re.sub(r"\s+", " ", result.stdout + result.stderr)


def test_fits_and_misses_say_by_how_much() -> None:
    """First motif 80 below its top: 30 come off, for the drop's own is 50 below the cut; 230 - 30 - 200 are spare."""
    job = parse_scenario(ROOM, "job.toml").job
    wide, over = job.drops
    offcut = Lot("K", mm(230), mm(80), left=mm(290), right=mm(530), is_offcut=True)

    assert fits_of(job, offcut) == (Fit(over, mm(30), mm(0)),)
    assert misses_of(job, offcut) == (Miss(wide, mm(690), mm(0), mm(50), mm(290), mm(0)),)


@pytest.mark.parametrize("seed", range(40))
def test_what_fits_is_what_trying_every_place_finds(seed: int) -> None:
    """An offcut holds a drop exactly when the exhaustive search can lay the drop on it and it is wide enough."""
    job = parse_scenario(special_scenario(seed, free=False), "special.toml").job
    kept = [lot for lot in job.lots if lot.is_offcut]

    for offcut in kept:
        found = {fit.drop.label for fit in fits_of(job, offcut)}
        for drop in job.drops:
            assert could_hold(job.paper.pattern, offcut, drop) == (drop.label in found)
            assert (drop.label in found) == (fits(job, offcut, [drop]) and offcut.covers(drop.left, drop.right))


def test_an_offcut_that_saves_a_roll_says_as_which_drop(tmp_path: Path) -> None:
    """Sealed rolls of 1000 mm are too short for one of 920 mm and a lead-in, so the rolls here are measured."""
    rolls = '[[roll]]\nlabel = "A"\nfirst_motif = 30\n[[roll]]\nlabel = "B"\nfirst_motif = 30\n'

    status, page = fit(tmp_path, "--length", "230", "--first-motif", "80", "--left", "290", text=ROOM + rolls)

    assert status == 0
    assert "An offcut (230 mm, first motif 80 mm below its top, 290 mm to 530 mm across the strip) fits 1 drop." in page
    assert "over the door 200 mm 30 mm 0 mm" in page
    assert "It saves most as drop over the door: 2 rolls without it, 1 roll with it." in page


def test_an_offcut_may_make_the_rolls_in_hand_enough(tmp_path: Path) -> None:
    """One roll holds the wide drop alone."""
    rolls = '[[roll]]\nlabel = "A"\nfirst_motif = 30\n'

    _, page = fit(tmp_path, "--length", "230", "--first-motif", "80", text=ROOM + rolls)

    assert "It makes the rolls in hand enough, as drop over the door: without it they are too few." in page


@pytest.mark.parametrize(
    ("options", "reason"),
    [
        (("--length", "190", "--first-motif", "50"), "over the door too short by 10 mm"),
        (("--length", "210", "--first-motif", "80"),
         "over the door print in the wrong place: 30 mm must come off its top first, and then it is 20 mm too short"),
        (("--length", "200", "--first-motif", "50", "--right", "300"),
         "over the door wrong side: 230 mm of the strip's right is missing"),
        (("--length", "200", "--first-motif", "50", "--left", "310"),
         "over the door wrong side: 10 mm of the strip's left is missing"),
    ],
)  # fmt: skip
def test_an_offcut_that_fits_nowhere_says_why(tmp_path: Path, options: tuple[str, ...], reason: str) -> None:
    """Too short, print in the wrong place, or wrong side: each by how much, the nearest miss first."""
    status, page = fit(tmp_path, *options)

    assert status == 0
    assert "fits nowhere." in page
    assert reason in page


@pytest.mark.parametrize(
    ("options", "fault"),
    [
        (("--length", "200", "--first-motif", "120"),
         "--first-motif: must be less than the repeat of 100 mm; the first motif is then at 20 mm"),
        (("--length", "0", "--first-motif", "20"), "--length: must be more than 0"),
        (("--length", "long", "--first-motif", "20"), "--length: "),
        (("--length", "200", "--first-motif", "20", "--right", "540"),
         "--right: lies beyond the strip, which is 530 mm wide"),
        (("--length", "200", "--first-motif", "20", "--left", "300", "--right", "200"),
         "--right: must lie to the right of --left, which is 300 mm, not at 200 mm"),
    ],
)  # fmt: skip
def test_what_cannot_be_an_offcut_is_refused(tmp_path: Path, options: tuple[str, ...], fault: str) -> None:
    """Exit status 2, and which option is wrong."""
    status, page = fit(tmp_path, *options)

    assert status == 2
    assert fault in page


def test_a_free_match_has_no_first_motif(tmp_path: Path) -> None:
    """Asked for nothing, it says so when told one."""
    free = re.sub(r"first_motif = .*\n", "", ROOM.replace("100 mm", "free"))

    assert "fits 1 drop." in fit(tmp_path, "--length", "200", text=free)[1]
    assert "a free match has no motif" in fit(tmp_path, "--length", "200", "--first-motif", "1", text=free)[1]


TWO_BATCHES = (
    'units = "mm"\n[paper]\nroll_length = 10050\nroll_width = 530\nmatch = "64 cm"\n'
    + "".join(f'[[roll]]\nlabel = "{batch}1"\nfirst_motif = 100\nbatch = "{batch}"\n' for batch in "AB")
    + "".join(
        f'[[drop]]\nlabel = "{number}"\nheight = {height}\nfirst_motif = 95\nwall = "{wall}"\n'
        for number, (height, wall) in enumerate([(2500, "n")] * 3 + [(2500, "s")] * 2 + [(800, "n")], 1)
    )
)
"""Three drops of 2600 with their trims fill a roll, so the sixth, on the same wall, needs a piece more."""


@pytest.mark.parametrize(
    ("batch", "said"),
    [
        (["--batch", "A"], ["It makes the rolls in hand enough, as drop 6: without it they are too few."]),
        (["--batch", "C"], ["No roll is of batch C, so nothing may be cut from it: it would show on the wall."]),
        ([], [f"If it is of batch {batch}: it makes the rolls in hand enough, as drop 6" for batch in "AB"]),
    ],
)
def test_offcut_serves_walls_of_its_own_batch(tmp_path: Path, batch: list[str], said: list[str]) -> None:
    """Of either batch it saves the job, for the wall then takes that batch; of a third it may not be used."""
    path = tmp_path / "job.toml"
    path.write_text(TWO_BATCHES, encoding="utf-8")

    result = CliRunner().invoke(app, ["fit", str(path), "--length", "2000", "--first-motif", "145", *batch])

    assert result.exit_code == 0
    assert all(sentence in " ".join(result.output.split()) for sentence in said)


def test_offcut_whose_print_nobody_measured_may_lose_a_repeat(tmp_path: Path) -> None:
    """Of 1540 mm a repeat of 640 leaves the 900 that drop 6 is cut; of 1539 it does not."""
    path = tmp_path / "job.toml"
    path.write_text(TWO_BATCHES, encoding="utf-8")

    fitting = CliRunner().invoke(app, ["fit", str(path), "--length", "1540", "--batch", "A"]).output
    missing = CliRunner().invoke(app, ["fit", str(path), "--length", "1539", "--batch", "A"]).output

    assert "Its first motif is not measured" in fitting
    assert "as drop 6" in fitting
    assert "fits nowhere" in missing


def test_unmeasured_offcut_is_planned_behind_a_whole_repeat_and_judged_so() -> None:
    """An offcut without first_motif is allowed the worst lead-in, its plan holds, and the reader says what it costs."""
    text = TWO_BATCHES + '[[offcut]]\nlabel = "K"\nlength = 1540\nbatch = "A"\n'
    scenario = parse_scenario(text, "job.toml")

    plan = order_cuts(solve(scenario.job))

    (start,) = [cut.start for layout in plan.layouts if layout.lot == "K" for cut in layout.cuts]
    assert start == 640
    assert check_text(plan_text(plan_document(plan, scenario))).violations == ()
    assert any("is not measured" in note for note in scenario.notes)
