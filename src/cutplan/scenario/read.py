"""Scenarios: the TOML files that say which paper, which rolls, and which drops or which room to plan for.

A scenario is read whole: every fault in it is found and reported at once, with its line and column.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from typing import TYPE_CHECKING, Final

from msgspec import Struct, field
from msgspec.structs import replace

from cutplan.errors import NoPlanError
from cutplan.faults import Fault, ScenarioError
from cutplan.job.drops import Drop, drops_of
from cutplan.job.job import Job, batches_of, drops_without_wall, walls_that_meet
from cutplan.lengths import Length
from cutplan.paper.stock import Lot, Paper
from cutplan.plan.order import CuttingHabit, WallsUnknownError, refuse_unknown_walls
from cutplan.scenario.cutting_table import HABIT_KEYS, read_cutting, read_pace
from cutplan.scenario.paper_table import PaperLabel, read_paper
from cutplan.scenario.sheets_table import read_sheet, reject_longer, sheets_in_hand
from cutplan.scenario.stock_tables import (
    ROLL_KEYS,
    SPECIAL_DROP_KEYS,
    StockEntry,
    note_foreign_offcuts,
    read_across,
    read_cut_outs,
    read_offcuts,
    read_stretches,
    reject_names_of_cut_outs,
    reject_unknown_drops,
)
from cutplan.scenario.survey import SURVEY_KEYS
from cutplan.scenario.tables import MOST, Reading, Table, describe, reject_repeats
from cutplan.scenario.toml_file import parse_toml
from cutplan.scenario.trim_table import USUAL_TRIM, read_trims
from cutplan.scenario.usual import HEIGHT, ROLL_LENGTH
from cutplan.scenario.write import AS_NEEDED
from cutplan.setting_out import SettingOut

if TYPE_CHECKING:
    from cutplan.buying.by_length import Order
    from cutplan.job.beside import Beside
    from cutplan.lining.courses import LiningSetOut
    from cutplan.table.timetable import Pace

TOP_KEYS: Final = (
    "units",
    "paper",
    "trim",
    "sheets",
    "equal_strips",
    "roll",
    "offcut",
    "drop",
    *HABIT_KEYS,
    *SURVEY_KEYS,
)
_PLAIN_DROP_KEYS: Final = ("label", "height", "first_motif", "count", "wall")
_DROP_KEYS: Final = (*_PLAIN_DROP_KEYS, *SPECIAL_DROP_KEYS, "trim")
MOST_SECONDS: Final = 5.0
"""For what to order of a paper that is cut to order; one piece takes a moment."""
_CODES: Final = frozenset({"label", "batch"})


class Scenario(Struct, frozen=True):
    """A scenario as read."""

    job: Job
    """The paper, rolls and drops."""
    units: str
    """The unit that its bare numbers are in and that people read its lengths in; ``mm`` when it names none."""
    notes: tuple[str, ...]
    """What the reader had to interpret or finds unusual, one sentence each."""
    document: dict[str, object]
    """The same keys and values as plain JSON types. Whole numbers stay whole; a decimal becomes the float that prints
    as the same decimal; labels and batches written as numbers become text."""
    source: str
    """Where it was read from."""
    setting_out: SettingOut | None = None
    """The room set out, from which the drops follow; None for a plain list of drops."""
    cutting: CuttingHabit = field(default_factory=CuttingHabit)
    """How the cuts are to be ordered."""
    pace: Pace | None = None
    """How fast the work goes; None when the scenario does not say."""
    doubts: tuple[str, ...] = ()
    """Lengths that are unusual for their kind, with what may have been meant: what a plan opens with. They stand among
    the notes too."""
    ordered: Order | None = None
    """What is ordered for the job, of a paper that is cut to order; its pieces are then the rolls of the job."""
    lining: LiningSetOut | None = None
    """Of a lining, where its lengths hang, which are the drops."""
    under: tuple[LiningSetOut, ...] = ()
    """What a paper hangs over that has joints of its own."""
    bands: tuple[tuple[str, SettingOut], ...] = ()
    """Of bands that are cut from the same rolls, the name of each and where its drops hang."""
    trims: tuple[Length, Length] = (USUAL_TRIM, USUAL_TRIM)
    """At the top and at the bottom of every drop that has none of its own."""
    band: str = ""
    """Of a ``[[band]]`` its name; else empty."""
    shared: tuple[Scenario, Beside] | None = None
    """Of a band whose rolls are cut for other parts too: the scenario of all, and what hangs beside the band."""

    @property
    def is_free(self) -> bool:
        """True for a paper without a match."""
        return self.job.paper.pattern.is_free

    @property
    def of_all(self) -> Scenario:
        """The scenario of all that is cut from the same rolls; this one where that is all."""
        return self if self.shared is None else self.shared[0]

    @property
    def beside(self) -> Beside | None:
        """What else is cut from the same rolls; None for nothing."""
        return None if self.shared is None else self.shared[1]

    @property
    def job_to_order(self) -> Job:
        """The job as it is before what is ordered for it is there; the job itself where nothing is ordered."""
        if self.ordered is None:
            return self.job
        return replace(self.job, lots=tuple(lot for lot in self.job.lots if lot.is_offcut))


def parse_scenario(text: str, source: str) -> Scenario:
    """Return the scenario that a TOML text states; ``source`` is what messages call it.

    Raises
    ------
    ScenarioError
        Holding every fault of the text, or the first place where it is not TOML.

    """
    return parsed_scenario(parse_toml(text, source), text, source)


def scenario_of(document: dict[str, object], source: str) -> Scenario:
    """Return the scenario whose :attr:`Scenario.document` this is; raises as :func:`parse_scenario` does."""
    return parsed_scenario({key: exactly(value) for key, value in document.items()}, "", source)


def exactly(value: object) -> object:
    """Return what a document holds as the reader of TOML gives it: a float is the decimal that it prints as."""
    if isinstance(value, dict):
        return {key: exactly(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [exactly(inner) for inner in value]
    return Decimal(str(value)) if isinstance(value, float) else value


def parsed_scenario(document: Mapping[str, object], text: str, source: str, reading: Reading | None = None) -> Scenario:
    """Return the scenario that a parsed document states; ``text`` is where its faults have their lines.

    ``reading`` knows of keys that stand elsewhere in the text. Raises as :func:`parse_scenario`.
    """
    if "rooms" in document:
        what = "is a contract of several rooms: cutplan contract plans it, and --rooms writes each room as a scenario"
        raise ScenarioError(source, (Fault("", what),))
    reading = reading or Reading()
    root = reading.root(document, TOP_KEYS)
    units, trims = root.read_units(), read_trims(root)
    job, setting_out = _read_job(root, trims)
    walls = () if job is None else tuple(dict.fromkeys(drop.wall for drop in job.drops if drop.wall is not None))
    if setting_out is not None:
        walls = tuple(wall.name for wall in setting_out.room.walls)
    cutting, pace = read_cutting(root, walls), read_pace(root)
    if job is not None:
        try:
            refuse_unknown_walls(cutting.follow, job.drops)
        except WallsUnknownError as error:
            root.reject("cutting", str(error))
    if job is None or reading.has_faults:
        raise ScenarioError(source, reading.faults(text))
    job, ordered = _ordered(root, job)
    doubts = tuple(reading.doubts)
    notes = (*doubts, *reading.notes)
    plain = plain_document(document)
    return Scenario(job, units or "mm", notes, plain, source, setting_out, cutting, pace, doubts, ordered, trims=trims)


def plain_document(document: Mapping[str, object]) -> dict[str, object]:
    """Return a parsed document as plain JSON types; see :class:`Scenario`."""
    return {key: _plain(key, value) for key, value in document.items()}


def _read_job(root: Table, trims: tuple[Length, Length]) -> tuple[Job | None, SettingOut | None]:
    label = read_paper(root)
    lots, named, offcuts = _read_stock(root, label)
    paper = label.paper
    setting_out = None
    if any(root.has(key) for key in SURVEY_KEYS):
        setting_out = _read_survey(root, label, paper)
        drops = () if setting_out is None else drops_of(setting_out, *trims, counts_cut_outs=True)
        if setting_out is not None and not drops:
            root.reject("wall", "nothing is left to paper: openings take up all of it; measure them again")
    else:
        drops = _read_drops(root, label, trims)
    reject_unknown_drops(offcuts, drops)
    _reject_unknown_walls(root, lots, drops)
    _note_batch_to_buy(root, lots, drops)
    reject_names_of_cut_outs(named, [cut_out for drop in drops for cut_out in drop.cut_outs])
    if paper is None or root.reading.has_faults:
        return None, None
    return Job(paper, lots, drops, () if setting_out is None else walls_that_meet(setting_out.room)), setting_out


def _ordered(root: Table, job: Job) -> tuple[Job, Order | None]:
    """Return the job with what is ordered for it in hand, where the paper is cut to order and no roll is listed."""
    if job.paper.sale.unit is None or root.has("roll"):
        return job, None
    from cutplan.buying.by_length import shortest_order, with_ordered  # noqa: PLC0415 - with the solver, rarely needed

    try:
        order = shortest_order(job, MOST_SECONDS)
    except NoPlanError:
        # What is too long is told by whoever plans it, off a whole roll.
        return job, None
    return with_ordered(job, order.length), order


def _read_survey(root: Table, label: PaperLabel, paper: Paper | None) -> SettingOut | None:
    if root.has("drop"):
        what = "stands beside a room survey, from which the drops follow; keep the one or the other"
        root.reject("drop", what)
    from cutplan.scenario.survey.room_tables import read_setting_out  # noqa: PLC0415 - a list of drops need not load it

    return read_setting_out(root, paper, label.pattern)


# The rolls.


def _read_stock(
    root: Table, paper: PaperLabel
) -> tuple[tuple[Lot, ...], list[tuple[Table, str | None]], list[StockEntry]]:
    """Return the rolls and the offcuts kept, every entry of them with its label, and those of offcuts with theirs."""
    empty = "leave it out to count rolls as needed, or add a [[roll]]"
    tables = root.entries("roll", ROLL_KEYS, required=False, empty=empty)
    if paper.price is None:
        _reject_missing_prices(tables)
    rolls = [_read_roll(table, paper) for table in tables]
    offcuts = read_offcuts(root, paper)
    named = [(entry.table, entry.label) for entry in (*rolls, *offcuts)]
    reject_repeats(named)
    _reject_numbered_twins(rolls, named)
    lots = [roll.lot for roll in rolls]
    if not root.has("roll") and root.has("sheets"):
        lots = sheets_in_hand(paper)
    elif not root.has("roll") and paper.roll_length is not None:
        lots = [Lot("roll", paper.roll_length, count=None, price=paper.price)]
    note_foreign_offcuts(offcuts, [lot for lot in lots if lot is not None])
    lots += [offcut.lot for offcut in offcuts]
    return tuple(lot for lot in lots if lot is not None), named, offcuts


def _read_roll(table: Table, paper: PaperLabel) -> StockEntry:
    label = table.label()
    length = table.length("length", required=False, usual=ROLL_LENGTH)
    length = paper.roll_length if length is None else length
    price = table.price("price", required=False)
    first_motif = table.first_motif("first_motif", paper.pattern, required=False)
    sheet = read_sheet(table, paper)
    reject_longer(table, length, paper)
    if first_motif is None and paper.sheets is not None:
        first_motif = paper.sheets.first_motif
    is_bought = table.values.get("count") == AS_NEEDED
    count = None if is_bought else table.whole("count", required=False) or 1
    batch = table.code("batch", required=False)
    parts = read_stretches(table, length, first_motif, paper.pattern)
    is_foot_first = table.flag("foot_first") or False
    if label is None or length is None:
        return StockEntry(table, label, None)
    if parts:
        length, first_motif = parts[-1].start + parts[-1].length, parts[0].first_motif
    price = paper.price if price is None else price
    lot = Lot(label, length, first_motif, count, batch, price, parts, is_foot_first, sheet=sheet)
    return StockEntry(table, label, lot)


def _reject_numbered_twins(rolls: list[StockEntry], named: list[tuple[Table, str | None]]) -> None:
    """Report rolls and offcuts labelled like one of several alike: ``A-2`` beside an ``A`` of which there are three."""
    counts = {roll.label: roll.lot.count or MOST for roll in rolls if roll.lot is not None}
    for table, label in named:
        base, _, number = (label or "").rpartition("-")
        count = counts.get(base, 1)
        if count > 1 and re.fullmatch(r"[1-9][0-9]{0,8}", number) and int(number) <= count:
            what = f'"{label}" is also number {number} of the {count} rolls "{base}"'
            table.reject("label", f"{what}; call it something else")


def _reject_missing_prices(rolls: list[Table]) -> None:
    priced = [roll.name for roll in rolls if roll.has("price")]
    for roll in rolls:
        if priced and not roll.has("price"):
            remedy = "price every roll or none, or put one price for all under [paper]"
            roll.reject("price", f"is missing, and {priced[0]} has one; {remedy}")


# The drops.


def _read_drops(root: Table, paper: PaperLabel, trims: tuple[Length, Length]) -> tuple[Drop, ...]:
    if not root.has("drop"):
        remedy = (
            f"list the pieces, each in a [[drop]] with {', '.join(_PLAIN_DROP_KEYS)}, or survey the room in [[wall]]"
        )
        root.reject("drop", f"is missing; {remedy}")
    tables = root.entries("drop", _DROP_KEYS, required=False, empty="add a [[drop]] for each piece to be hung")
    labelled = [(table, table.label()) for table in tables]
    reject_repeats(labelled)
    drops = [_read_drop(table, label, paper, trims) for table, label in labelled]
    _reject_second_batches(tables, drops)
    found = tuple(drop for drop in drops if drop is not None)
    if not paper.is_reversed:
        return found
    _reject_several_beside_cut_outs(tables, found)
    return tuple(_every_other_turned(found))


def _reject_several_beside_cut_outs(tables: Sequence[Table], drops: Sequence[Drop]) -> None:
    """Report drops of several alike, which alternate, where what falls out of a drop serves pieces that hang as it."""
    if not any(drop.cut_outs for drop in drops):
        return
    for table in tables:
        count = table.values.get("count")
        if count not in {None, 1}:
            what = f"says {describe(count)}, of which every second hangs turned, and cut_outs serve only what hangs as"
            table.reject("count", f"{what} their drop; give each piece an entry of its own")


def _every_other_turned(drops: Sequence[Drop]) -> Iterator[Drop]:
    """Yield drops of a paper that says to reverse: every second piece of the list is turned, where it does not tell."""
    before = 0
    for drop in drops:
        yield drop if drop.is_turned is not None else replace(drop, is_turned=before % 2 == 1)
        before += drop.count


def _reject_unknown_walls(root: Table, lots: Sequence[Lot], drops: Sequence[Drop]) -> None:
    """Report drops without a wall beside others with one, where the paper is of several batches."""
    if unknown := drops_without_wall(lots, drops):
        which = f"{unknown[0]} has" if len(unknown) == 1 else f"{', '.join(unknown)} have"
        remedy = "name it, or give a drop that hangs alone a wall of its own"
        paper = " and ".join(f"batch {batch}" if batch else "a batch not told" for batch in batches_of(lots, drops))
        root.reject("drop", f"{which} no wall, and of the paper, of {paper}, a wall takes one batch; {remedy}")


def _note_batch_to_buy(root: Table, lots: Sequence[Lot], drops: Sequence[Drop]) -> None:
    """Note rolls to be bought of a batch not told, which a wall does not take beside those in hand of one that is."""
    told = [lot.batch for lot in lots if lot.batch and not lot.is_offcut]
    bought = [lot.label for lot in lots if lot.count is None and lot.batch is None]
    if told and bought and all(drop.wall is not None for drop in drops):
        remedy = f'give it batch = "{told[0]}" where that is sold still'
        root.note("roll", f"{bought[0]} tells no batch, so no wall takes it beside paper of batch {told[0]}; {remedy}")


def _reject_second_batches(tables: list[Table], drops: list[Drop | None]) -> None:
    """Report drops that must be of another batch than one before them on the same wall."""
    of_walls: dict[str, str] = {}
    for table, drop in zip(tables, drops, strict=True):
        if drop is None or drop.wall is None or drop.batch is None:
            continue
        first = of_walls.setdefault(drop.wall, drop.batch)
        if first != drop.batch:
            table.reject("batch", f"is another than that of a drop on the same wall, {describe(first)}; give one batch")


def _read_drop(table: Table, label: str | None, paper: PaperLabel, trims: tuple[Length, Length]) -> Drop | None:
    pattern, strip = paper.pattern, paper.roll_width
    height = table.length("height", usual=HEIGHT)
    first_motif = table.first_motif("first_motif", pattern, required=pattern is not None)
    left, right = read_across(table, strip)
    cut_outs = read_cut_outs(table, label, (height, first_motif), pattern, strip)
    count = table.whole("count", required=False)
    wall = table.text("wall", required=False)
    batch = "" if table.values.get("batch") == "" else table.code("batch", required=False)
    is_turned, sheet = table.flag("turned"), read_sheet(table, paper)
    own = read_trims(table, trims)
    if is_turned is not None and not paper.is_reversed:
        table.reject("turned", "is for a paper whose label says to reverse; leave it out, or mend match")
    if label is None or height is None or first_motif is None:
        return None
    drop = Drop(label, height, first_motif, *own, count or 1, left, right, wall, cut_outs=cut_outs, batch=batch)
    return replace(drop, is_turned=is_turned, sheet=sheet, is_along=table.flag("along") or False)


# The echo.


def _plain(key: str, value: object) -> object:
    if isinstance(value, dict):
        return {inner: _plain(inner, entry) for inner, entry in value.items()}
    if isinstance(value, list):
        return [_plain(key, entry) for entry in value]
    if key in _CODES and isinstance(value, int):
        return str(value)
    if isinstance(value, Decimal):
        return float(value)
    return value
