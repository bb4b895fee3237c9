"""The page of advice, the JSON and the command: what people and programs read."""

from __future__ import annotations

import json
from fractions import Fraction
from typing import TYPE_CHECKING, Final

import pytest
from msgspec.structs import replace
from typer.testing import CliRunner

from cutplan.buying.certain import Figure
from cutplan.buying.how_many import Wishes, how_many_rolls
from cutplan.buying.odds import Odds, wilson
from cutplan.buying.savings import Saving
from cutplan.buying.spoiled_drop import SpoilingCost
from cutplan.cli.all_commands import app
from cutplan.render.documents.buying_document import buying_document
from cutplan.render.pages.buying_page import advice, buying_page
from cutplan.scenario.read import parse_scenario
from cutplan.wording import Wording

if TYPE_CHECKING:
    from pathlib import Path

    from typer.testing import Result

    from cutplan.buying.how_many import RollsToBuy

HALF_DROP: Final = """\
units = "mm"

[paper]
name = "Leaf, dusk"
roll_length = 2800
match = "600/300"
price = 40

[[drop]]
label = "A"
height = 1000
first_motif = 550
count = 2

[[drop]]
label = "B"
height = 1000
first_motif = 250
count = 2
"""
"""Worked out by eye in ``buying_jobs.half_drop_four``."""

PAGE: Final = """\
Buy 3 rolls of Leaf, dusk, all of one batch (120.00), open and measure 2 of them
before the first cut, and expect to return 1 unopened (40.00).

  - 4 rolls are certain to be enough, cut one after another as they come,
    however they begin: proved, and no fewer are certain.
  - 3 rolls are certain to be enough if all are opened, and the first motif of
    each is measured, before the first cut.
  - Opened and measured first, 2 rolls are enough in 94.4 % of all cases;
    otherwise open another, and cut nothing before that.
  - Shops take back unopened rolls, not opened ones; a batch that is sold out
    cannot be matched later.

How many rolls
==============

                                                                    rolls
----------------------------------------------------------------  -------
certain, cut one after another as they come                             4
certain, if all are opened and measured before the first cut            3
at best, if every roll begins where its layout wants: no promise        2

With 2 rolls it can go wrong even when all are measured first: with the first
motif 250 mm below the end of each.

The chance that fewer do
========================

Each roll begins anywhere in the repeat, as likely in one place as in another,
and all are measured first. Worked out exactly.

rolls      chance
-------  --------
2          94.4 %
3         certain

Short rolls
===========

If every roll is 1.5 % short (EN 233), which is 2758 mm long, 4 rolls are
certain, 3 rolls if measured first.

What would save a roll
======================

  - Open the rolls and measure each before the first cut: 3 rolls instead of 4.
  - Rolls of double length (5600 mm), if they are to be had: 1 roll, the paper
    of 2.

If a drop is spoiled
====================

If any drop is spoiled, 5 rolls are needed instead of 4.

Rules of thumb
==============

Beside the 4 rolls of the plan. None of them knows where a roll begins or which
pieces lie together on one, and an area does not know where a roll ends.

rule                                               that would be    rolls
-----------------------------------------------  ---------------  -------
drops per roll (4 whole lengths, 2 a roll)             2 too few        2
drops per roll, cut in whole repeats (2 a roll)        2 too few        2
area and 15 %                                          2 too few        2
area and 1 roll in 4, for a large pattern              2 too few        2
"""


EXAMPLE: Final = 'write for example --offered "20.1 m=150.00", or the length alone'


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Return the half-drop on disk."""
    path = tmp_path / "half-drop.toml"
    path.write_text(HALF_DROP, encoding="utf-8")
    return path


def run(*arguments: object, given: str | None = None) -> Result:
    """Return what ``cutplan buy`` does with these arguments."""
    return CliRunner().invoke(app, ["buy", *(str(argument) for argument in arguments)], given)


def free(count: int, height: int, rolls: str = "", tolerance: Fraction = Fraction(0)) -> RollsToBuy:
    """Return the answer for drops alike of a free match, on rolls of 10.05 m, with ``rolls`` in hand."""
    text = (
        'units = "mm"\n[paper]\nname = "Oat"\nroll_length = "10.05 m"\nmatch = "free"\n'
        f'{rolls}[[drop]]\nlabel = "strip"\nheight = {height}\ncount = {count}\n'
    )
    return how_many_rolls(parse_scenario(text, "oat.toml").job, Wishes(tolerance=tolerance))


def test_page_as_a_whole() -> None:
    """What to buy, why, the figures, the odds, short rolls, savings, a spoiled drop, rules of thumb."""
    scenario = parse_scenario(HALF_DROP, "half-drop.toml")

    assert buying_page(how_many_rolls(scenario.job), scenario.notes, "mm") == PAGE


def test_page_in_inches() -> None:
    """Lengths are printed as the user's tape reads: 2758 mm are 9 ft 9/16 in and a little."""
    scenario = parse_scenario(HALF_DROP, "half-drop.toml")

    page = buying_page(how_many_rolls(scenario.job), scenario.notes, "in")

    assert "which is 9 ft 9/16 in long" in page
    assert " mm" not in page


@pytest.mark.parametrize(
    ("answer", "sentence"),
    [
        (free(4, 2400), "Buy 1 roll of Oat."),
        (free(8, 2400), "Buy 2 rolls of Oat, all of one batch."),
        (free(8, 2400, '[[roll]]\nlabel = "X"\ncount = 2\n'), "Buy nothing: the 2 rolls in hand are enough."),
        (
            free(4, 2400, tolerance=Fraction(15, 1000)),
            "Buy 2 rolls of Oat, all of one batch, and expect to return 1 unopened.",
        ),
    ],
)
def test_advice_in_one_sentence(answer: RollsToBuy, sentence: str) -> None:
    """It says how many, of one batch, and what comes back."""
    assert advice(answer) == sentence


def test_page_with_rolls_in_hand() -> None:
    """The figures are rolls to buy besides those in hand; the rules stand beside all rolls of the plan."""
    page = buying_page(free(8, 2400, '[[roll]]\nlabel = "X"\n'))

    assert "The 1 roll in hand is used first; the figures say what to buy besides." in page
    assert "rolls to buy" in page
    assert "Beside the 2 rolls of the plan." in page


def test_page_when_nothing_need_be_bought() -> None:
    """No savings are looked for where nothing is spent."""
    page = buying_page(free(8, 2400, '[[roll]]\nlabel = "X"\ncount = 3\n', Fraction(15, 1000)))

    assert "Even cut as they come, the 3 rolls in hand are certain to be enough: proved." in page
    assert "sealed ones in hand too, nothing need be\nbought either." in page
    assert "What would save a roll" not in page


def test_page_names_the_roll_that_is_too_tight() -> None:
    """4 × 2.50 m leave 50 mm of slack; the shortest roll is 150.75 mm short, 101 mm too many."""
    page = buying_page(free(4, 2400, tolerance=Fraction(15, 1000)))

    assert "hangs on less slack than that: roll-1 has 50 mm of\nslack and would be 101 mm too short." in page


def test_page_says_when_a_figure_is_not_exact() -> None:
    """Two bounds are printed as such, and nothing is called proved that is not."""
    answer = free(8, 2400)
    sure = replace(answer.sure, figure=Figure(3, 2))
    page = buying_page(replace(answer, found=replace(answer.found, sure=sure)))

    assert "proved; whether fewer are certain is not known (never fewer than 2)." in page
    assert "certain, cut one after another as they come   2 to 3" in page


@pytest.mark.parametrize(
    ("odds", "shown"),
    [
        # Wilson's interval for 0 of 400: 0 to 3.8415 / 403.8415, 0.95 %; for 400 of 400 from 99.05 %.
        (Odds(2, Fraction(1), *wilson(400, 400), 400), "over 99.0 % (99.0 to 100.0 %)"),
        (Odds(2, Fraction(0), *wilson(0, 400), 400), "under 1.0 % (0.0 to 1.0 %)"),
        (Odds(2, Fraction(1, 4), 0.2, 0.3, 400), "25.0 % (20.0 to 30.0 %)"),
        (Odds(2, Fraction(9999, 10000), 0.9999, 0.9999, None), "over 99.9 %"),
        (Odds(2, Fraction(1, 10000), 0.0001, 0.0001, None), "under 0.1 %"),
        (Odds(2, Fraction(0), 0.0, 0.0, None), "0.0 %"),
    ],
)
def test_chance_never_looks_like_certainty(odds: Odds, shown: str) -> None:
    """Neither a rounded chance, nor one that came up in every draw, is printed as if it were certain."""
    scenario = parse_scenario(HALF_DROP, "half-drop.toml")
    answer = replace(how_many_rolls(scenario.job), odds=(odds,))

    page = buying_page(answer)

    assert shown in page
    assert ("From 400 draws" in page) == (odds.draws == 400)
    assert ("Worked out exactly." in page) == odds.is_exact


def test_page_when_a_spoiled_drop_was_not_settled() -> None:
    """Without time to look, one roll more is known to cover one drop."""
    answer = free(8, 2400)
    unsettled = replace(answer, spoiled=SpoilingCost(Figure(3, 2), not_settled=("strip",)))

    assert "What it takes if drop strip is spoiled was not settled in time; 3 rolls would\ncover it." in buying_page(
        unsettled
    )


def test_page_lists_what_the_room_itself_would_save() -> None:
    """Savings found by comparing starts are printed with their figures; for a room, the way to find them is named."""
    found = Saving(Wording("Start {} further left", (Fraction(120),)), Figure(1, 1))
    answer = replace(free(8, 2400), further_savings=(found,))

    page = buying_page(answer, is_room=True)

    assert "  - Start 120 mm further left: 1 roll.\n" in page
    assert "Another start, finish or height of the print may save one too: cutplan\n    compare shows them." in page


def test_document_holds_every_figure() -> None:
    """Other programs read the same numbers, exact."""
    scenario = parse_scenario(HALF_DROP, "half-drop.toml")

    document = buying_document(how_many_rolls(scenario.job), scenario)

    assert document["format"] == "cutplan-buy/1"
    assert document["certain"] == {"rolls": 4, "lower_bound": 4}
    assert document["measured_first"] == {
        "rolls": 3,
        "lower_bound": 3,
        "combinations": 4,
        "too_few_with": ["250", "250"],
        "too_few_with_in_hand": [],
    }
    assert document["odds"] == [
        {
            "rolls": 2,
            "chance": 17 / 18,
            "exact": "17/18",
            "low": 17 / 18,
            "high": 17 / 18,
            "draws": None,
            "at_least": False,
        }
    ]
    assert document["buy"] == {
        "rolls": 3,
        "cost": "120.00",
        "must_measure": True,
        "measure_first": 2,
        "chance_those_do": 17 / 18,
        "return_unopened": 1,
        "refund": "40.00",
        "must_join": [],
        "of_batches": {},
        "if_of_another_batch": None,
        "spare_drop": None,
    }
    assert document["scenario"] == scenario.document


# --- The command ------------------------------------------------------------------------------------------


def test_command_prints_the_page(file: Path) -> None:
    """``cutplan buy`` answers on standard output."""
    result = run(file)

    assert (result.exit_code, result.stdout, result.stderr) == (0, PAGE, "")


def test_command_reads_standard_input_and_prints_json() -> None:
    """``-`` and ``--json`` work as for a plan."""
    result = run("-", "--json", given=HALF_DROP)

    assert result.exit_code == 0
    assert json.loads(result.stdout)["certain"] == {"rolls": 4, "lower_bound": 4}


def test_command_writes_a_file(file: Path, tmp_path: Path) -> None:
    """``-o`` writes the page and says so."""
    target = tmp_path / "buy.txt"

    result = run(file, "-o", target)

    assert (result.exit_code, result.stdout, result.stderr) == (0, "", f"cutplan: wrote {target}\n")
    page, mark = target.read_text(encoding="utf-8").rsplit("\n[", 1)
    assert (f"{page}\n", mark.partition(" ")[0]) == (PAGE, "cutplan-buy-page/1")


def test_command_takes_every_wish(file: Path) -> None:
    """Tolerance, spare, sizes, draws and units reach the answer."""
    result = run(
        file, "--tolerance", "0", "--spare", "--offered", "5.6 m = 75", "--offered", "8400", "--draws", "100", "--json"
    )

    document = json.loads(result.stdout)
    assert document["short_rolls"] is None
    assert document["buy"]["spare_drop"] == "spare"
    assert [(size["length"], size["price"]) for size in document["sizes"]] == [
        ("2800", "40.00"),
        ("5600", "75.00"),
        ("8400", None),
    ]


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (
            ("--offered", "20 m = 90 euro"),
            f"'90 euro' is no price, a number without currency; {EXAMPLE}",
        ),
        (
            ("--offered", "0 mm"),
            f"a roll must be longer than 0; {EXAMPLE}",
        ),
        (
            ("--offered", "long"),
            """cannot read 'long' as a length; write for example "2.4 m", "2400 mm" or "7 ft 10 1/2 in\"""",
        ),
    ],
)
def test_command_refuses_a_size_it_cannot_read(file: Path, arguments: tuple[str, ...], message: str) -> None:
    """The message says what is wrong and what to write."""
    result = run(file, *arguments)

    assert (result.exit_code, result.stdout, result.stderr) == (2, "", f"cutplan: --offered: {message}\n")


@pytest.mark.parametrize("tolerance", ["-1", "20", "half", "1,5", "nan"])
def test_command_refuses_a_tolerance_it_cannot_use(file: Path, tolerance: str) -> None:
    """A tolerance is a number of per cent from 0 to less than 20."""
    result = run(file, "--tolerance", tolerance)

    assert result.exit_code == 2
    assert f"must be a number of per cent from 0 to less than 20, not {tolerance!r}" in result.stderr


def test_command_says_when_nothing_can_be_bought(file: Path) -> None:
    """A drop longer than a roll has exit status 3, as for a plan."""
    file.write_text(HALF_DROP.replace("height = 1000", "height = 4000"), encoding="utf-8")

    result = run(file)

    assert result.exit_code == 3
    assert "drop A needs 4100 mm with its trims, but no roll gives more than 2200 mm" in result.stderr


def test_none_is_opened_first_where_those_in_hand_may_do() -> None:
    """Nobody is told to open and measure 0 of them."""
    answer = how_many_rolls(parse_scenario(HALF_DROP, "leaf.toml").job)
    likely = replace(answer, recommendation=replace(answer.recommendation, open_first=0))

    assert advice(likely) == (
        "Buy 3 rolls of Leaf, dusk, all of one batch (120.00), open none of them before the first cut, "
        "and expect to return 3 unopened (120.00)."
    )
