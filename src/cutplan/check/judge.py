"""Judging a plan: read it, apply every rule, and report."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from cutplan.check.proof.prices_proof import figure, judge_proof
from cutplan.check.report import PlanUnreadable, Report, Violation, counted, exact_text, mm, together
from cutplan.check.roll_rules.as_sold import order_is_proved
from cutplan.check.roll_rules.bare_pieces import ListedBare, judge_bare, read_bare, walls_order_rule, without_bare
from cutplan.check.roll_rules.best_case import judge_best_case
from cutplan.check.roll_rules.one_batch_a_wall import ListedBatches, judge_batches, read_batches
from cutplan.check.roll_rules.rolls_and_drops import ROLL_RULES
from cutplan.check.roll_rules.rolls_bought import judge_bought, with_so_many_bought
from cutplan.check.roll_rules.rolls_there import rolls_known
from cutplan.check.roll_rules.steps_given_up import (
    CHANGED,
    ListedStep,
    Whole,
    changes_rule,
    drops_of_step,
    figures_rule,
    start_rule,
    with_rolls_to_be_had,
)
from cutplan.check.roll_rules.totals import TOTAL_RULES, rolls_listed, value_listed, without_rule
from cutplan.check.stated.document import COUNTED, ListedPlan, read_plan
from cutplan.check.stated.echo import Wanted, read_wanted, with_ordered, with_units
from cutplan.check.stated.fields import Json, Table
from cutplan.check.stated.known_keys import PLAN, TOO_FEW, unknown_told
from cutplan.check.table_rules.by_the_clock import PaceWanted, judge_timetable, read_pace
from cutplan.check.table_rules.cutting_order import judge_order
from cutplan.check.wall_rules.on_the_wall import WallToJudge, judge_wall, read_wall, with_drops


def check_plan(document: Json) -> Report:
    """Return the judgement of a plan document, as JSON gives it.

    Raises
    ------
    PlanUnreadable
        When the document's structure leaves nothing to judge; it holds every such fault.

    """
    if "partial" in document:
        report, shape = _check_partial(document), TOO_FEW
    else:
        report, shape = judge_read(*read_document(document)), PLAN
    return replace(report, trusted=(*report.trusted, *unknown_told(document, shape)))


def _check_partial(document: Json) -> Report:
    """Return the judgement of a job that its rolls are too few for, with the plan of what they do."""
    outer = Table("", document, [])
    bare, partial = read_bare(outer), document.get("partial")
    if partial is not None and not isinstance(partial, dict):
        outer.fault("partial", "must be an object, or null where nothing is cut")
    if outer.faults:
        raise PlanUnreadable(outer.faults)
    whole: Json = {key: document[key] for key in ("format", "setting_out", "scenario", "notes") if key in document}
    nothing: Json = {"status": "unknown", "rolls_needed": 0, "lower_bound": 0, "rolls": []}
    within: Json = {**(partial if isinstance(partial, dict) else nothing), **whole}
    wanted, plan, sides = read_document(within)
    on_walls: dict[str, set[str]] = {}
    areas: dict[str, Fraction] = defaultdict(Fraction)
    for wall, label, area in _on_walls(wanted, sides.wall):
        on_walls.setdefault(wall, set()).add(label)
        areas[wall] += area
    short = judge_bare(wanted, bare, plan, on_walls)
    ordered = walls_order_rule(bare, areas, *_first_walls(outer, sides.wall))
    short = replace(short, violations=(*short.violations, *ordered))
    kept = without_bare(wanted, bare)
    if bool(kept.drops) != (partial is not None):
        what = "there is no plan of what is not bare" if kept.drops else "all stays bare, and there is a partial plan"
        return replace(short, violations=(*short.violations, Violation("bare", "", what)))
    steps = [*_judge_steps(bare, Whole(wanted, sides.wall, on_walls, with_units(outer.needed_table("scenario"))))]
    if outer.faults:
        raise PlanUnreadable(outer.faults)
    told = ("why the rolls are too few: that is told in words, which are not judged",) if document.get("reason") else ()
    short = together(short, *steps, Report(trusted=told))
    if partial is None:
        return short if sides.wall is None else together(short, judge_wall(kept, plan, sides.wall))
    held = judge_read(kept, plan, sides)
    held = replace(held, violations=held.within("partial").violations)
    return together(short, held, subject="the plan of what can be cut")


def _judge_steps(bare: ListedBare, whole: Whole) -> Iterator[Report]:
    """Yield the judgement of what could be given up: of the plan of each, and that it is what its words say."""
    without = [step for step in bare.steps if step.plan is None or (step.other_plan is None) == (step.kind == "batch")]
    if without:
        few = f"{len(without)} of {counted(len(bare.steps), 'step')}"
        what = f"what could be given up: {few} come without a plan that proves them"
        yield Report(searched=(what,))
    for number, step in enumerate(bare.steps, 1):
        judged = [_judge_step(step.plan, step, whole)] if step.plan is not None else []
        if step.other_plan is not None:
            judged.append(_judge_step(step.other_plan, step, whole, is_another_batch=True))
        name, more = f"given up, step {number}", counted(step.needed + step.other, "more roll")
        yield from (replace(report, facts=()).within(name) for report in judged)
        if step not in without and all(report.holds for report in judged):
            yield Report(facts=(f"{name}: {more}, by a plan for what its words say",))


def _judge_step(plan: Table, step: ListedStep, whole: Whole, *, is_another_batch: bool = False) -> Report:
    """Return the judgement of a plan of something given up."""
    sides = _Sides(whole.wall, read_batches(plan), None)
    stated = {key: value for key, value in plan.values.items() if key not in CHANGED}
    if step.kind == "start":
        begun = {key: plan.values[key] for key in ("start", "finish") if key in plan.values}
        elsewhere: Json = {
            key: value for key, value in whole.scenario.values.items() if key not in ("start", "finish", "pace")
        }
        wanted, listed, sides = read_document({**stated, "scenario": elsewhere | begun})
        broken = [*start_rule(step, whole.wall, sides.wall)]
    else:
        listed, drops = read_plan(replace(plan, values=stated)), drops_of_step(plan, whole.scenario, whole.wanted)
        broken = [*changes_rule(step, whole, drops, is_another_batch=is_another_batch)]
        wanted = replace(whole.wanted, drops=drops)
    wanted = with_rolls_to_be_had(wanted, plan, is_another_batch=is_another_batch)
    if plan.faults:
        raise PlanUnreadable(plan.faults)
    figures = (step.other, None) if is_another_batch else (step.needed, step.least)
    broken += figures_rule(listed, wanted, *figures)
    judged = judge_read(wanted, listed, sides, is_hung=step.kind == "start")
    return together(Report(tuple(broken)), judged)


def _on_walls(wanted: Wanted, wall: WallToJudge | None) -> Iterator[tuple[str, str, Fraction]]:
    """Yield walls with the drops on them and the area of paper: a piece that turns a corner is on both."""
    if wall is not None:
        for piece in wall.hung.pieces:
            for panel in piece.panels:
                area = wanted.drops[piece.drop].height * (panel.right - panel.left)
                yield wall.survey.walls[panel.wall].name, piece.drop, area
        return
    for drop in wanted.drops.values():
        if drop.wall is not None:
            yield drop.wall, drop.label, drop.height * drop.width_of(wanted.strip or Fraction(1)) * drop.count


def _first_walls(document: Table, wall: WallToJudge | None) -> tuple[tuple[str, ...], str | None]:
    """Return the walls that the scenario puts first where rolls are too few, and that of the start of a room."""
    cutting = document.needed_table("scenario").table("cutting")
    told = () if cutting is None else cutting.texts("first_walls", "names")
    return told, None if wall is None else wall.survey.walls[wall.survey.start.wall].name


def read_document(document: Json) -> tuple[Wanted, ListedPlan, _Sides]:
    """Return what a plan document wants and states; raises as :func:`check_plan` does."""
    table = Table("", document, [])
    plan = read_plan(table)
    scenario = table.table("scenario")
    if scenario is None:
        raise PlanUnreadable([*table.faults, "scenario: is missing; without it there is nothing to judge by"])
    wanted = read_wanted(scenario)
    if plan.ordered is not None:
        wanted = with_ordered(wanted, plan.ordered.pieces)
    wall = read_wall(table, scenario, wanted) if wanted.is_survey else None
    sides = _Sides(wall, read_batches(table), read_pace(scenario))
    if table.faults:
        raise PlanUnreadable(table.faults)
    if wall is not None:
        wanted = with_drops(wanted, wall)
    if not wanted.drops or not (wanted.rolls or plan.ordered):
        raise PlanUnreadable(["scenario: it wants no drop, or has no roll"])
    return wanted, plan, sides


class _Sides(Struct, frozen=True):
    """What a plan may have beside its rolls: a room, batches, and a pace; None where it has none."""

    wall: WallToJudge | None
    batches: ListedBatches | None
    pace: PaceWanted | None


def judge_read(wanted: Wanted, plan: ListedPlan, sides: _Sides, *, is_hung: bool = True) -> Report:
    """Return the judgement of a plan; of what hangs on the wall too, unless that is another job's (``is_hung``)."""
    broken = [violation for rule in (*ROLL_RULES, *TOTAL_RULES) for violation in rule(wanted, plan)]
    order = judge_order(wanted, plan, is_sound=not broken)
    is_told = bool(plan.order is None or order.facts or order.trusted)
    limited = with_so_many_bought(wanted, plan, plan.certain)
    judged = together(
        judge_wall(wanted, plan, sides.wall) if sides.wall is not None and is_hung else Report(),
        Report(tuple(broken), () if broken else tuple(_facts_of_rolls(wanted, plan))),
        judge_bought(wanted, plan),
        judge_proof(limited, plan.certain.proof, "proof", at_best=False),
        judge_proof(with_so_many_bought(wanted, plan, plan.at_best), plan.at_best.proof, "at_best_proof", at_best=True),
        judge_batches(wanted, limited, plan, sides.batches, sides.wall.survey if sides.wall is not None else None),
        judge_best_case(wanted, plan),
        _judge_without_offcuts(wanted, plan, sides),
        order,
        judge_timetable(wanted, plan, sides.pace, is_followed=not order.trusted) if is_told else Report(),
    )
    searched: tuple[str, ...] = ()
    if plan.ordered is not None and not order_is_proved(wanted, plan.ordered):
        searched = (f"that no order shorter than {mm(plan.ordered.lower_bound)} is certain is the word of a search",)
    if _is_better_at_best(plan) and not plan.best_rolls:
        best = counted(plan.at_best.rolls or 0, "roll")
        cost = "" if plan.at_best.cost is None else f", {figure(wanted, plan.at_best.cost)}"
        searched += (f"that at best {best}{cost} do is the word of the planner, who lists no cuts of them",)
    facts = tuple(_facts_of_figures(wanted, plan, stands=judged.holds))
    return together(judged, Report((), facts, searched, tuple(_trusted(wanted, plan))))


def _judge_without_offcuts(wanted: Wanted, plan: ListedPlan, sides: _Sides) -> Report:
    """Return the judgement of what is said to be needed without offcuts, by the plan of it."""
    without = plan.without_offcuts
    if without is None:
        return Report()
    need = (
        "the rolls are not enough"
        if without.rolls is None
        else f"{counted(without.rolls, 'roll')} {'is' if without.rolls == 1 else 'are'} needed"
    )
    if without.plan is None:
        return Report(searched=(f"that without offcuts {need} is the word of the planner, who lists no plan of it",))
    drops = {label: replace(drop, cut_outs=()) for label, drop in wanted.drops.items()}
    bare = replace(wanted, drops=drops, lots={lot.label: lot for lot in wanted.rolls})
    listed, batches = read_plan(without.plan), read_batches(without.plan)
    if without.plan.faults:
        raise PlanUnreadable(without.plan.faults)
    judged = judge_read(bare, listed, replace(sides, batches=batches, pace=None), is_hung=False)
    broken = [*without_rule(bare, plan, listed)]
    facts = () if broken or not judged.holds else (f"without offcuts {need}, by a plan of its own",)
    return together(Report(tuple(broken), facts), replace(judged, facts=()).within("without offcuts"))


def _trusted(wanted: Wanted, plan: ListedPlan) -> Iterator[str]:
    """Yield what a plan states and nobody can work out from its cuts."""
    if plan.stopped is not None:
        yield f"the planner says that it stopped before a proof: {plan.stopped}"
    if wanted.is_reversed and all(cut.is_turned is None for roll in plan.rolls for cut in roll.cuts):
        yield "which lengths hang turned end for end: the plan does not say"
    if plan.notes:
        yield f"{counted(plan.notes, 'note')}, in words, which are not judged"


def _facts_of_rolls(wanted: Wanted, plan: ListedPlan) -> Iterator[str]:
    pieces = counted(sum(drop.count for drop in wanted.drops.values()), "piece")
    drops, rolls = counted(len(wanted.drops), "drop"), counted(rolls_listed(wanted, plan), "roll")
    offcuts = sum(lot.is_offcut for _, lot in rolls_known(wanted, plan))
    yield f"{pieces} of {drops} cut as often as wanted, from {rolls}" + (
        f" and {counted(offcuts, 'offcut')}" if offcuts else ""
    )
    if offcuts:
        yield "every offcut is long and wide enough for what is cut from it, and there in time"
    if wanted.first_sheet is not None:
        yield "every part of the picture is cut from its own sheet, and what comes off each is as said"
    yield "every cut has its length and its place in the print, inside its roll and clear of the others"
    if plan.widths:
        sold, hung = (mm(plan.widths[key]) for key in ("as_sold", "as_hung"))
        yield f"widths: {sold} as sold, {hung} as hung"
    if plan.ordered is not None:
        proved = ", the shortest that is certain" if order_is_proved(wanted, plan.ordered) else ""
        yield f"ordered: {mm(plan.ordered.length)}{proved}"
    if plan.to_buy is not None:
        bought = ", ".join(f"{exact_text(number)} {key}" for key, number in plan.to_buy.items() if key in COUNTED)
        yield f"to buy: {bought}"


def _facts_of_figures(wanted: Wanted, plan: ListedPlan, *, stands: bool) -> Iterator[str]:
    proof = plan.certain.proof
    if stands and plan.certain.status == "optimal" and proof is not None:
        is_search = "search" in (proof.by, None if proof.to_buy is None else proof.to_buy.by)
        by = "its bound, if the search was right" if is_search else "the bound that is proved"
        to_buy = "" if plan.certain.bought is None else f"{plan.certain.bought} to buy and "
        yield f"optimal: {to_buy}{figure(wanted, value_listed(wanted, plan))} needed, which is {by}"
    if stands and plan.at_best.rolls is not None and not _is_better_at_best(plan):
        yield f"at best {counted(plan.at_best.rolls, 'roll')} too: this plan does with them"


def _is_better_at_best(plan: ListedPlan) -> bool:
    """Return True when the best case is said to need other rolls than this plan, or to cost less."""
    best, certain = plan.at_best, plan.certain
    pairs = (best.rolls, certain.rolls), (best.cost, certain.cost), (best.bought, certain.bought)
    return any(at_best not in (None, at_worst) for at_best, at_worst in pairs)
