"""What is wanted of rolls still to be bought: the drops, less what the paper in hand gives."""

from __future__ import annotations

from fractions import Fraction
from functools import cached_property

from msgspec import Struct
from msgspec.structs import replace

from cutplan.job.bought_beside import in_hand_for_nothing
from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.lengths import Length
from cutplan.paper.sale import BY_THE_ROLL, Sale
from cutplan.paper.stock import Lot
from cutplan.plan.plan import Plan
from cutplan.solve.instance import Instance, RollType, ScaledJob, scale
from cutplan.solve.measured.starts import Unopened
from cutplan.wording import unlike_all


class Size(Struct, frozen=True):
    """A size in which the paper is sold: of one roll its length, as marked, and its price, where that is known."""

    length: Length
    price: Fraction | None = None
    sale: Sale = BY_THE_ROLL

    def bought(self, rolls: int) -> int:
        """Return how many rolls are bought for so many, no packet broken."""
        return self.sale.bought(rolls)

    def cost(self, rolls: int) -> Fraction | None:
        """Return what those cost; None when the price is not known."""
        return self.sale.cost(rolls, self.price)


def sizes_to_buy(job: Job) -> tuple[Size, ...]:
    """Return the sizes of the rolls that a job lists as needed, in that order; the paper's own where it lists none."""
    listed = dict.fromkeys((lot.length, lot.price) for lot in job.rolls if lot.count is None)
    return tuple(
        Size(length, job.paper.price if price is None else price, job.paper.sale)
        for length, price in listed or [(job.paper.roll_length, None)]
    )


class Need(Struct, frozen=True, dict=True):
    """A job for which sealed rolls of one size are to be bought.

    Rolls and offcuts that the job lists by number are in hand; a lot without a number is none. ``batches`` are those
    that the rolls to be bought are of; none when they are of one batch of their own.
    """

    job: Job
    size: Size
    batches: tuple[str, ...] = ()

    @cached_property
    def in_hand(self) -> tuple[Lot, ...]:
        """Rolls and offcuts that need not be bought."""
        return tuple(lot for lot in self.job.lots if lot.count is not None)

    @property
    def rolls_in_hand(self) -> int:
        """Number of rolls in hand, open or sealed; offcuts are none."""
        return sum(lot.count or 0 for lot in self.in_hand if not lot.is_offcut)

    @property
    def has_rolls_in_hand(self) -> bool:
        """True when some of the rolls need not be bought."""
        return self.rolls_in_hand > 0

    @cached_property
    def label(self) -> str:
        """What the rolls to be bought are called: as the job calls them, or unlike anything in hand or to come."""
        for lot in self.job.rolls:
            if lot.count is None:
                return lot.label
        return unlike_all("roll", (lot.label for lot in (*self.in_hand, *self.job.offcuts)))

    @cached_property
    def new(self) -> tuple[Lot, ...]:
        """The rolls to be bought, as many as needed, of each batch that they are to be of."""
        lot = Lot(self.label, self.size.length, count=None)
        if len(self.batches) > 1:
            return tuple(replace(lot, label=f"{lot.label} of {batch}", batch=batch) for batch in self.batches)
        if self.batches:
            return (replace(lot, batch=self.batches[0]),)
        # Beside rolls whose batch is told, others are of another.
        known = batches_in_hand(self.job)
        return (replace(lot, batch=unlike_all("another", known, before="yet ")),) if known else (lot,)

    @cached_property
    def whole(self) -> Job:
        """The job with the rolls to be bought, as ``cutplan plan`` makes it where no prices are told."""
        return replace(self.job, lots=tuple(replace(lot, price=None) for lot in (*self.in_hand, *self.new)))

    def as_priced(self, plan: Plan) -> Job:
        """Return the job at its rolls' prices, with those in hand that a plan of the ``whole`` buys."""
        opened = ((lot, sum(layout.count for layout in plan.layouts if layout.lot == lot.label)) for lot in self.new)
        price = self.size.price or Fraction(0)
        bought = (replace(lot, count=count, price=price) for lot, count in opened if count)
        return replace(self.job, lots=(*self.in_hand, *bought))

    @cached_property
    def to_buy(self) -> Job:
        """The job whose least value is the number of rolls to buy: paper in hand costs nothing."""
        if not self.has_rolls_in_hand:
            return replace(self.job, lots=(*self.new, *self.in_hand))
        return replace(self.job, lots=in_hand_for_nothing((*self.in_hand, *self.new)))

    @cached_property
    def scaled(self) -> ScaledJob:
        """The job to buy for, in whole numbers."""
        return scale(self.to_buy, certain=True)

    @property
    def length(self) -> int:
        """Length of a roll to be bought, in the unit of ``scaled``."""
        return int(self.size.length / self.scaled.unit)

    @cached_property
    def unopened(self) -> tuple[Unopened, ...]:
        """Rolls that may begin anywhere and can be measured: of the size to be bought first, then others in hand."""
        shortest = min(kind.length for kind in self.scaled.instance.kinds)
        counts = {self.length: 0}
        for roll in self.scaled.instance.roll_types:
            if self._is_unopened(roll) and roll.length >= shortest:
                counts[roll.length] = counts.get(roll.length, 0) + (roll.supply or 0)
        return tuple(Unopened(length, count) for length, count in counts.items())

    @property
    def unopened_in_hand(self) -> int:
        """How many of the rolls in hand may begin anywhere."""
        return sum(unopened.count for unopened in self.unopened)

    @cached_property
    def of_known_paper(self) -> Instance:
        """The drops with the paper in hand that is measured, or taken for what is certain of it."""
        instance = self.scaled.instance
        return replace(instance, roll_types=tuple(roll for roll in instance.roll_types if not self._is_unopened(roll)))

    @property
    def has_paper_taken_for_certain(self) -> bool:
        """True when measuring some of the paper in hand could tell more than what is certain of it."""
        types = self.of_known_paper.roll_types
        return any(stretch.datum is None for roll in types for stretch in roll.stretches)

    def _is_unopened(self, roll: RollType) -> bool:
        """Return True for rolls to be bought, and for those in hand that are as they were sold but for their length."""
        return roll == RollType(roll.length, None, roll.supply, roll.value)

    def with_length(self, length: Length) -> Need:
        """Return the same need for rolls of another length."""
        return replace(self, size=replace(self.size, length=length))

    def shortened(self, part: Fraction) -> Need:
        """Return the need when every sealed roll, to be bought or in hand, is shorter by this part of its length.

        What is measured, and every piece of a roll in pieces, is as long as it is written down.
        """
        lots = (
            replace(lot, length=lot.length * (1 - part)) if lot.is_as_sold and lot.count is not None else lot
            for lot in self.job.lots
        )
        shorter = replace(self, job=replace(self.job, lots=tuple(lots)))
        return shorter.with_length(self.size.length * (1 - part))

    def with_drops(self, drops: tuple[Drop, ...]) -> Need:
        """Return the same need for other drops."""
        return replace(self, job=replace(self.job, drops=drops))


def batches_in_hand(job: Job) -> tuple[str, ...]:
    """Return the batches that are told: of rolls in hand, in the order listed, then of walls that are settled."""
    told = (lot.batch for lot in job.rolls if lot.count is not None)
    return tuple(batch for batch in dict.fromkeys([*told, *job.settled_batches.values()]) if batch)


def batches_on_sale(job: Job) -> tuple[str, ...]:
    """Return the batches of the rolls listed as needed, in that order; none unless each of them tells its batch."""
    listed = dict.fromkeys(lot.batch for lot in job.rolls if lot.count is None)
    return tuple(batch for batch in listed if batch) if all(listed) else ()


def ways_to_buy(job: Job, size: Size) -> tuple[Need, ...]:
    """Return what the rolls to be bought may be: of the batches in hand; or of one batch of their own.

    Where batches are listed as needed, of those alone. Where several are in hand and nobody has told the walls, batches
    are not kept apart, as in a plan. Where one is in hand and nobody has told the walls, paper of another batch can
    serve only by itself.
    """
    told = batches_in_hand(job)
    if (on_sale := batches_on_sale(job)) or not told:
        return (Need(job, size, on_sale),)
    if all(drop.wall is not None for drop in job.drops):
        return Need(job, size, told), Need(job, size)
    if len(told) > 1:
        return (Need(job, size, told[:1]),)
    by_itself = replace(
        job, lots=(Lot("roll", size.length, count=None), *(lot for lot in job.lots if lot.is_offcut and not lot.batch))
    )
    return Need(job, size, told), Need(by_itself, size)
