"""Judging what holds more than one plan: a record of work, a contract's rooms, the parts of a job."""

from __future__ import annotations

from collections.abc import Mapping

from cutplan.check.contract_rules.bounds_of_ways import judge_together
from cutplan.check.contract_rules.lengths_to_order import of_several_pieces, rooms_order_rule, way_order_rule
from cutplan.check.contract_rules.rooms_served import judge_way, mirrored_rule, same_paper
from cutplan.check.contract_rules.stated_contract import read_lots, read_paper_sold, read_rooms, read_ways
from cutplan.check.judge import judge_read, read_document
from cutplan.check.lining_rules.linings import judge_linings
from cutplan.check.part_rules.bands_on_wall import room_rule, stretches_rule
from cutplan.check.part_rules.borders_on_wall import borders_rule
from cutplan.check.part_rules.shared_rolls import parts_by_themselves
from cutplan.check.part_rules.shopping_judged import judge_shopping
from cutplan.check.part_rules.stated_parts import Planned, read_parted
from cutplan.check.record_rules.recorded_work import RecordedLine, Work, end_rule, read_lines
from cutplan.check.report import PlanUnreadable, Report, Violation, counted, together
from cutplan.check.stated.fields import Json, Table
from cutplan.check.stated.json_text import json_object
from cutplan.check.stated.known_keys import CONTRACT, END, ENTRIES, PARTS, unknown_told


def check_record(text: str, end: str | None) -> Report:
    """Return the judgement of a record of work: of each plan in it, and of what was done."""
    lines = list(read_lines(text))
    undoes = {line.number: line.facts.whole("undoes", 1) for line in lines if line.kind == "undone"}
    work, reports, undone = Work(), [_undone_rightly(undoes), _ended_rightly(lines, end)], set(undoes.values())
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


def _undone_rightly(undoes: Mapping[int, int | None]) -> Report:
    """Judge what was undone: an entry before, and no entry twice."""
    seen: set[int | None] = set()
    violations = []
    for line, entry in undoes.items():
        if entry is None or entry >= line or entry in seen:
            violations.append(Violation("record", f"line {line}", f"undoes entry {entry}, which it cannot"))
        seen.add(entry)
    return Report(tuple(violations))


def _ended_rightly(lines: list[RecordedLine], end: str | None) -> Report:
    """Judge by the file beside the record whether entries after the last were deleted."""
    if end is None:
        return Report(
            trusted=("that no entry came after the last: there is no file beside the record that counts them",)
        )
    where = "the file beside the record"
    told = json_object(end, f"{where}: ", "what counts entries")
    return Report(tuple(end_rule(lines, Table(where, told, []))), trusted=unknown_told(told, END, where))


def _plan_recorded(line: RecordedLine, work: Work) -> Report:
    document = line.facts.values.get("document")
    name = f"plan {line.facts.values.get('plan')}"
    if not isinstance(document, dict):
        raise PlanUnreadable([f"line {line.number}: {name} has no document"])
    try:
        read = read_document(document)
    except PlanUnreadable as error:
        raise PlanUnreadable([f"line {line.number}, {name}: {fault}" for fault in error.faults]) from error
    return together(judge_read(*read).within(name), Report(tuple(work.take_up(line, *read[:2]))))


def check_plans(document: Json) -> Report:
    """Return the judgement of several plans in one document, and of the contract that they are for."""
    table = Table("", document, [])
    parts: dict[str, Planned] = {}
    reports = []
    for entry in table.tables("plans"):
        name = entry.text("part")
        if not name or name in parts:
            entry.fault("part", "must be the name of this plan alone")
            continue
        plan = {key: value for key, value in entry.values.items() if key != "part"}
        try:
            read = read_document(plan)
        except PlanUnreadable as error:
            raise PlanUnreadable([f"{name}: {fault}" for fault in error.faults]) from error
        wanted, listed, sides = read
        parts[name] = Planned(entry.needed_table("scenario").values, wanted, sides.wall, listed)
        reports.append(judge_read(*read).within(name))
    if "parts" in document:
        unknown = Report(trusted=unknown_told(document, PARTS))
        return together(*reports, _parts_together(table, parts), unknown, subject="the job")
    return together(*reports, _rooms_together(table, parts), Report(trusted=unknown_told(document, CONTRACT)))


def _rooms_together(table: Table, parts: Mapping[str, Planned]) -> Report:
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


def _parts_together(table: Table, shared: Mapping[str, Planned]) -> Report:
    """Return the judgement of how the parts of a job share the walls, and some of them their rolls."""
    room = read_parted(table)
    if room is None:
        raise PlanUnreadable(table.faults or ["scenario: it has no wall"])
    planned, of_bands = parts_by_themselves(table, shared)
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
