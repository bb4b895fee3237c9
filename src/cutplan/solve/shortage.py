"""Jobs that cannot be done with the rolls there are: what is short, and by how much."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from msgspec.structs import replace

from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.job.print_along import could_hold, is_of_its_sheet, lead_in, spare_length
from cutplan.lengths import ZERO, show
from cutplan.paper.stock import Lot, SheetSet
from cutplan.plan.proof import Prices, TooFewRollsError
from cutplan.solve.clock import Clock
from cutplan.solve.instance import RollType, ScaledJob
from cutplan.solve.search.greedy import Layouts
from cutplan.solve.search.outcome import Known, Outcome, say_nothing
from cutplan.solve.search.strategy import optimise_grouped
from cutplan.solve.write_up import prices_of
from cutplan.wording import counted


def refuse_long_drops(job: Job) -> None:
    """Raise :class:`TooFewRollsError`, naming both lengths, when a drop fits on no roll of the job.

    A sealed roll gives its length less one repeat, since nobody knows where its print starts.
    """
    if job.paper.sheets is not None:
        refuse_sheets(job, job.paper.sheets)
    longest = max((stretch.length for lot in job.rolls for stretch in lot.stretches), default=ZERO)
    is_any_batch = all(drop.batch is None for drop in job.drops)
    if is_any_batch and job.longest_drop + job.paper.pattern.repeat <= longest:
        return
    too_long = {drop.label: line for drop in job.drops if (line := why_too_long(job, drop))}
    if too_long:
        raise TooFewRollsError("\n".join(too_long.values()), prices=Prices(dict.fromkeys(too_long, 1), {}, 1))


def refuse_sheets(job: Job, sheets: SheetSet) -> None:
    """Raise :class:`TooFewRollsError`, saying by how much, where a set has too few sheets, or one does not reach."""
    there = {lot.sheet for lot in job.lots}
    short = {drop.label: "" for drop in job.drops if drop.sheet not in there}
    missing = sorted({drop.sheet or 0 for drop in job.drops if drop.label in short})
    lines = []
    if any(number > sheets.count for number in missing):
        takes, has = missing[-1] - sheets.first + 1, sheets.count - sheets.first + 1
        wall = f"the walls take {counted(takes, 'sheet')} from sheet {sheets.first} on, and the set has {has}"
        lines.append(f"{wall}: {takes - has} more needed")
    elif missing:
        lines.append(f"not in hand: {', '.join(f'sheet {number}' for number in missing)}")
    for drop in job.drops:
        lots = [lot for lot in job.lots if is_of_its_sheet(lot, drop)]
        if lots and not any(could_hold(job.paper.pattern, lot, drop) for lot in lots):
            short[drop.label] = _beyond_sheet(job, max(lots, key=lambda lot: lot.length), drop)
    lines += [line for line in short.values() if line]
    if short:
        raise TooFewRollsError("\n".join(lines), prices=Prices(dict.fromkeys(short, 1), {}, 1))


def _beyond_sheet(job: Job, lot: Lot, drop: Drop) -> str:
    """Return by how much a sheet is too short for a drop; or by how much it hangs too high, or too low."""
    needs = f"drop {drop.label} needs {show(drop.cut_length)} with its trims"
    if not lot.covers(drop.left, drop.right):
        return f"{needs}, and {lot.label} has not its width"
    if drop.cut_length > lot.length:
        return f"{needs}, and sheet {lot.sheet} is {show(lot.length)}: {show(drop.cut_length - lot.length)} short"
    start = lead_in(job.paper.pattern, lot, drop)
    above, below = job.paper.pattern.repeat - start, start + drop.cut_length - lot.length
    if above < below:
        return f"{needs}, and sheet {lot.sheet} begins {show(above)} below its top: hang the picture so much higher"
    return f"{needs}, and sheet {lot.sheet} ends {show(below)} above its foot: hang the picture so much lower"


def why_too_long(job: Job, drop: Drop) -> str | None:
    """Return why ``drop`` fits on no roll of the job, with both lengths; None when it fits on one."""
    if any(could_hold(job.paper.pattern, job.lot(label), drop) for label in job.offcuts_for(drop)):
        return None
    needs = f"drop {drop.label} needs {show(drop.cut_length)} with its trims"
    rolls = [job.lot(label) for label in job.lots_for(drop)]
    if not rolls:
        batch = f" of batch {drop.batch}" if drop.batch else ""
        return f"{needs}, and there is no roll{batch} to cut it from"
    lot = max(rolls, key=lambda roll: spare_length(job.paper.pattern, roll, drop))
    room = drop.cut_length + spare_length(job.paper.pattern, lot, drop)
    if drop.cut_length <= room:
        return None
    gives = f"no roll gives more than {show(max(room, ZERO))}, {show(drop.cut_length - room)} short"
    longest = max(stretch.length for stretch in lot.stretches)
    if longest == room:
        why = f"the longest roll is {show(longest)}"
    elif lot.is_sealed:
        why = (
            f"a sealed roll of {show(longest)} is sure of all but one repeat of {show(job.paper.pattern.repeat)}, "
            "because nobody knows where its print starts: measure its first motif, or find a longer roll"
        )
    else:
        why = f"roll {lot.label} of {show(longest)} loses {show(longest - room)} before the print is right"
    return f"{needs}, but {gives}: {why}"


def optimise_or_refuse(
    job: Job, scaled: ScaledJob, clock: Clock, tell: Callable[[str], None], known: Known | None = None
) -> Outcome:
    """Return the outcome of a job, begun from ``known`` if given, and from few rolls in hand where that finds no plan.

    ``tell`` is told, in a few words, whenever a better plan or bound is known.

    Raises
    ------
    TooFewRollsError
        When the rolls are too few: how many more are needed, and which drops they would be for.

    """
    report = told(tell)
    outcome = optimise_grouped(scaled.instance, known, clock, report)
    if outcome.layouts is not None:
        return outcome
    bought = with_rolls_to_buy(job, scaled, clock, report)
    if short := short_of(scaled, bought):
        raise _too_few(job, scaled, bought, short)
    return optimise_grouped(scaled.instance, Known(bought.layouts or {}), clock, report)


def told(tell: Callable[[str], None]) -> Callable[[Outcome], None]:
    """Return what tells of outcomes in a few words."""

    def report(outcome: Outcome) -> None:
        if outcome.layouts is not None:
            tell(f"{sum(outcome.layouts.values())} rolls, bound {outcome.bound}")

    return report


def with_rolls_to_buy(
    job: Job, scaled: ScaledJob, clock: Clock, report: Callable[[Outcome], None] = say_nothing
) -> Outcome:
    """Return how few further rolls would do, where the rolls in hand cost nothing and each further one costs 1."""
    instance = scaled.instance
    free = tuple(replace(roll_type, value=0) for roll_type in instance.roll_types)
    extra = _new_roll(job, scaled)
    return optimise_grouped(replace(instance, roll_types=(*free, extra)), None, clock, report)


def short_of(scaled: ScaledJob, outcome: Outcome) -> Layouts:
    """Return the layouts of the further rolls in what :func:`with_rolls_to_buy` found."""
    new = len(scaled.instance.roll_types)
    return {layout: times for layout, times in (outcome.layouts or {}).items() if layout.roll_type == new}


def _new_roll(job: Job, scaled: ScaledJob) -> RollType:
    """Return the roll that would be bought: the paper's; or, if some drop needs it, as long as the longest stretch."""
    instance = scaled.instance
    length = int(job.paper.roll_length / scaled.unit)
    if any(kind.length > length - instance.lead_in for kind in instance.kinds):
        stretches = [stretch for roll in instance.roll_types for stretch in roll.stretches]
        length = max(length, *(stretch.length for stretch in stretches)) + instance.lead_in
    return RollType(length, None if instance.repeat else 0, None, 1)


def _too_few(job: Job, scaled: ScaledJob, outcome: Outcome, short: Layouts) -> TooFewRollsError:
    missing = sum(short.values())
    listed = sum(lot.count or 0 for lot in job.rolls)
    if outcome.is_proved:
        amount = f"{counted(missing, 'more roll')} needed"
    elif outcome.bound:
        amount = f"at least {outcome.bound} and at most {missing} more needed"
    else:
        amount = f"no plan was found with these alone; {missing} more would do, fewer may ({outcome.stopped})"
    why = f"the {counted(listed, 'roll listed is', 'rolls listed are')} not enough: {amount}"
    drops = ", ".join(uncut(job, scaled, short))
    return TooFewRollsError(why, drops, prices=prices_of(scaled, outcome.certificate), is_proved=outcome.bound > 0)


def uncut(job: Job, scaled: ScaledJob, short: Layouts) -> Iterator[str]:
    """Yield the drops that the rolls in hand do not give, in hanging order, with how many of each."""
    missing = [0] * len(scaled.instance.kinds)
    for layout, times in short.items():
        for kind, count in layout.counts.items():
            missing[kind] += count * times
    left = {drop.label: drop.count for drop in job.drops}
    for kind, labels in enumerate(scaled.drops_of):
        for label in reversed(labels):
            number = min(missing[kind], left[label])
            missing[kind] -= number
            if number:
                yield label if left[label] == 1 else f"{label} ({number} of {left[label]})"
