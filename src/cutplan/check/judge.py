"""Judging a plan: read it, apply every rule, and report."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterator, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Final, NoReturn

from msgspec import Struct
from msgspec.structs import replace

from cutplan.check.contract_rules.bounds_of_ways import judge_together
from cutplan.check.contract_rules.lengths_to_order import of_several_pieces, rooms_order_rule, way_order_rule
from cutplan.check.contract_rules.rooms_served import judge_way, mirrored_rule, same_paper
from cutplan.check.contract_rules.stated_contract import (
    Part,
    read_lots,
    read_paper_sold,
    read_rooms,
    read_ways,
)
from cutplan.check.lining_rules.linings import judge_linings
from cutplan.check.part_rules.bands_on_wall import room_rule, stretches_rule
from cutplan.check.part_rules.borders_on_wall import borders_rule
from cutplan.check.part_rules.shared_rolls import Shared, parts_by_themselves
from cutplan.check.part_rules.shopping_judged import judge_shopping
from cutplan.check.part_rules.stated_parts import Planned, read_parted
from cutplan.check.proof.prices_proof import figure, judge_proof
from cutplan.check.record_rules.recorded_work import RecordedLine, Work, end_rule, is_record, read_lines
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
from cutplan.check.stated.known_keys import CONTRACT, END, ENTRIES, PARTS, PLAN, TOO_FEW, unknown_told
from cutplan.check.table_rules.by_the_clock import PaceWanted, judge_timetable, read_pace
from cutplan.check.table_rules.cutting_order import judge_order
from cutplan.check.wall_rules.on_the_wall import WallToJudge, judge_wall, read_wall, with_drops

PLANS: Final = "cutplan-plans/1"
"""Format of a document of several plans."""


def check_text(text: str, end: str | None = None) -> Report:
    """Return the judgement of a plan from the text of its JSON document, or of a record of work from that of its file.

    ``end`` is the text of the small file beside a record, which counts its entries; None where there is none.

    Raises
    ------
    PlanUnreadable
        When the text is not JSON, or not a plan; it holds every fault of structure found.

    """
    if is_record(text):
        return _check_record(text, end)
    try:
        document = _parsed(text)
    except json.JSONDecodeError as error:
        raise PlanUnreadable([f"not JSON: line {error.lineno}, column {error.colno}: {error.msg}"]) from error
    except (ValueError, RecursionError) as error:
        raise PlanUnreadable([f"not JSON that can be judged: {error}"]) from error
    if not isinstance(document, dict):
        raise PlanUnreadable(["not a plan: the document must be one JSON object"])
    return _check_plans(document) if document.get("format") == PLANS else check_plan(document)


def _parsed(text: str) -> object:
    return json.loads(text, parse_float=Decimal, parse_constant=_no_number, object_pairs_hook=_without_twins)


def _check_record(text: str, end: str | None) -> Report:
    """Return the judgement of a record of work: of each plan in it, and of what was done."""
    lines = list(read_lines(text, _parsed))
    undone = {line.facts.whole("undoes", 1) for line in lines if line.kind == "undone"}
    work, reports = Work(), [_undone_rightly(lines), _ended_rightly(lines, end)]
    for line in lines:
        if line.kind not in ENTRIES:
            raise PlanUnreadable([f"line {line.number}: there is no entry of the kind {line.kind!r}"])
        reports.append(Report(trusted=unknown_told(line.facts.values, ENTRIES[line.kind], line.facts.where)))
        if line.number in undone:
            continue
        if line.kind == "plan":
            reports.append(_plan_recorded(line, work))
        else:
            reports.append(Report(tuple(work.apply(line))))
    kinds = {line.kind for line in lines if line.number not in undone}
    hung, cut = work.hung.total(), work.table.total()
    summary = Report(
        facts=(f"record: line by line, {len(lines)} in all; {hung} hang, {cut} lie cut",),
        trusted=(
            "what was measured and bought, and what is left on rolls that were opened",
            "when, by whom and why things were told, and in which words; and those that the steps were printed in",
            *(["where pieces hang since the scenario was corrected"] if "corrected" in kinds else ()),
        ),
    )
    return together(*reports, summary, subject="the record")


def _undone_rightly(lines: list[RecordedLine]) -> Report:
    """Judge what was undone: an entry before, and no entry twice."""
    seen: set[int | None] = set()
    violations = []
    for line in lines:
        if line.kind == "undone":
            entry = line.facts.whole("undoes", 1)
            if entry is None or entry >= line.number or entry in seen:
                violations.append(Violation("record", f"line {line.number}", f"undoes entry {entry}, which it cannot"))
            seen.add(entry)
    return Report(tuple(violations))


def _ended_rightly(lines: list[RecordedLine], end: str | None) -> Report:
    """Judge by the file beside the record whether entries after the last were deleted."""
    if end is None:
        return Report(
            trusted=("that no entry came after the last: there is no file beside the record that counts them",)
        )
    try:
        told = _parsed(end)
    except (ValueError, RecursionError) as error:
        raise PlanUnreadable([f"the file beside the record: not JSON: {error}"]) from error
    if not isinstance(told, dict):
        raise PlanUnreadable(["the file beside the record: must be one JSON object"])
    where = "the file beside the record"
    return Report(tuple(end_rule(lines, Table(where, told, []))), trusted=unknown_told(told, END, where))


def _plan_recorded(line: RecordedLine, work: Work) -> Report:
    document = line.facts.values.get("document")
    name = f"plan {line.facts.values.get('plan')}"
    if not isinstance(document, dict):
        raise PlanUnreadable([f"line {line.number}: {name} has no document"])
    try:
        read = _read(document)
    except PlanUnreadable as error:
        raise PlanUnreadable([f"line {line.number}, {name}: {fault}" for fault in error.faults]) from error
    return together(_judge(*read).within(name), Report(tuple(work.take_up(line, *read[:2]))))


def _check_plans(document: Json) -> Report:
    """Return the judgement of several plans in one document, and of the contract that they are for."""
    table = Table("", document, [])
    parts: dict[str, Part] = {}
    planned: dict[str, Planned] = {}
    listed_plans: dict[str, Shared] = {}
    reports = []
    for entry in table.tables("plans"):
        name = entry.text("part")
        if not name or name in parts:
            entry.fault("part", "must be the name of this plan alone")
            continue
        plan = {key: value for key, value in entry.values.items() if key != "part"}
        try:
            read = _read(plan)
        except PlanUnreadable as error:
            raise PlanUnreadable([f"{name}: {fault}" for fault in error.faults]) from error
        wanted, listed, sides = read
        survey = None if sides.wall is None else sides.wall.survey
        scenario = plan["scenario"] if isinstance(plan["scenario"], dict) else {}
        parts[name] = Part(wanted, listed, survey, scenario)
        planned[name] = Planned(scenario, wanted, sides.wall)
        listed_plans[name] = Shared(planned[name], listed)
        reports.append(_judge(*read).within(name))
    if "parts" in document:
        unknown = Report(trusted=unknown_told(document, PARTS))
        return together(*reports, _parts_together(table, planned, listed_plans), unknown, subject="the job")
    return together(*reports, _rooms_together(table, parts), Report(trusted=unknown_told(document, CONTRACT)))


def _rooms_together(table: Table, parts: Mapping[str, Part]) -> Report:
    """Return the judgement of how the rooms of a contract share its rolls."""
    contract = table.needed_table("contract")
    rooms, lots, sold = read_rooms(contract, parts), read_lots(contract), read_paper_sold(contract)
    (spare,), to = contract.exact("spare_per_cent"), contract.one_of("one_batch_to", ("room", "wall"))
    if spare < 0:
        contract.fault("spare_per_cent", "must not be less than 0")
    if not contract.values.get("rooms"):
        contract.fault("rooms", "are missing")
    if table.faults:
        raise PlanUnreadable(table.faults)
    broken, facts = list(mirrored_rule(rooms)), []
    searched: list[str] = []
    used = [kind.part for kind in rooms]
    if sold is not None:
        broken += same_paper("the paper as sold", sold[1], rooms[0].part.scenario)
    by_length = None if sold is None else sold[0]
    broken += rooms_order_rule(rooms, by_length)
    is_there = by_length is not None and all(count is None for count, _ in (lots or {}).values())
    for way in read_ways(table, parts):
        wrong = judge_way(rooms, way, spare / 100, one_batch_to=to, lots=lots)
        wrong += way_order_rule(rooms, way, by_length, spare / 100, is_there=is_there)
        as_one = judge_together(rooms, way)
        wrong += as_one.violations
        searched += as_one.searched
        broken += wrong
        used += [*way.parts, *([] if way.bound is None else [way.bound])]
        if way.turns is not None and way.turns.is_search:
            searched.append(f"{way.name}: the bound of {counted(way.lower_bound, 'roll')} is the word of a search")
        if not wrong:
            proved = "which is the bound" if way.status == "optimal" else f"and {way.lower_bound} is the bound"
            of_each = "room" if all(listed.wall is None for listed in way.rooms) else "wall"
            facts.append(f"{way.name}: {counted(len(way.rooms), of_each)} from {counted(way.rolls, 'roll')}, {proved}")
    for name, part in parts.items():
        if not any(part is other for other in used):
            broken.append(Violation("rooms", name, "is a plan of no room, and no way of sharing rolls"))
    return Report(tuple(broken), tuple(facts), searched=tuple(searched), trusted=tuple(of_several_pieces(rooms)))


def _parts_together(table: Table, together_planned: Mapping[str, Planned], shared: Mapping[str, Shared]) -> Report:
    """Return the judgement of how the parts of a job share the walls, and some of them their rolls."""
    room = read_parted(table)
    if room is None:
        raise PlanUnreadable(table.faults or ["scenario: it has no wall"])
    planned, of_bands = parts_by_themselves(table, together_planned, shared)
    if table.faults:
        raise PlanUnreadable(table.faults)
    broken = [*stretches_rule(room, planned), *room_rule(room, planned), *borders_rule(room, planned)]
    bands = [name for name, kind in room.kinds.items() if kind == "band"]
    facts = [f"every stretch of wall is one band's, or said to be bare: {', '.join(bands)}"]
    if room.borders:
        borders = ", ".join(border.name for border in room.borders)
        facts.append(f"the print of every border goes on at each joint but the one where it closes: {borders}")
    held = Report(tuple(broken), () if broken else tuple(facts))
    bought, linings = judge_shopping(table, room, planned, shared), judge_linings(table, room, planned)
    if table.faults:
        raise PlanUnreadable(table.faults)
    return together(of_bands, held, linings, bought)


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
        report, shape = _judge(*_read(document)), PLAN
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
    wanted, plan, sides = _read(within)
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
        on_wall, facts = ([], []) if sides.wall is None else judge_wall(kept, plan, sides.wall)
        return together(short, Report(tuple(on_wall), tuple(facts)))
    held = _judge(kept, plan, sides)
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
        wanted, listed, sides = _read({**stated, "scenario": elsewhere | begun})
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
    judged = _judge(wanted, listed, sides, is_hung=step.kind == "start")
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
            width = wanted.strip or Fraction(1)
            if drop.left is not None and drop.right is not None:
                width = drop.right - drop.left
            yield drop.wall, drop.label, drop.height * width * drop.count


def _first_walls(document: Table, wall: WallToJudge | None) -> tuple[tuple[str, ...], str | None]:
    """Return the walls that the scenario puts first where rolls are too few, and that of the start of a room."""
    cutting = document.needed_table("scenario").table("cutting")
    told = () if cutting is None else cutting.texts("first_walls", "names")
    return told, None if wall is None else wall.survey.walls[wall.survey.start.wall].name


def _read(document: Json) -> tuple[Wanted, ListedPlan, _Sides]:
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


def _judge(wanted: Wanted, plan: ListedPlan, sides: _Sides, *, is_hung: bool = True) -> Report:
    """Return the judgement of a plan; of what hangs on the wall too, unless that is another job's (``is_hung``)."""
    on_wall, facts_of_wall = ([], []) if sides.wall is None or not is_hung else judge_wall(wanted, plan, sides.wall)
    broken = [violation for rule in (*ROLL_RULES, *TOTAL_RULES) for violation in rule(wanted, plan)]
    order = judge_order(wanted, plan, is_sound=not broken)
    is_told = bool(plan.order is None or order.facts or order.trusted)
    limited = with_so_many_bought(wanted, plan, plan.certain)
    judged = together(
        Report(tuple(on_wall), tuple(facts_of_wall)),
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
    judged = _judge(bare, listed, replace(sides, batches=batches, pace=None), is_hung=False)
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
    best = plan.at_best
    certain = plan.certain
    return any(
        at_best not in (None, at_worst)
        for at_best, at_worst in (
            (best.rolls, certain.rolls),
            (best.cost, certain.cost),
            (best.bought, certain.bought),
        )
    )


def _no_number(word: str) -> NoReturn:
    raise ValueError(f"{word} is not a number")


def _without_twins(pairs: list[tuple[str, object]]) -> Json:
    table = dict(pairs)
    if len(table) < len(pairs):
        keys = [key for key, _ in pairs]
        twin = next(key for key in keys if keys.count(key) > 1)
        raise ValueError(f"the key {twin!r} stands twice in one object")
    return table
