"""One batch for each wall: is every wall papered from one, and is no other choice of batches better.

The proof is a list of certificates, each for the paper of one batch: prices at which no roll of that batch is worth
more than they allow, or, where its rolls are taken to cost nothing, prices that show them too few. For every choice of
a batch for each wall the judge takes, batch by batch, the best bound that a certificate gives for the walls chosen,
and adds them up.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from itertools import pairwise, product
from math import ceil, inf, prod
from typing import Final

from msgspec import Struct

from cutplan.check.proof.prices_proof import fair_prices_rule, figure, step_of
from cutplan.check.proof.worth import TooLongToFollowError
from cutplan.check.report import Report, Violation, counted
from cutplan.check.roll_rules.rolls_and_drops import drop_label
from cutplan.check.roll_rules.rolls_there import rolls_known
from cutplan.check.roll_rules.what_fits_where import StockLot
from cutplan.check.stated.document import ListedPlan, ListedPrices, read_prices
from cutplan.check.stated.echo import Wanted
from cutplan.check.stated.fields import Table
from cutplan.check.survey.surveyed import Survey

MOST_CHOICES: Final = 200_000
"""Choices of batches that are gone through; a proof over more is taken for a search."""


class ListedCertificate(Struct, frozen=True):
    """Prices for the paper of one batch; ``is_shortage`` when its rolls are taken to cost nothing."""

    batch: str
    is_shortage: bool
    prices: ListedPrices


class ListedBatches(Struct, frozen=True):
    """What the plan says of batches: that of each wall, the rolls of each, and the proof over every choice."""

    of_walls: dict[str, str]
    rolls: dict[str, int]
    is_by_prices: bool
    certificates: tuple[ListedCertificate, ...]
    changes: tuple[tuple[str, str, str], ...] | None = None
    """Where two walls of different batches meet: left wall, right wall, kind of corner; None where not told."""


def read_batches(document: Table) -> ListedBatches | None:
    """Return what a plan says of batches; None when it says nothing."""
    table = document.table("batches")
    if table is None:
        return None
    walls = table.table("walls")
    of_walls = {} if walls is None else {name: walls.optional_text(name) or "" for name in walls.values}
    certificates = [
        ListedCertificate(entry.optional_text("batch") or "", bool(entry.flag("shortage")), read_prices(entry))
        for entry in table.tables("certificates")
    ]
    is_by_prices = table.has("by") and table.one_of("by", ("prices", "search")) == "prices"
    changes = tuple(
        (entry.text("left"), entry.text("right"), entry.one_of("corner", ("internal", "external")) or "")
        for entry in table.tables("changes")
    )
    told = changes if table.has("changes") else None
    return ListedBatches(of_walls, table.whole_numbers("rolls"), is_by_prices, tuple(certificates), told)


def judge_batches(
    wanted: Wanted, limited: Wanted, plan: ListedPlan, batches: ListedBatches | None, survey: Survey | None
) -> Report:
    """Return the judgement of a plan's batches; ``survey`` is the room, None for a plain list of drops.

    ``limited`` has only the rolls by which the bound is proved: an offcut may be of the batch of rolls not bought.
    """
    proof = plan.certain.proof
    violations: list[Violation] = []
    if proof is not None and proof.by == "batches" and (batches is None or not batches.is_by_prices):
        violations.append(Violation("bound", "proof", "rests on prices by batch, and the plan gives none", proof.bound))
    violations += known_walls_rule(wanted)
    if batches is None:
        return Report((*violations, *silence_rule(wanted, plan)))
    violations += [*wall_rule(wanted, plan, batches), *count_rule(wanted, plan, batches)]
    violations += changes_rule(wanted, batches, survey)
    proving = _Proving(limited, batches, batches_of(wanted))
    choices = prod(map(len, proving.allowed))
    is_judged = batches.is_by_prices and choices <= MOST_CHOICES
    try:
        violations += proving.unfair()
    except TooLongToFollowError:
        is_judged = False
    if is_judged and not violations:
        violations += choice_rule(wanted, plan, proving)
    if violations:
        return Report(tuple(violations))
    searched = () if is_judged else (f"that no choice of batches, of {choices}, is better is the word of a search",)
    return Report((), tuple(_facts(wanted, plan, batches, choices if is_judged else None)), searched)


def known_walls_rule(wanted: Wanted) -> Iterator[Violation]:
    """Require the wall of every drop to be told, if any is, where rolls are of several batches."""
    if len(batches_of(wanted)) > 1 and any(drop.wall is not None for drop in wanted.drops.values()):
        for drop in wanted.drops.values():
            if drop.wall is None:
                message = "its wall is not told, so nobody can say which batch it may be of"
                yield Violation("batches", f"drop {drop.label}", message)


def changes_rule(wanted: Wanted, batches: ListedBatches, survey: Survey | None) -> Iterator[Violation]:
    """Require the corners at which the batch changes to be told; in a plain list walls meet as they are listed."""
    if survey is None:
        names = [drop.wall for drop in wanted.drops.values() if drop.wall is not None]
        meeting = [(*pair, "internal") for pair in dict.fromkeys(pairwise(names)) if pair[0] != pair[1]]
    else:
        walls = survey.walls
        meeting = [
            (wall.name, walls[(number + 1) % len(walls)].name, "internal" if wall.corner.is_internal else "external")
            for number, wall in enumerate(walls)
            if survey.closes or number + 1 < len(walls)
        ]
    of = batches.of_walls
    changes = [pair for pair in meeting if of.get(pair[0]) != of.get(pair[1])]
    if batches.changes is not None and list(batches.changes) != changes:
        said, found = _corners(batches.changes), _corners(changes)
        yield Violation("batches", "", f"the batch is said to change at {said}; it changes at {found}")


def _corners(pairs: Iterable[tuple[str, str, str]]) -> str:
    return ", ".join(f"{kind} corner of {left!r} and {right!r}" for left, right, kind in pairs) or "no corner"


def _facts(wanted: Wanted, plan: ListedPlan, batches: ListedBatches, choices: int | None) -> Iterator[str]:
    each = ", ".join(f"{name!r} {batch or 'not told'}" for name, batch in batches.of_walls.items())
    yield f"every wall is papered from one batch: {each}"
    proof = plan.certain.proof
    if proof is not None and choices is not None:
        least = figure(wanted, proof.bound)
        yield f"for each of the {counted(choices, 'choice')} of batches prices prove {least} or more, or too few rolls"


def silence_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require a plan to say which batch goes on which wall, where rolls differ in batch and walls are told."""
    batches = batches_of(wanted)
    if len(batches) > 1 and all(drop.wall is not None for drop in wanted.drops.values()) and plan.rolls:
        yield Violation("batches", "", f"rolls are of {len(batches)} batches, and nothing says which wall is of which")


def wall_rule(wanted: Wanted, plan: ListedPlan, batches: ListedBatches) -> Iterator[Violation]:
    """Require each drop to be cut from the batch of its wall; a cut-out is of the batch of the drop it falls out of."""
    walls = {drop.label: drop.wall for drop in wanted.drops.values()}
    for name in dict.fromkeys(walls.values()):
        if name is None or name not in batches.of_walls:
            yield Violation("batches", f"wall {name!r}", "has no batch")
    for roll, lot in rolls_known(wanted, plan):
        batch = lot.batch if lot.cut_from is None else batches.of_walls.get(walls.get(lot.cut_from) or "", "")
        for cut in roll.cuts:
            wall = walls.get(drop_label(cut.piece)) or ""
            chosen = batches.of_walls.get(wall, "")
            if batch != chosen:
                what = f"drop {cut.piece} is cut from batch {batch or 'not told'}"
                yield Violation("batches", f"roll {roll.label}", f"{what}, and {wall!r} is of {chosen or 'not told'}")


def batches_of(wanted: Wanted) -> tuple[str, ...]:
    """Return the batches of the rolls, those that some drop must be of, and those of offcuts that may be cut."""
    needed = (drop.batch for drop in wanted.drops.values() if drop.batch is not None)
    kept = (lot.batch for lot in wanted.lots.values() if lot.is_offcut and lot.cut_from is None and not lot.is_foreign)
    return tuple(dict.fromkeys([*(lot.batch for lot in wanted.rolls), *needed, *kept]))


def count_rule(wanted: Wanted, plan: ListedPlan, batches: ListedBatches) -> Iterator[Violation]:
    """Require the rolls of each batch to be counted rightly."""
    listed: dict[str, int] = dict.fromkeys(batches.rolls, 0)
    for roll, lot in rolls_known(wanted, plan):
        if not lot.is_offcut:
            listed[lot.batch] = listed.get(lot.batch, 0) + roll.count
    for batch, count in listed.items():
        claimed = batches.rolls.get(batch, 0)
        if claimed != count:
            what = f"{counted(claimed, 'roll')} counted, {counted(count, 'roll')} listed"
            yield Violation("batches", f"batch {batch or 'not told'}", what, Fraction(abs(claimed - count)))


def choice_rule(wanted: Wanted, plan: ListedPlan, proving: _Proving) -> Iterator[Violation]:
    """Require every choice of a batch for each wall to be proved no better than the bound claimed."""
    proof = plan.certain.proof
    if proof is None:
        return
    for chosen in product(*proving.allowed):
        proved = sum(
            proving.bound(batch, frozenset(wall for wall, other in enumerate(chosen) if other == batch))
            for batch in set(chosen)
        )
        if proved < proof.bound:
            shares = ", ".join(
                f"{name!r} from {proving.batches[batch] or 'not told'}"
                for name, batch in zip(proving.walls, chosen, strict=True)
            )
            message = f"prices prove only {figure(wanted, Fraction(proved))} for {shares}"
            yield Violation("batches", "proof", message, proof.bound - Fraction(proved))
            return


class _Proving:
    """The certificates, and what they prove for the walls of a batch."""

    def __init__(self, wanted: Wanted, batches: ListedBatches, every_batch: tuple[str, ...]) -> None:
        self.wanted = wanted
        self.certificates = batches.certificates
        self.batches = every_batch
        self.walls = tuple(dict.fromkeys(drop.wall or "" for drop in wanted.drops.values()))
        settled = {drop.wall or "": drop.batch for drop in wanted.drops.values() if drop.batch is not None}
        every = range(len(self.batches))
        self.allowed = [[self.batches.index(settled[wall])] if wall in settled else [*every] for wall in self.walls]
        self._known: dict[tuple[int, frozenset[int]], Fraction | float] = {}

    def unfair(self) -> Iterator[Violation]:
        """Yield where drops that can lie together on a roll of the batch are worth more than is allowed."""
        for number, listed in enumerate(self.certificates, 1):
            subject = f"batches.certificates[{number}]"
            if listed.batch not in self.batches:
                yield Violation("prices", subject, f"there are no rolls of batch {listed.batch!r}")
            lots, prices, is_free = list(self._lots(listed.batch)), listed.prices, listed.is_shortage
            for lot in lots:
                if prices.premiums.get(lot.label) and lot.count is None:
                    yield Violation("prices", subject, f"lot {lot.label} has no limit, so it can have no premium")
            yield from fair_prices_rule(self.wanted, prices, subject, at_best=False, costs_nothing=is_free, lots=lots)

    def bound(self, batch: int, walls: frozenset[int]) -> Fraction | float:
        """Return the best bound that a certificate gives for ``walls`` papered from a batch; no end if impossible."""
        key = (batch, walls)
        if key not in self._known:
            own = (listed for listed in self.certificates if listed.batch == self.batches[batch])
            self._known[key] = max((self._bound(listed, walls) for listed in own), default=Fraction(0))
        return self._known[key]

    def _bound(self, listed: ListedCertificate, walls: frozenset[int]) -> Fraction | float:
        named = {self.walls[wall] for wall in walls}
        hung = {drop.label for drop in self.wanted.drops.values() if drop.wall in named}
        prices = listed.prices
        worth = sum(self.wanted.drops[label].count * prices.drops.get(label, 0) for label in hung)
        there = (lot for lot in self._lots(listed.batch) if lot.cut_from is None or lot.cut_from in hung)
        total = worth - sum((lot.count or 0) * prices.premiums.get(lot.label, 0) for lot in there)
        if total <= 0:
            return Fraction(0)
        rolls = [lot for lot in self.wanted.rolls if lot.batch == listed.batch]
        if listed.is_shortage or not rolls:
            return inf
        step = step_of(self.wanted, rolls)
        exact = Fraction(total, prices.scale)
        return ceil(exact / step) * step if step else exact

    def _lots(self, batch: str) -> Iterator[StockLot]:
        """Yield the paper of a batch, and every cut-out: it is of the batch of its wall."""
        for lot in self.wanted.lots.values():
            if lot.cut_from is not None or lot.batch == batch:
                yield lot
