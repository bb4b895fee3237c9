"""Plans made by hand, small enough to follow with a finger; positions are worked out beside each."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.paper.pattern import FREE, Pattern
from cutplan.paper.stock import Lot, Paper
from cutplan.plan.plan import AtBest, Cut, Plan, RollLayout
from cutplan.plan.proof import Prices, Proof
from cutplan.scenario.read import Scenario

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

TRIM: Final = Fraction(50)
ROLL: Final = Fraction(10050)
HALF_DROP: Final = Pattern(Fraction(640), Fraction(320))
SEALED: Final = (Lot("roll", ROLL, count=None),)


def drop(label: str, height: int | Fraction, first_motif: int | Fraction = 0, count: int = 1) -> Drop:
    """Return a drop with the usual trim of 50 mm at both ends."""
    return Drop(label, Fraction(height), Fraction(first_motif), TRIM, TRIM, count)


def job(drops: Iterable[Drop], pattern: Pattern = HALF_DROP, lots: tuple[Lot, ...] = SEALED) -> Job:
    """Return a job from rolls of 10.05 m, sealed unless ``lots`` says otherwise."""
    return Job(Paper("Heron, slate", pattern, ROLL), lots, tuple(drops))


def packed(wanted: Job, rolls: Sequence[tuple[str, int, Sequence[str]]], **figures: object) -> Plan:
    """Return a plan whose rolls, each (lot, count, drops in order), are cut as close as the print allows.

    ``figures`` are fields of the plan that differ from a proof by prices that are not given.
    """
    numbers = dict.fromkeys((lot.label for lot in wanted.lots), 1)
    layouts = []
    for lot, count, labels in rolls:
        cuts = tuple(_placed(wanted, wanted.lot(lot), labels))
        layouts.append(RollLayout(lot, numbers[lot], count, cuts))
        numbers[lot] += count
    made = sum(layout.count for layout in layouts)
    given = {
        "proof": Proof(Fraction(made), None, by_search=False),
        "at_best": None,
        "stopped": None,
        **figures,
    }
    return Plan(wanted, tuple(layouts), **given)  # type: ignore[arg-type]


def _placed(wanted: Job, lot: Lot, labels: Iterable[str]) -> Iterable[Cut]:
    pattern = wanted.paper.pattern
    place = pattern.repeat if lot.first_motif is None else Fraction(0)
    below = lot.first_motif
    for label in labels:
        piece = wanted.drop(label)
        if below is not None:
            place += pattern.within_repeat(below - piece.motif_below_cut)
        yield Cut(label, place, place + piece.cut_length)
        place += piece.cut_length
        below = piece.motif_below_cut - piece.cut_length


def half_drop_wall() -> Plan:
    """Return four columns of a half-drop, 2400 mm high, on two sealed rolls: 1 and 3 alike, 2 and 4 alike.

    Each is cut 2500 mm long; two alike on a roll lose 60 mm, since 4 × 640 − 2500 = 60.
    """
    drops = [drop("1", 2400, 95), drop("2", 2400, 415), drop("3", 2400, 95), drop("4", 2400, 415)]
    best = AtBest(Fraction(1), 1, Proof(Fraction(1), None, by_search=False))
    prices = Prices({"1": 1, "2": 1, "3": 1, "4": 1}, {}, 3)
    proof = Proof(Fraction(2), prices, by_search=False)
    return packed(job(drops), [("roll", 1, "42"), ("roll", 1, "13")], at_best=best, proof=proof)


def free_match_wall() -> Plan:
    """Return three pieces of a free match on one roll in hand, 6 m long: 2500, 500 and 2500 mm to cut."""
    drops = [drop("1", 2400), drop("2 over door", 400), drop("3", 2400)]
    lots = (Lot("A", Fraction(5600), Fraction(0), batch="2207", price=Fraction(62)),)
    return packed(job(drops, FREE, lots), [("A", 1, ["1", "3", "2 over door"])])


def scenario_of(plan: Plan, notes: tuple[str, ...] = ()) -> Scenario:
    """Return a scenario as the reader would have made it, for tests that need only carry one along."""
    return Scenario(plan.job, "mm", notes, {"units": "mm"}, "wall.toml")
