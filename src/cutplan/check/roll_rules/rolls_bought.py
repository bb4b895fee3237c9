"""Rolls bought as needed beside rolls in hand: the number bought is the fewest, and of such plans that opened.

Two proofs are judged as any other. The first takes rolls in hand to cost nothing, so that only those bought count. The
second counts every roll opened, by plans that buy no more of any lot than this one buys in all.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from cutplan.check.proof.prices_proof import judge_proof
from cutplan.check.report import Report, Violation, counted, together
from cutplan.check.roll_rules.rolls_there import rolls_bought
from cutplan.check.stated.document import Figures, ListedPlan, ListedProof
from cutplan.check.stated.echo import Wanted


def with_so_many_bought(wanted: Wanted, plan: ListedPlan, figures: Figures) -> Wanted:
    """Return what is wanted where no more are bought than these figures say; unlimited where a plan does not say it."""
    if not plan.buys_first or figures.bought is None:
        return wanted
    lots = (replace(lot, count=figures.bought) if lot.count is None else lot for lot in wanted.lots.values())
    return replace(wanted, lots={lot.label: lot for lot in lots if lot.count})


def judge_bought(wanted: Wanted, plan: ListedPlan) -> Report:
    """Return the judgement of how many rolls are said to be bought, and to be needed at least, of those not in hand."""
    broken = list(_told_rule(wanted, plan))
    if not plan.buys_first:
        return Report(tuple(broken))
    proofs = [Report(tuple(broken))]
    of_bought = replace(wanted, is_hand_free=True)
    for figures, subject in ((plan.certain, "proof"), (plan.at_best, "at_best_proof")):
        proof = None if figures.proof is None else figures.proof.to_buy
        proofs.append(Report(tuple(_least_rule(figures, proof))))
        proofs.append(judge_proof(of_bought, proof, f"{subject}.to_buy", at_best=figures is plan.at_best))
    return together(*proofs)


def _told_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require the numbers bought to be told where they count, and only there, and to be those of the rolls listed."""
    best = plan.best_rolls or (plan.rolls if plan.at_best.rolls is not None else None)
    for figures, rolls in ((plan.certain, plan.rolls), (plan.at_best, best)):
        key, claimed = figures.names[5], figures.bought
        if not plan.buys_first or rolls is None:
            proved = None if figures.proof is None else figures.proof.to_buy
            if any(told is not None for told in (claimed, figures.least_bought, proved)):
                yield Violation("totals", "", f"{key} is told or proved, and nobody asks for it")
            continue
        bought = rolls_bought(wanted, replace(plan, rolls=rolls))
        if claimed != bought:
            said = "nothing" if claimed is None else claimed
            yield Violation("totals", "", f"{key} says {said}, and {counted(bought, 'roll')} listed are not in hand")
    if _bought(plan.at_best) > _bought(plan.certain):
        yield Violation("at best", "", "more are said to be bought at best than are certain to be enough")


def _bought(figures: Figures) -> int:
    return figures.bought or 0


def _least_rule(figures: Figures, proof: ListedProof | None) -> Iterator[Violation]:
    """Require the fewest to be bought to be those that the proof shows, and bought where the plan is called optimal."""
    claimed, key = figures.least_bought, figures.names[6]
    if claimed is None:
        if figures.bought is not None:
            yield Violation("bound", "", f"{key} is not told")
        return
    bound = 0 if proof is None else proof.bound
    if claimed != bound:
        yield Violation("bound", "", f"{key} says {claimed}, its proof's bound comes to {counted(bound, 'roll')}")
    if _bought(figures) < claimed:
        yield Violation("status", "", f"{figures.names[5]}: {_bought(figures)} is below the bound of {claimed}")
    elif figures.status == "optimal" and _bought(figures) > claimed:
        what = f"{figures.names[4]} says optimal, but {_bought(figures)} to buy is above the bound of {claimed}"
        yield Violation("status", "", what)
