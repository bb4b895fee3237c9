"""The steps and the stock of a plan that is put to use: as its rolls ask for them, one by one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from cutplan.check.report import mm
from cutplan.check.roll_rules.rolls_and_drops import drop_label
from cutplan.check.roll_rules.rolls_there import roll_number, rolls_known
from cutplan.check.roll_rules.what_fits_where import StockLot, Stretch, WantedDrop
from cutplan.check.stated.document import ListedPlan, ListedRoll
from cutplan.check.stated.echo import Wanted
from cutplan.check.stated.fields import Table


class Doing(NamedTuple):
    """What a step does: opens, cuts off, goes on to the next stretch, or cuts a piece; lengths in mm."""

    act: str
    length: Fraction | None = None
    motif: Fraction | None = None
    drop: str | None = None
    piece: str | None = None

    def __str__(self) -> str:
        figures = (("", self.length), ("motif ", self.motif))
        said = [f"{what}{mm(figure)}" for what, figure in figures if figure is not None]
        return ", ".join([self.act, *(f"drop {name}" for name in (self.piece,) if name), *said])


class Step(Struct, frozen=True):
    """A step of a plan in use, done once on each of ``count`` rolls of a lot, from roll ``first`` on."""

    number: int
    lot: str
    first: int
    count: int
    does: Doing

    @property
    def piece(self) -> str | None:
        """What is cut; None for all but cutting."""
        return self.does.piece


OTHER = "other"
"""What changes nothing of the paper: a look at the print."""


def read_step(table: Table) -> Step:
    """Return a step as a plan in use lists it."""
    table.text("words")
    drop, piece = table.optional_text("drop"), table.optional_text("piece")
    does = Doing(table.text("act"), table.number("length"), table.number("motif"), drop, piece)
    return Step(table.count("step"), table.text("lot"), table.count("first"), table.count("count"), does)


def steps_rule(steps: Sequence[Step], wanted: Wanted, plan: ListedPlan) -> Iterator[str]:
    """Yield where the steps do not do what the plan's rolls ask for, on each roll in turn and in the plan's order."""
    listed = [cut.piece for roll in plan.rolls for cut in roll.cuts]
    due = list(plan.order.cuts) if plan.order is not None else sorted(listed)
    pieces = [step.piece for step in steps if step.piece is not None]
    if (pieces if plan.order is not None else sorted(pieces)) != due:
        yield "the steps do not cut the pieces of the plan in its order"
        return
    on_rolls: dict[tuple[str, int | None], list[Step]] = {}
    for before, step in zip([*steps[:1], *steps], steps, strict=False):
        if step.does.act == OTHER and (before.piece is None or _roll(before) != _roll(step)):
            yield f"step {step.number} looks at the print, and no piece was cut on its roll just before"
        on_rolls.setdefault(_roll(step), []).append(step)
    for roll, lot in rolls_known(wanted, plan):
        done = on_rolls.pop((lot.label, roll_number(lot, roll)), [])
        if not wanted.match.repeat:
            done = [replace(step, does=step.does._replace(motif=None)) for step in done]
        yield from _on_roll(done, list(_asked(roll, lot, wanted)), roll)
    for (lot_label, first), done in on_rolls.items():
        yield f"step {done[0].number} is on roll {first} of {lot_label}, from which the plan cuts nothing"


def _roll(step: Step) -> tuple[str, int]:
    return step.lot, step.first


def _on_roll(steps: list[Step], asked: list[Doing], roll: ListedRoll) -> Iterator[str]:
    for step in steps:
        if step.count != (1 if step.does.act == OTHER else roll.count):
            yield f"step {step.number} is for {step.count} rolls like {roll.label}"
        if step.does.act == OTHER and step.does != Doing(OTHER):
            yield f"step {step.number} looks at the print, and has figures"
    made = [step for step in steps if step.does.act != OTHER]
    for step, doing in zip(made, asked, strict=False):
        if step.does != doing:
            yield f"step {step.number} says «{step.does}» on {roll.label}; the plan asks for «{doing}»"
            return
    if len(made) != len(asked):
        yield f"{len(made)} steps on {roll.label}, and the plan asks for {len(asked)}"


def _asked(roll: ListedRoll, lot: StockLot, wanted: Wanted) -> Iterator[Doing]:
    """Yield what the plan asks for on one roll, from its opening to its last cut."""
    repeat = wanted.match.repeat
    yield Doing("open", lot.length, _from(lot.stretches[0], repeat) if repeat else None)
    at, stretch = lot.stretches[0].start, 0
    is_first = True
    for cut in roll.cuts:
        while stretch < lot.stretch_at(cut.start):
            stretch += 1
            at, is_first = lot.stretches[stretch].start, True
            yield Doing("next stretch")
        label = drop_label(cut.piece)
        motif = _motif(lot, wanted.drops[label], repeat) if label in wanted.drops else None
        off = None if is_first and repeat and lot.stretches[stretch].datum is None else cut.start - at
        if off != 0:
            yield Doing("cut off", off, motif)
        yield Doing("cut", cut.end - cut.start, motif, label, cut.piece)
        at, is_first = cut.end, False


def _motif(lot: StockLot, drop: WantedDrop, repeat: Fraction) -> Fraction | None:
    """Return how far the first motif lies from the end that comes first; None where the piece has none to show."""
    if not repeat:
        return None
    motif = lot.datum_of(drop) % repeat
    return motif if lot.sheet is None or motif < drop.cut_length else None


def stock_rule(entries: list[Table], wanted: Wanted, plan: ListedPlan, of_walls: Mapping[str, str]) -> Iterator[str]:
    """Yield where the rolls that a plan in use may cut are not those of its scenario.

    ``of_walls`` are the batches that the plan gives walls: what falls out of a drop is of its wall's.
    """
    seen = set()
    for entry in entries:
        label = entry.text("label")
        lot = wanted.lots.get(label)
        if lot is None or label in seen:
            yield f"there is no lot {label}, or it stands twice in the stock"
            continue
        seen.add(lot.label)
        source = wanted.drops.get(lot.cut_from or "")
        batch = None if source is None else of_walls.get(source.wall or "", source.batch)
        for key, said, right in _facts_of_lot(entry, lot, wanted.match.repeat):
            if said != right and not (key == "batch" and said == batch):
                yield f"the stock has another {key} of {label} than the scenario"
    for lot in (*wanted.rolls, *(lot for _, lot in rolls_known(wanted, plan))):
        if lot.label not in seen:
            yield f"{lot.label} is not in the stock"


def _facts_of_lot(entry: Table, lot: StockLot, repeat: Fraction) -> Iterator[tuple[str, object, object]]:
    """Yield the key of each fact of a lot, as the stock has it, and as the scenario does."""
    for key in ("length", "first_motif", "price", "left", "right"):
        yield key, entry.number(key), getattr(lot, key)
    yield "count", entry.whole("count", 1), lot.count
    yield "batch", entry.optional_text("batch") or "", lot.batch
    yield "sheet", entry.whole("sheet", 1), lot.sheet
    yield "cut_from", entry.optional_text("cut_from"), lot.cut_from
    yield "end that comes off first", entry.flag("foot_first") is True, lot.is_foot_first
    yield "kind of paper", entry.flag("offcut") is True, lot.is_offcut
    parts = [
        (part.number("start"), part.number("length"), part.number("first_motif")) for part in entry.tables("parts")
    ]
    yield "stretch", parts, [(part.start, part.end - part.start, _from(part, repeat)) for part in lot.parts]


def _from(stretch: Stretch, repeat: Fraction) -> Fraction | None:
    """Return how far the first motif lies from where a stretch begins."""
    if stretch.datum is None:
        return None
    return (stretch.datum - stretch.start) % repeat if repeat else stretch.datum - stretch.start
