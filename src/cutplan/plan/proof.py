"""What proves that no plan is better: statuses, prices that no roll beats, bounds, and choices of batches."""

from __future__ import annotations

from enum import Enum
from fractions import Fraction

from msgspec import Struct

from cutplan.errors import NoPlanError
from cutplan.job.job import Neighbours


class TooFewRollsError(NoPlanError):
    """The rolls do not give all drops."""

    def __init__(self, why: str, not_cut: str = "", *, prices: Prices | None = None, is_proved: bool = True) -> None:
        super().__init__(f"{why}; not cut: {not_cut}" if not_cut else why)
        self.why = why
        self.not_cut = not_cut
        """What is short, and by how much; the drops that the rolls do not give, where they are known."""
        self.prices = prices
        """A certificate by which all drops are worth more than what the rolls can hold, were they to cost nothing."""
        self.is_proved = is_proved
        """False where time was too short to find how the rolls do, or that they do not."""


class Status(Enum):
    """What is known of a plan or of a bound."""

    OPTIMAL = "optimal"
    FEASIBLE = "feasible"
    INFEASIBLE = "infeasible"
    UNKNOWN = "unknown"

    @classmethod
    def of(cls, value: Fraction | int, bound: Fraction | int) -> Status:
        """Return what is known of a plan of this value, below which none lies under the ``bound``."""
        return cls.OPTIMAL if value == bound else cls.FEASIBLE


class Prices(Struct, frozen=True):
    """A certificate: prices of drops that no roll can beat.

    For every lot, the drops that can lie together on one roll of it are worth at most
    ``scale × roll value + premium`` of that lot, where the roll value is 1 when rolls are counted and the
    roll's price when cost is counted. Hence no plan is better than
    (Σ count × price of drop − Σ count × premium of lot) / scale.

    References
    ----------
    Gilmore and Gomory, "A linear programming approach to the cutting-stock problem", Operations
    Research 9 (1961) 849–859: the dual of their programme.

    """

    drops: dict[str, int]
    """Integer price of one piece of each drop, by drop label."""
    premiums: dict[str, int]
    """Integer premium of each lot of limited number, by lot label; absent means 0. A lot without limit has none."""
    scale: int
    """Positive integer."""


class Proof(Struct, frozen=True):
    """A lower bound and what stands behind it."""

    bound: Fraction
    """No plan has a smaller value: rolls, or cost where prices differ."""
    prices: Prices | None
    """Certificate of ``bound``, once rounded up to a value that rolls can add up to; or, when ``by_search``, of the
    bound from which the search set out. None when no bound but 0 is known."""
    by_search: bool
    """True when an exhaustive search, and not the prices alone, proves ``bound``."""
    to_buy: Proof | None = None
    """Where rolls are bought beside rolls in hand, the proof of how many are bought: its bound is a part of ``bound``,
    and ``prices`` are then of the rolls opened by plans that buy no more. None for other jobs."""


class BatchPrices(Struct, frozen=True):
    """A certificate for the paper of one batch."""

    batch: str
    """The batch; ``""`` for paper whose batch is not told."""
    prices: Prices
    """Prices of drops on any wall, premiums of the batch's own lots."""
    is_shortage: bool
    """True when its rolls are taken to cost nothing: walls whose drops are then worth more than the premiums cannot all
    be papered from this batch."""


class BatchChoice(Struct, frozen=True):
    """From which batch each wall is papered, and why no other choice is better."""

    of_walls: dict[str, str]
    """Batch of each wall, by name; ``""`` for paper whose batch is not told."""
    changes: tuple[Neighbours, ...]
    """The corners where two walls of different batches meet."""
    certificates: tuple[BatchPrices, ...]
    """For every choice of one batch for each wall, the best bounds that these prove for the walls of each batch add up
    to the plan's bound, or more."""
    by_search: bool
    """True when they do not for every choice, and an exhaustive search closed the rest."""
