"""The best case, in which every sealed roll begins where its layout likes: its rolls judged as those of the plan."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Final

from msgspec.structs import replace

from cutplan.check.proof.prices_proof import figure
from cutplan.check.report import Report, Violation, counted
from cutplan.check.roll_rules.one_batch_a_wall import ListedBatches, batches_of, wall_rule
from cutplan.check.roll_rules.rolls_and_drops import ROLL_RULES, drop_label, end_rule
from cutplan.check.roll_rules.rolls_there import rolls_known
from cutplan.check.roll_rules.totals import cost_listed, rolls_listed
from cutplan.check.stated.document import ListedPlan
from cutplan.check.stated.echo import Wanted

_RULES: Final = tuple(partial(end_rule, at_best=True) if rule is end_rule else rule for rule in ROLL_RULES)


def judge_best_case(wanted: Wanted, plan: ListedPlan) -> Report:
    """Return the judgement of the rolls of the best case; an empty one where none are listed."""
    if not plan.best_rolls:
        return Report()
    best = replace(plan, rolls=plan.best_rolls, order=None, sheets=())
    broken = [broken for rule in _RULES for broken in rule(wanted, best)]
    broken += [*figures_rule(wanted, best), *one_batch_rule(wanted, best)]
    if broken:
        return Report(tuple(broken)).within("at best")
    cost = "" if plan.at_best.cost is None else f", {figure(wanted, plan.at_best.cost)}"
    return Report(facts=(f"at best {counted(rolls_listed(wanted, best), 'roll')}{cost}, as the best case is cut",))


def figures_rule(wanted: Wanted, best: ListedPlan) -> Iterator[Violation]:
    """Require the figures of the best case to be those of its rolls."""
    rolls, cost = rolls_listed(wanted, best), cost_listed(wanted, best)
    if best.at_best.rolls != rolls or best.at_best.cost not in (None, cost):
        yield Violation(
            "at best", "", f"{counted(rolls, 'roll')} are listed, and at_best or at_best_cost says otherwise"
        )


def one_batch_rule(wanted: Wanted, best: ListedPlan) -> Iterator[Violation]:
    """Require every wall to be papered from one batch, where walls are told: that of the first roll cut for it."""
    if len(batches_of(wanted)) < 2 or any(drop.wall is None for drop in wanted.drops.values()):  # noqa: PLR2004 - two differ
        return
    of_walls: dict[str, str] = {}
    for roll, lot in rolls_known(wanted, best):
        for cut in roll.cuts if lot.cut_from is None else ():
            drop = wanted.drops.get(drop_label(cut.piece))
            of_walls.setdefault("" if drop is None else drop.wall or "", lot.batch)
    yield from wall_rule(wanted, best, ListedBatches(of_walls, {}, is_by_prices=False, certificates=()))
