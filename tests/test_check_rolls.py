"""The judge's rules on rolls, each asked by itself: what fits behind a cut, batches, figures, what is given up."""

from __future__ import annotations

from fractions import Fraction
from types import SimpleNamespace
from typing import Any

import pytest
from msgspec.structs import replace

from cutplan.check.judge import _judge_without_offcuts, _on_walls, _Sides
from cutplan.check.proof.prices_proof import PricedRolls, bound_of_prices, bound_rule, step_of
from cutplan.check.proof.worth import TooLongToFollowError
from cutplan.check.record_rules.steps_of_plan import Doing, Step, steps_rule, stock_rule
from cutplan.check.roll_rules.as_sold import offcuts_help, order_is_proved, shortest_piece
from cutplan.check.roll_rules.bare_pieces import ListedBare, judge_bare, most_rule, walls_order_rule
from cutplan.check.roll_rules.best_case import one_batch_rule
from cutplan.check.roll_rules.one_batch_a_wall import (
    ListedBatches,
    ListedCertificate,
    _Proving,
    batches_of,
    changes_rule,
    judge_batches,
    known_walls_rule,
    wall_rule,
)
from cutplan.check.roll_rules.rolls_and_drops import (
    batch_rule,
    end_rule,
    length_rule,
    piece_rule,
    sheet_figures_rule,
    shown_rule,
    source_rule,
    turned_rule,
)
from cutplan.check.roll_rules.rolls_bought import judge_bought
from cutplan.check.roll_rules.rolls_there import roll_facts_rule
from cutplan.check.roll_rules.steps_given_up import ListedStep, Whole, hung_lower, start_rule, with_rolls_to_be_had
from cutplan.check.roll_rules.steps_given_up import changes_rule as given_up_rule
from cutplan.check.roll_rules.totals import lower_bound_rule, without_offcuts_rule
from cutplan.check.roll_rules.what_fits_where import StockLot, Stretch, WantedDrop
from cutplan.check.stated.document import (
    FORMAT,
    ListedCut,
    ListedOrder,
    ListedOrdered,
    ListedPlan,
    ListedPrices,
    ListedProof,
    ListedRoll,
    ListedSheet,
    ListedWithoutOffcuts,
    read_plan,
)
from cutplan.check.stated.echo import Wanted
from cutplan.check.stated.fields import Table
from cutplan.check.stated.match import Match
from cutplan.check.stated.sold import Sold
from cutplan.check.survey.surveyed import Start
from cutplan.check.table_rules.by_the_clock import read_pace
from cutplan.check.table_rules.cutting_order import judge_order


def job(drops: list[WantedDrop], lots: list[StockLot], repeat: int = 600, **more: Any) -> Wanted:  # noqa: ANN401
    """Return a job of these drops and this paper."""
    told: dict[str, Any] = {"is_survey": False, "is_reversed": False, "sold": Sold(1, 1), "strip": None} | more
    match = Match(Fraction(repeat), Fraction(0))
    return Wanted(
        match, {lot.label: lot for lot in lots}, {drop.label: drop for drop in drops}, first_sheet=None, **told
    )


def drop(label: str, height: int, motif: int = 0, **more: Any) -> WantedDrop:  # noqa: ANN401
    """Return a drop with trims of 50 mm at head and foot."""
    told: dict[str, Any] = {"count": 1} | more
    return WantedDrop(label, Fraction(height), Fraction(motif), Fraction(50), Fraction(50), **told)


def lot(label: str, length: int, motif: int | None = None, count: int | None = 1, **more: Any) -> StockLot:  # noqa: ANN401
    """Return a roll, sealed unless its first motif is told."""
    price = more.pop("price", None)
    return StockLot(label, Fraction(length), None if motif is None else Fraction(motif), count, price, **more)


def roll(label: str, *cuts: tuple[str, float, float], **more: Any) -> ListedRoll:  # noqa: ANN401
    """Return a roll as listed, with its pieces from where to where."""
    listed = tuple(ListedCut(piece, Fraction(start), Fraction(end), None, None) for piece, start, end in cuts)
    told: dict[str, Any] = {"lot": label, "count": 1, "length": None, "has_start": False, "first_motif": None}
    told |= {"is_sealed": None, "left": None, "slack": None}
    return ListedRoll(label, cuts=listed, **(told | more))


def plan(*rolls: ListedRoll, **more: Any) -> ListedPlan:  # noqa: ANN401
    """Return a plan of these rolls that claims nothing else."""
    nothing = {"format": FORMAT, "status": "unknown", "rolls_needed": 0, "lower_bound": 0, "rolls": []}
    return replace(read_plan(Table("", nothing, [])), rolls=rolls, **more)


def bare(**pieces: int) -> ListedBare:
    """Return so many pieces of each drop, said to stay bare, and that no more fits."""
    return ListedBare(
        is_short=True,
        pieces={label[1:]: count for label, count in pieces.items()},
        whole=(),
        is_most=True,
        prices=None,
        order=None,
        steps=(),
    )


# What stays bare.


@pytest.mark.parametrize(("height", "fits"), [(200, True), (201, False)])
def test_bare_piece_fits_behind_a_cut_to_the_last_millimetre(height: int, fits: bool) -> None:  # noqa: FBT001 - a case
    """Its motif lies 150 mm down, that of the cut at 650: it starts at 1700 mm, and 300 mm reach the end at 2000."""
    asked = job([drop("1", 550), drop("2", height, 100)], [lot("K", 9000, is_offcut=True), lot("A", 2000)])
    cut = plan(roll("K", ("1", 600, 1250)), roll("A", ("1", 600, 1250)))

    said = [fault.message for fault in most_rule(asked, bare(_2=1), cut)]

    assert said == ["stays bare, and fits behind the last of roll A"] * fits


def test_nothing_is_said_to_fit_on_a_roll_whose_first_cut_is_of_no_drop_or_that_has_none() -> None:
    """Where its print lies nobody can say."""
    asked = job([drop("1", 550), drop("2", 100)], [lot("A", 9000)])

    assert [*most_rule(asked, bare(_2=1), plan(roll("A", ("9", 600, 1250), ("1", 1800, 2450))))] == []
    assert [fault.message for fault in most_rule(asked, bare(_2=1), plan(roll("A")))] == [
        "stays bare, and a roll of A is not opened"
    ]


def test_roll_not_opened_has_no_place_where_it_is_too_short_or_in_pieces_or_of_another_batch() -> None:
    """The bare piece takes 600 mm, and a repeat that may be lost."""
    pieces = (Stretch(Fraction(0), Fraction(1200), None),)
    paper = [lot("A", 1199), lot("B", 9000, parts=pieces), lot("C", 9000, batch="c")]
    asked = job([drop("1", 500, batch="")], paper)

    assert [*most_rule(asked, bare(_1=1), plan())] == []


def test_wall_of_the_start_is_taken_before_a_larger_one() -> None:
    """Unless another order is told."""
    areas = {"north": Fraction(9), "east": Fraction(4)}

    def faults(*order: str) -> int:
        return len([*walls_order_rule(replace(bare(), order=order), areas, (), "east")])

    assert (faults("east", "north"), faults("north", "east")) == (0, 1)


def test_paper_on_a_wall_is_as_large_as_what_hangs_there_of_every_piece() -> None:
    """Of a strip whose width is not told, pieces are compared by their heights."""
    drops = [drop("1", 2000, count=2, wall="north"), drop("2", 900)]
    panels = [SimpleNamespace(wall=0, left=Fraction(100), right=Fraction(600))]
    hung: Any = SimpleNamespace(
        hung=SimpleNamespace(pieces=[SimpleNamespace(drop="1", panels=panels)]),
        survey=SimpleNamespace(walls=[SimpleNamespace(name="east")]),
    )

    assert [*_on_walls(job(drops, [], strip=Fraction(500)), None)] == [("north", "1", Fraction(2 * 2000 * 500))]
    assert [*_on_walls(job(drops, []), None)] == [("north", "1", Fraction(2 * 2000))]
    assert [*_on_walls(job(drops, []), hung)] == [("east", "1", Fraction(2000 * 500))]


def test_shortage_whose_proof_is_too_long_to_follow_is_the_word_of_a_search(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is not held against the plan."""
    monkeypatch.setattr(PricedRolls, "most_worth", _too_long)
    asked, prices = job([drop("1", 550)], [lot("A", 2000)]), ListedPrices(1, {"1": 1}, {})

    report = judge_bare(asked, replace(bare(_1=1), prices=prices, is_most=False), plan(), {})

    assert report.searched == ("the rolls are too few, by a proof that is too long to be followed here",)


def _too_long(*_: object, **__: object) -> None:
    raise TooLongToFollowError


# One batch for each wall.


def of_batches(**walls: str) -> ListedBatches:
    """Return a batch for each wall, and no proof."""
    return ListedBatches(walls, {}, is_by_prices=False, certificates=())


def test_choice_whose_proof_is_too_long_to_follow_is_the_word_of_a_search(monkeypatch: pytest.MonkeyPatch) -> None:
    """Its certificate is followed no further."""
    monkeypatch.setattr(PricedRolls, "most_worth", _too_long)
    certificate = ListedCertificate("b", is_shortage=False, prices=ListedPrices(1, {"1": 1}, {}))
    asked = job([drop("1", 550, wall="north")], [lot("A", 2000, batch="b")])
    batches = ListedBatches({"north": "b"}, {"b": 1}, is_by_prices=True, certificates=(certificate,))

    report = judge_batches(asked, asked, plan(roll("A", ("1", 600, 1250))), batches, None)

    assert report.violations == ()
    assert report.searched == ("that no choice of batches, of 1, is better is the word of a search",)


def test_rolls_of_one_batch_serve_a_drop_whose_wall_is_not_told() -> None:
    """Of two batches nobody can say which it may be of."""
    drops, one, other = [drop("1", 500, wall="north"), drop("2", 500)], lot("A", 2000, batch="a"), lot("B", 2000)

    assert [*known_walls_rule(job(drops, [one]))] == []
    assert len([*known_walls_rule(job(drops, [one, other]))]) == 1


def test_each_wall_meets_the_one_to_its_right() -> None:
    """Of three walls, the last meets the first only where the room closes."""
    walls = [SimpleNamespace(name=name, corner=SimpleNamespace(is_internal=name != "b")) for name in "abc"]
    batches = replace(of_batches(a="1", b="1", c="2"), changes=(("b", "c", "external"),))
    closing: Any = SimpleNamespace(walls=walls, closes=True)
    run: Any = SimpleNamespace(walls=walls, closes=False)

    assert [*changes_rule(job([], []), batches, run)] == []
    assert len([*changes_rule(job([], []), batches, closing)]) == 1


def test_what_falls_out_of_a_drop_is_of_the_batch_of_its_wall() -> None:
    """Whatever the paper itself is said to be of."""
    drops = [drop("1", 2000, wall="north"), drop("2", 500, wall="east")]
    asked = job(drops, [lot("A", 9000, batch="a"), lot("1 out", 700, is_offcut=True, cut_from="1")])
    cut = plan(roll("A", ("1", 0, 2100)), roll("1 out", ("2", 0, 600)))

    assert [*wall_rule(asked, cut, of_batches(north="a", east="a"))] == []
    assert len([*wall_rule(asked, cut, of_batches(north="a", east="b"))]) == 1


def test_batches_are_those_of_rolls_and_of_offcuts_kept_that_may_be_of_one() -> None:
    """Of a cut-out's, and of one that no roll is of, no wall is papered."""
    offcuts = [
        lot("K", 900, is_offcut=True, batch="k"),
        lot("F", 900, is_offcut=True, batch="f", is_foreign=True),
        lot("1 out", 900, is_offcut=True, batch="o", cut_from="1"),
    ]

    assert batches_of(job([], [lot("A", 9000, batch="a"), *offcuts])) == ("a", "k")
    assert batches_of(job([drop("1", 500, batch="d")], [lot("A", 9000, batch="a")])) == ("a", "d")


@pytest.mark.parametrize(
    ("prices", "premiums", "count", "bound"),
    [
        ({"1": 3}, {}, 1, 3),
        ({"1": 3, "2": 1}, {}, 1, 4),
        ({"1": 3}, {"A": 1}, 2, 1),  # two rolls, each dearer by 1
        ({"1": 3}, {"A": 1}, None, 3),  # as many as needed are none that are short
        ({"1": 3}, {"A": 3}, 1, 0),
        ({"1": 3}, {"1 out": 1}, 1, 2),
        ({"1": 3}, {"2 out": 1}, 1, 3),  # it falls out of a drop of another wall
    ],
)
def test_certificate_proves_what_the_drops_are_worth_less_the_premiums_of_the_paper_there(
    prices: dict[str, int], premiums: dict[str, int], count: int | None, bound: int
) -> None:
    """A drop without a price is worth nothing, and so is a shortage that is none."""
    drops = [drop("1", 500, wall="n"), drop("2", 500, wall="n"), drop("3", 500, wall="e")]
    outs = [lot(f"{each} out", 300, is_offcut=True, cut_from={"1": "1", "2": "3"}[each]) for each in "12"]
    asked = job(drops, [lot("A", 2000, count=count, batch="b"), *outs])

    def proved(*, is_shortage: bool) -> Fraction | float:
        certificate = ListedCertificate("b", is_shortage, ListedPrices(1, prices, premiums))
        batches = ListedBatches({}, {}, is_by_prices=True, certificates=(certificate,))
        return _Proving(asked, batches, ("b",)).bound(0, frozenset({0}))

    assert proved(is_shortage=False) == bound
    assert proved(is_shortage=True) == (float("inf") if bound else 0)


def test_best_case_of_a_drop_whose_wall_is_not_told_is_not_asked_for_one_batch_a_wall() -> None:
    """Nor is that of rolls of one batch, where a wall is papered from what falls out of drops alone."""
    out, drops = lot("1 out", 700, is_offcut=True, cut_from="1"), [drop("1", 500), drop("2", 500)]
    told = [replace(drops[0], wall="north"), replace(drops[1], wall="east")]
    cut = plan(roll("A", ("1", 0, 600)), roll("1 out", ("2", 0, 600)))
    a, b = lot("A", 9000, batch="a"), lot("B", 9000, batch="b")

    assert [*one_batch_rule(job(drops, [a, b, out]), cut)] == []
    assert [*one_batch_rule(job(told, [a, out]), cut)] == []
    assert len([*one_batch_rule(job(told, [a, b, out]), cut)]) > 0


# Rolls and what is cut of them.


def test_half_a_millimetre_short_is_short() -> None:
    """The drop takes 600 mm."""
    asked, cut = job([drop("1", 500)], [lot("A", 2000)]), plan(roll("A", ("1", 0, 599.5)))

    (fault,) = length_rule(asked, cut)

    assert fault.message == "drop 1 is cut 0.5 mm too short: trims and height are 600 mm"


def test_sealed_roll_is_cut_behind_its_worst_lead_in_and_stretches_are_counted_from_one() -> None:
    """The second stretch ends at 2000 mm."""
    parts = (Stretch(Fraction(0), Fraction(900), Fraction(0)), Stretch(Fraction(1000), Fraction(2000), Fraction(0)))
    asked = job([drop("1", 500)], [lot("A", 2000), lot("B", 2000, parts=parts)])
    cut = plan(roll("A", ("1", 599, 1199)), roll("B", ("1", 1500, 2100)))

    assert [fault.message for fault in end_rule(asked, cut)] == [
        "drop 1 starts 1 mm before the worst lead-in of 600 mm",
        "drop 1 ends 100 mm beyond the end of stretch 2 of the roll",
    ]
    assert len([*end_rule(asked, cut, at_best=True)]) == 1


def test_batch_that_no_roll_is_of_is_told_of_the_paper_itself_and_not_of_what_falls_out_of_it() -> None:
    """Drop 2 is cut from what falls out of drop 1."""
    foreign = lot("K", 2000, is_offcut=True, batch="k", is_foreign=True)
    asked = job([drop("1", 900), drop("2", 100)], [foreign, lot("1 out", 300, is_offcut=True, cut_from="1")])
    cut = plan(roll("1 out", ("2", 0, 200)), roll("K", ("1", 0, 1000)))

    assert [fault.where for fault in batch_rule(asked, cut)] == ["roll K"]


def test_every_cut_of_a_roll_is_judged_be_those_before_it_right() -> None:
    """Drop 1 may be of any batch; it is one piece, which needs no number."""
    asked = job([drop("1", 500), drop("2", 500, batch="b", count=2)], [lot("A", 2000, batch="a")])
    cut = plan(roll("A", ("1", 0, 600), ("2 (3 of 2)", 600, 1200)))

    assert [fault.message for fault in batch_rule(asked, cut)] == ["drop 2 (3 of 2) must be of batch b, not a"]
    assert [fault.message for fault in piece_rule(asked, cut)] == ["there is no piece 2 (3 of 2): 2 of drop 2 wanted"]


def test_what_is_left_of_a_roll_is_judged_after_one_that_nobody_has() -> None:
    """Of 2000 mm 1400 are left."""
    cut = plan(roll("Z", ("1", 0, 600), left=Fraction(7)), roll("A", ("1", 0, 600), left=Fraction(1500)))

    assert [fault.where for fault in shown_rule(job([drop("1", 500)], [lot("A", 2000)]), cut)] == ["roll A"]


def test_which_of_rolls_cut_alike_hang_turned_nobody_can_say() -> None:
    """One length of them does and the next does not; of a drop that is not turned it can be said."""
    turned, plain = drop("1", 500, count=2, is_turned=False), drop("2", 500, count=2)
    asked = job([turned, plain], [lot("A", 2000, count=2)], is_reversed=True)

    def said(piece: str, *, turns: bool) -> list[str]:
        cut = replace(roll("A", (piece, 0, 600)).cuts[0], is_turned=turns)
        return [fault.message for fault in turned_rule(asked, plan(roll("A", count=2, lot="A"), alike(cut)))]

    def alike(cut: ListedCut) -> ListedRoll:
        return replace(roll("A-1", lot="A", count=2), cuts=(cut,))

    assert said("1", turns=True) == []
    assert said("2", turns=True) == ["drop 2 is said to hang turned"]
    assert said("2", turns=False) == []


def test_of_a_roll_or_an_offcut_beside_sheets_nothing_is_to_be_said() -> None:
    """Only of the sheets themselves."""
    off = tuple(map(Fraction, (50, 1350, 0, 0)))
    paper = [lot("S1", 2000, sheet=1), lot("A", 2000), lot("S1 rest", 900, sheet=1, is_offcut=True)]
    asked = job([drop("1", 600, sheet=1)], paper)
    cut = plan(*(roll(each.label, ("1", 0, 700)) for each in paper), sheets=(ListedSheet(1, "S1", off),))

    assert [*sheet_figures_rule(asked, cut)] == []


def test_sides_that_come_off_a_sheet_are_told_from_where_it_reaches_beyond_the_strip() -> None:
    """To the left by 2 and to the right by 7; of the strip's 500 it needs 10 to 480."""
    part = drop("1", 600, sheet=1, left=Fraction(10), right=Fraction(480), reach=(Fraction(2), Fraction(7)))
    off = tuple(map(Fraction, (50, 1350, 12, 27)))
    asked = job([part], [lot("S1", 2000, sheet=1)], strip=Fraction(500))

    assert [*sheet_figures_rule(asked, plan(roll("S1", ("1", 0, 700)), sheets=(ListedSheet(1, "S1", off),)))] == []


def in_order(*pieces: str) -> ListedOrder:
    """Return an order of cuts, and no figures of it."""
    return ListedOrder(pieces, "follow", None, None, None, None, None, None)


@pytest.mark.parametrize(
    ("order", "faults"),
    [
        (("1", "2", "3"), []),
        (("2", "3", "1"), ["drop 3 is cut before drop 1, and until that hangs drop 2 cannot"]),
        (("1", "3", "2"), ["drop 3 is cut before drop 2, which it is to fall out of"]),
        (("3", "2"), ["drop 3 is cut before drop 2, which it is to fall out of"]),
        (("2", "3"), []),
        (
            ("3", "4", "2"),
            [
                "drop 3 is cut before drop 2, which it is to fall out of",
                "drop 3 is cut before drop 4, and until that hangs drop 2 cannot",
            ],
        ),
    ],
)
def test_cut_out_serves_once_all_that_hang_before_its_drop_are_cut(order: tuple[str, ...], faults: list[str]) -> None:
    """Drop 3 is cut from what falls out of 2, which hangs after 1 and 4; to have no turn is another fault."""
    out = lot("2 out", 700, is_offcut=True, cut_from="2")
    asked = job([drop(label, 900) for label in "1423"], [out])
    cut = plan(roll("2 out", ("3", 0, 600)), order=in_order(*order))

    assert [fault.message for fault in source_rule(asked, cut)] == faults


def test_roll_of_a_free_match_is_not_said_to_be_sealed_and_measured_at_once() -> None:
    """It has no print to measure, yet a start that is told must agree with itself."""
    asked = job([], [lot("A", 2000), lot("B", 2000)], repeat=0)

    def faults(**told: object) -> int:
        return len([*roll_facts_rule(asked, plan(roll("B"), roll("A", **told)))])

    assert faults(has_start=True, is_sealed=True, first_motif=Fraction(5)) == 1
    assert faults(has_start=True, is_sealed=True) == 0
    assert faults(has_start=False, is_sealed=False) == 0


# Figures.


def test_bound_that_is_not_claimed_or_is_nothing_is_no_fault() -> None:
    """Where all is offcuts no roll costs anything, and a bound comes to none."""
    proof, nothing = ListedProof("none", Fraction(2), None), plan()
    roll_there, offcut = job([], [lot("A", 2000)]), job([], [lot("K", 2000, is_offcut=True)])

    def faults(asked: Wanted, claimed: int | None, proof: ListedProof | None) -> list[str]:
        certain = replace(nothing.certain, lower_bound=claimed, proof=proof)
        return [fault.message for fault in lower_bound_rule(asked, replace(nothing, certain=certain))]

    assert faults(roll_there, None, proof) == []
    assert faults(roll_there, 0, None) == []
    assert faults(offcut, 0, proof) == []
    assert faults(offcut, 2, proof) == ["lower_bound says 2, its proof's bound comes to 0 rolls"]


def test_stretches_of_a_roll_hold_together_what_each_holds() -> None:
    """However little that is: each of two is long enough for one drop wherever its print begins."""
    parts = (Stretch(Fraction(0), Fraction(1200), None), Stretch(Fraction(1300), Fraction(2500), None))
    flawed = lot("A", 2500, parts=parts)

    assert PricedRolls(job([drop("1", 500)], [flawed]), {"1": 1}).most_worth(flawed, 0, at_best=False) == 2


def test_paper_left_over_gives_drops_that_hang_after_the_one_it_waits_for() -> None:
    """Paper kept waits for none, and gives the first; what falls out of that gives the second alone."""
    kept = lot("K", 700, 50, is_offcut=True)
    out = replace(kept, label="1 out", cut_from="1")
    rolls = PricedRolls(job([drop("1", 500), drop("2", 500)], [kept, out]), {"1": 5, "2": 1})

    assert [rolls.most_worth(each, 0, at_best=False) for each in (kept, out)] == [5, 1]


def test_drop_does_not_begin_half_a_millimetre_before_the_paper() -> None:
    """Drops may begin at 0, 600 and 1200 mm; the roll is sound from 0.5 to 1201 mm."""
    cut_into = lot("A", 1201, parts=(Stretch(Fraction(1, 2), Fraction(1201), Fraction(50)),))

    assert PricedRolls(job([drop("1", 500)], [cut_into]), {"1": 1}).most_worth(cut_into, 0, at_best=False) == 1


def test_rolls_that_cost_nothing_leave_no_bound_but_nothing() -> None:
    """However much their premiums take from it."""
    asked = replace(job([drop("1", 500)], [lot("A", 2000)]), is_hand_free=True)

    assert bound_of_prices(asked, ListedPrices(1, {}, {"A": 1})) == 0


def test_rolls_without_a_limit_have_no_premiums_to_pay() -> None:
    """That they are said to have some is another fault."""
    assert (
        bound_of_prices(job([drop("1", 500)], [lot("A", 2000, count=None)]), ListedPrices(1, {"1": 2}, {"A": 1})) == 2
    )


def test_costs_add_up_in_steps_of_what_all_prices_are_multiples_of() -> None:
    """Of 12.50 and 20 that is 2.50; a roll without a price costs nothing."""
    rolls = [lot("A", 2000, price=Fraction(25, 2)), lot("B", 2000, price=Fraction(20)), lot("C", 2000)]
    asked = job([], rolls)

    assert step_of(asked, rolls) == Fraction(5, 2)
    assert asked.value_of(rolls[2]) == 0


def test_rolls_are_bought_beside_rolls_in_hand_only_where_there_are_both_at_one_price() -> None:
    """Of rolls as needed alone, no bound beside the plan's own is asked for."""
    hand, new = lot("A", 2000), lot("B", 2000, count=None)
    dear = replace(new, price=Fraction(9))

    assert [job([], rolls).buys_beside_hand for rolls in ([hand, new], [new], [hand, dear])] == [True, False, False]


def test_bound_of_one_roll_that_nothing_proves_is_refused() -> None:
    """Nothing is said to prove it, and nothing does."""
    asked, proof = job([], [lot("A", 2000)]), ListedProof("none", Fraction(1), None)

    assert [fault.message for fault in bound_rule(asked, proof, Fraction(0), "proof")] == [
        "nothing proves the bound of 1 roll"
    ]


def test_prices_that_prove_what_is_bought_allow_a_roll_in_hand_nothing() -> None:
    """Roll A, which is in hand, holds the drop: no roll need be bought, though each that is may be worth one."""
    asked, none = job([drop("1", 500)], [lot("A", 1500), lot("B", 1500, None, None)]), plan()
    proof = ListedProof("none", Fraction(0), None, ListedProof("prices", Fraction(1), ListedPrices(1, {"1": 1}, {})))
    certain = replace(none.certain, bought=1, least_bought=1, proof=proof)
    told = plan(roll("B-1", ("1", 600, 1200), lot="B"), objective="rolls_to_buy", certain=certain)

    assert [fault.message for fault in judge_bought(asked, told).violations] == [
        "drops worth 1 can lie together on a roll of lot A, the prices allow 0"
    ]


@pytest.mark.parametrize(
    ("length", "others", "told", "faults"),
    [
        (1200, [], 4, 1),  # a roll listed and one for each of two pieces: 3 are enough
        (1200, [], 3, 0),
        (1199, [], 4, 0),  # 600 mm and a repeat do not fit on every roll
        (1200, [lot("B", 900, None, None)], 4, 1),
        (1200, [lot("B", 1200, batch="b")], 4, 0),  # of two batches one roll may not do for another
    ],
)
def test_a_roll_for_each_piece_from_an_offcut_is_enough_without(
    length: int, others: list[StockLot], told: int, faults: int
) -> None:
    """Where a roll holds the longest drop wherever its print begins."""
    offcut, without = lot("K", 3000, is_offcut=True), ListedWithoutOffcuts(told, None, is_proved=True)
    asked = job([drop("1", 500, count=3)], [lot("A", length, None, None), *others, offcut])
    cut = plan(
        roll("A-1", ("1 (1 of 3)", 600, 1200), lot="A"),
        roll("K", ("1 (2 of 3)", 600, 1200), ("1 (3 of 3)", 1200, 1800)),
    )

    assert len([*without_offcuts_rule(asked, replace(cut, without_offcuts=without))]) == faults


def test_where_pieces_hang_is_not_judged_once_more_of_the_plan_without_offcuts(monkeypatch: pytest.MonkeyPatch) -> None:
    """They hang as they do with them."""
    monkeypatch.setattr("cutplan.check.judge.judge_wall", _too_long)
    room: Any = SimpleNamespace(survey=SimpleNamespace(walls=[], closes=False))
    of_none = {"format": FORMAT, "status": "unknown", "rolls_needed": 0, "lower_bound": 0, "rolls": []}
    without = ListedWithoutOffcuts(1, None, is_proved=False, plan=Table("", of_none, []))
    asked = job([drop("1", 500)], [lot("A", 1200)])

    report = _judge_without_offcuts(asked, plan(without_offcuts=without), _Sides(room, None, None))

    assert any(fault.where == "without offcuts: drop 1" for fault in report.violations)


def test_a_roll_for_each_piece_from_an_offcut_costs_what_the_first_roll_to_be_had_costs() -> None:
    """One of 3 and two more come to 9; the dearer rolls beside it do not count."""
    rolls = [lot("A", 1200, None, None, price=Fraction(3)), lot("B", 1200, None, None, price=Fraction(5))]
    asked = job([drop("1", 500, count=3)], [*rolls, lot("K", 3000, is_offcut=True)])
    cut = plan(roll("A-1", ("1", 600, 1200), lot="A"), roll("K", ("1", 600, 1200), ("1", 1200, 1800)))

    def faults(cost: int) -> int:
        without = ListedWithoutOffcuts(3, Fraction(cost), is_proved=True)
        return len([*without_offcuts_rule(asked, replace(cut, without_offcuts=without))])

    assert (faults(9), faults(10)) == (0, 1)


@pytest.mark.parametrize(
    ("repeat", "drops", "least"),
    [
        ("0", [("0", "3")], "3"),
        ("5", [("2", "9")], "14"),
        ("5/2", [("1", "10"), ("2", "2"), ("0", "5")], "21"),
        ("1", [("0", "1/2"), ("1/2", "1/2")], "2"),
    ],
)
def test_shortest_piece_of_fractions_and_of_one_drop(repeat: str, drops: list[tuple[str, str]], least: str) -> None:
    """A repeat may be lost at its beginning; the rest is as long as the drops and the paper between them."""
    wanted = {
        str(number): WantedDrop(str(number), Fraction(height), Fraction(motif), Fraction(0), Fraction(0), 1)
        for number, (motif, height) in enumerate(drops)
    }
    asked = replace(job([], []), match=Match(Fraction(repeat), Fraction(0)), drops=wanted)

    assert shortest_piece(asked) == Fraction(least)


def test_offcuts_help_only_a_drop_that_they_may_and_can_give() -> None:
    """One too short does not, nor one of another sheet, nor what falls out of the drop itself."""
    asked = drop("1", 500)

    def helps(offcut: StockLot) -> bool:
        return offcuts_help(job([asked], [offcut]))

    assert helps(lot("K", 1200, is_offcut=True))
    assert not helps(lot("K", 1199, is_offcut=True))
    assert not helps(lot("K", 1200, is_offcut=True, sheet=2))
    assert not helps(lot("K", 1200, is_offcut=True, cut_from="1"))


@pytest.mark.parametrize(("needed", "proved"), [(Fraction(1000), True), (Fraction(1001), False), (None, False)])
def test_order_is_proved_where_what_is_needed_of_one_piece_is_told_and_can_be_had(
    needed: Fraction | None, *, proved: bool
) -> None:
    """The shop's roll has 1000 mm."""
    sold = Sold(1, 1, "m", Fraction(1), Fraction(1), Fraction(1000))
    order = ListedOrdered(Fraction(1000), Fraction(1000), needed, None, ())

    assert order_is_proved(job([drop("1", 500)], [], sold=sold), order) is proved


# What could be given up.


def test_rolls_to_be_had_take_no_name_of_paper_in_hand_and_leave_out_what_falls_out_no_more() -> None:
    """What falls out of drops comes with the drops."""
    asked = job([drop("1", 500)], [lot("A", 2000), lot("9 out", 700, is_offcut=True, cut_from="9")])
    faults: list[str] = []

    made = with_rolls_to_be_had(asked, Table("", {"rolls_to_be_had": [{"lot": "B"}]}, faults), is_another_batch=False)
    assert ([*made.lots], faults) == (["A", "B"], [])

    with_rolls_to_be_had(asked, Table("", {"rolls_to_be_had": [{"lot": "A"}]}, faults), is_another_batch=False)
    assert faults == ["rolls_to_be_had[1].lot: 'A' is used more than once"]


def sideways(
    left: int | None,
    lengths: tuple[float, ...],
    growth: str | None = None,
    trim: int = 50,
    **job_of: Any,  # noqa: ANN401
) -> int:
    """Return how many faults there are in two pieces, 100 mm wide, of which some are laid across the roll."""
    old = drop("1", 100, count=3, left=Fraction(0), right=Fraction(100))
    told: dict[str, Any] = {"repeat": 0, "strip": Fraction(530)} | job_of
    asked = job([old], [], **told)
    across = [
        replace(
            old,
            label=f"1 across {number}",
            height=Fraction(length),
            trim_top=Fraction(trim),
            count=1,
            left=None,
            right=None,
        )
        for number, length in enumerate(lengths, 1)
    ]
    made = {each.label: each for each in across}
    if left:
        made["1"] = replace(old, count=left)
    paper = {"sideways": True} | ({} if growth is None else {"wet_growth": growth})
    step = ListedStep("sideways", "turn drop 1 by a quarter, across the roll", 0, 0, 0, None, None)
    whole = Whole(asked, None, {}, Table("", {"paper": paper}, []))
    return len([*given_up_rule(step, whole, made, is_another_batch=False)])


def test_piece_laid_across_is_as_long_as_it_is_wide_when_wet() -> None:
    """Two of three pieces, 200 mm high as they are cut, lie side by side; 2 % of growth make 100 mm 102.

    A strip of 300 mm takes no two of them.
    """
    assert sideways(1, (100,)) == 0
    assert sideways(1, (99,)) == 1
    assert sideways(1, (100,), trim=49) == 1
    assert sideways(1, (102,), "2") == 0
    assert sideways(1, (101.99,), "2") == 1
    assert sideways(1, (100,), strip=None) == 1
    assert sideways(1, (100,), repeat=600) == 1
    assert sideways(2, (100, 100)) == 1
    assert sideways(None, (100, 100, 100), strip=Fraction(300)) == 0


def test_drops_of_a_step_are_what_its_words_make_of_those_of_the_job() -> None:
    """Drop 1 is turned, or it is not."""
    old = drop("1", 500, 100)
    whole = Whole(job([old], []), None, {}, Table("", {}, []))
    step = ListedStep("turned", "hang drop 1 head down", 0, 0, 0, None, None)
    turned = replace(old, first_motif=Fraction(400))

    assert step.words == {"drops": "1"}
    assert [*given_up_rule(step, whole, {"1": turned}, is_another_batch=False)] == []
    assert len([*given_up_rule(step, whole, {"1": old}, is_another_batch=False)]) == 1


START = Start(0, Fraction(500), "motif", Fraction(0), Fraction(0), "right")


@pytest.mark.parametrize(
    ("words", "faults"),
    [
        ("the motif at 1000 mm from the left of north", 0),
        ("a joint at 1000 mm from the left of north", 1),
        ("the motif at 1000 mm from the left of east", 1),
        ("the motif at 1001 mm from the left of north", 1),
    ],
)
def test_another_start_is_where_the_words_put_it(words: str, faults: int) -> None:
    """It puts the motif 1000 mm from the left of the north wall."""
    step = ListedStep("start", f"begin with {words}", 0, 0, 0, None, None)
    walls = [SimpleNamespace(name="north"), SimpleNamespace(name="east")]
    begun = replace(START, at=Fraction(1000))
    old: Any = SimpleNamespace(survey=SimpleNamespace(start=START, finish=None))
    new: Any = SimpleNamespace(survey=SimpleNamespace(start=begun, finish=None, walls=walls))

    assert len([*start_rule(step, old, new)]) == faults


@pytest.mark.parametrize("place", ["230 mm from the left of b", "0 mm from the left of c"])
@pytest.mark.parametrize(("hung", "lower"), [(True, 100), (False, 0)])
def test_joint_in_a_corner_is_told_from_either_wall(place: str, lower: int, *, hung: bool) -> None:
    """One strip goes from wall a on to all of b, the next from all of c on to d; beyond, something hangs or nothing."""
    whole_walls = [SimpleNamespace(name=name, openings=[SimpleNamespace(name="door")], fittings=[]) for name in "abcd"]
    panels = [[(0, 800, 1000), (1, 0, 230)], [(2, 0, 100), (3, 5, 430)]]
    columns = [
        SimpleNamespace(
            number=number, panels=[SimpleNamespace(wall=w, left=Fraction(a), right=Fraction(b)) for w, a, b in each]
        )
        for number, each in enumerate(panels)
    ]
    pieces = [SimpleNamespace(drop="1", column=0), *([SimpleNamespace(drop="2", column=1)] if hung else [])]
    wall: Any = SimpleNamespace(
        survey=SimpleNamespace(walls=whole_walls), hung=SimpleNamespace(columns=columns, all_in_order=pieces)
    )
    asked = job([drop("1", 500), drop("2", 500)] if hung else [drop("1", 500)], [])
    made = {**asked.drops} | ({"2": hung_lower(asked.drops["2"], Fraction(lower), asked)} if hung else {})
    what = f"leave the joint {place} unmatched, behind door, and hang the print to its right {lower} mm lower"
    step, whole = ListedStep("joint", what, 0, 0, 0, None, None), Whole(asked, wall, {}, Table("", {}, []))

    assert [*given_up_rule(step, whole, made, is_another_batch=False)] == []


# Orders, steps and stock of a plan in use.


def test_fact_of_an_order_says_how_many_pieces_wait() -> None:
    """Piece 2 is cut first, and hangs last."""
    order = replace(in_order("2", "1"), most_waiting=1)
    asked = job([drop("1", 500), drop("2", 500)], [lot("A", 2000)])
    cut = plan(roll("A", ("2", 0, 600), ("1", 600, 1200)), order=order)

    assert judge_order(asked, cut, is_sound=True).facts == ("order: 2 cuts, along each roll, 1 piece waiting at most",)


def test_piece_on_two_rolls_is_cut_from_the_one_that_has_it_still() -> None:
    """Roll A has given its piece 1, and on roll B it lies below piece 2."""
    cut = plan(roll("A", ("1", 0, 600)), roll("B", ("2", 0, 600), ("1", 600, 1200)), order=in_order("1", "1", "2"))
    asked = job([drop("1", 500, count=2), drop("2", 500)], [lot("A", 2000), lot("B", 2000)])

    assert [fault.message for fault in judge_order(asked, cut, is_sound=False).violations] == [
        "piece 1 is cut before piece 2, which lies above it on roll B"
    ]


def steps(*doings: Doing, of: str = "A") -> list[Step]:
    """Return steps on the one roll of a lot."""
    return [Step(number, of, 1, 1, doing) for number, doing in enumerate(doings, 1)]


def test_first_of_several_steps_is_named_on_a_roll_from_which_nothing_is_cut() -> None:
    """Two are."""
    on_roll = steps(Doing("open"), Doing("next stretch"), of="X")

    assert [*steps_rule(on_roll, job([], []), plan())] == ["step 1 is on roll 1 of X, from which the plan cuts nothing"]


def test_what_is_cut_off_a_stretch_whose_print_is_not_known_has_no_length() -> None:
    """Only where its motif comes to lie is known, 50 mm behind the cut."""
    parts = (Stretch(Fraction(0), Fraction(900), Fraction(0)), Stretch(Fraction(1000), Fraction(3000), None))
    asked, cut = job([drop("1", 500)], [lot("A", 3000, parts=parts)]), plan(roll("A", ("1", 1600, 2200)))
    motif = Fraction(50)
    done = steps(
        Doing("open", Fraction(3000), Fraction(0)),
        Doing("next stretch"),
        Doing("cut off", None, motif),
        Doing("cut", Fraction(600), motif, "1", "1"),
    )

    assert [*steps_rule(done, asked, cut)] == []


def test_part_of_a_sheet_whose_motif_would_lie_at_its_end_shows_none() -> None:
    """It is cut 300 mm long, and the motif is 300 mm down."""
    asked = job([drop("1", 200, 250, sheet=1)], [lot("A", 2000, 300, sheet=1)])
    done = steps(Doing("open", Fraction(2000), Fraction(300)), Doing("cut", Fraction(300), None, "1", "1"))

    assert [*steps_rule(done, asked, plan(roll("A", ("1", 0, 300))))] == []


def test_stock_has_what_falls_out_of_a_drop_of_the_batch_of_its_wall() -> None:
    """Or of none, as the scenario has it."""
    asked = job([drop("1", 500, wall="north")], [lot("1 out", 300, is_offcut=True, cut_from="1")])
    entry: dict[str, Any] = {"label": "1 out", "length": "300", "count": 1, "cut_from": "1", "offcut": True}

    def faults(**batch: str) -> list[str]:
        return [*stock_rule([Table("", entry | batch, [])], asked, plan(), {"north": "b"})]

    assert (faults(), faults(batch="b")) == ([], [])
    assert faults(batch="c") == ["the stock has another batch of 1 out than the scenario"]


def test_stock_tells_where_the_print_of_a_stretch_begins_though_nothing_is_matched() -> None:
    """The second begins at 1000 mm, and its motif lies at 1200."""
    parts = (Stretch(Fraction(0), Fraction(900), None), Stretch(Fraction(1000), Fraction(2000), Fraction(1200)))
    told = [{"start": "0", "length": "900"}, {"start": "1000", "length": "1000", "first_motif": "200"}]
    entry: dict[str, Any] = {"label": "A", "length": "2000", "count": 1, "parts": told}

    assert [*stock_rule([Table("", entry, [])], job([], [lot("A", 2000, parts=parts)], repeat=0), plan(), {})] == []


def test_three_lengths_may_wait_folded_where_nothing_is_said_of_it() -> None:
    """As many as there are usually."""
    pace = read_pace(Table("", {"pace": {}}, []))

    assert pace is not None
    assert pace.folded == 3
