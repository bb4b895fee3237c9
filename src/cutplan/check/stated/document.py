"""The plan as the document states it: rolls with their cuts, the figures claimed, and their proofs."""

from __future__ import annotations

from fractions import Fraction
from functools import partial
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from cutplan.check.stated.exact_lengths import simplest_near
from cutplan.check.stated.fields import Table

FORMAT: Final = "cutplan-plan/1"
STATUSES: Final = ("optimal", "feasible", "infeasible", "unknown")
OBJECTIVES: Final = ("rolls", "cost", "rolls_to_buy")
STOPS: Final = ("time limit", "interrupted", "too many different drops")
PROVERS: Final = ("prices", "batches", "search", "none")
FOLLOWED: Final = ("follow", "walls", "once")
"""What cutting keeps pace with: every drop as it is hung, whole walls, or nothing."""
ORDER_STATUSES: Final = ("optimal", "feasible")
ACTS: Final = ("cut", "paste", "hang", "inspect")


class ListedCut(Struct, frozen=True):
    """One cut of a roll: ``piece`` as written, and from where to where, mm from the roll's outer end.

    ``shown_start`` and ``shown_end`` are the rounded figures beside the exact ones; None where not given. ``is_turned``
    tells whether it is to hang turned end for end, None where nothing is said of it.
    """

    piece: str
    start: Fraction
    end: Fraction
    shown_start: Fraction | None
    shown_end: Fraction | None
    is_turned: bool | None = None


class ListedRoll(Struct, frozen=True):
    """One entry of the list of rolls, standing for ``count`` rolls of one lot that are cut alike.

    ``has_start`` tells a roll whose first motif is given as null from one that says nothing of it.
    """

    label: str
    lot: str | None
    count: int
    cuts: tuple[ListedCut, ...]
    length: Fraction | None
    has_start: bool
    first_motif: Fraction | None
    is_sealed: bool | None
    left: Fraction | None
    slack: Fraction | None


class ListedSheet(Struct, frozen=True):
    """What is said of one sheet of a numbered set: its number, its label, and what comes off each of :data:`SIDES`."""

    sheet: int
    roll: str
    off: tuple[Fraction, ...]


SIDES: Final = ("head", "foot", "left", "right")


class ListedPrices(Struct, frozen=True):
    """A certificate as listed: whole prices of drops, whole premiums of lots, and the scale of both."""

    scale: int
    drops: dict[str, int]
    premiums: dict[str, int]


class ListedProof(Struct, frozen=True):
    """The bound claimed, what is said to prove it (one of :data:`PROVERS`), and the prices; that of what is bought."""

    by: str
    bound: Fraction
    prices: ListedPrices | None
    to_buy: ListedProof | None = None


class Figures(Struct, frozen=True):
    """The figures claimed for the plan, or for the best case of its sealed rolls; None where not claimed.

    ``names`` are the keys of rolls, lower bound, cost, cost's lower bound, status, the number bought and its lower
    bound in the document.
    """

    names: tuple[str, ...]
    rolls: int | None
    lower_bound: int | None
    cost: Fraction | None
    cost_lower_bound: Fraction | None
    status: str | None
    proof: ListedProof | None
    bought: int | None = None
    least_bought: int | None = None


class ListedWithoutOffcuts(Struct, frozen=True):
    """What the plan says that the job needs without offcuts; ``rolls`` is None where no plan was found.

    ``plan`` is the plan of it, None in a file of an earlier version.
    """

    rolls: int | None
    cost: Fraction | None
    is_proved: bool
    plan: Table | None = None


class ListedOrdered(Struct, frozen=True):
    """A length ordered, the least that could be, and what is said to be needed of one piece; its pieces by their lots.

    Of each lot of pieces the label, the length of each, and how many there are.
    """

    length: Fraction
    lower_bound: Fraction
    needed: Fraction | None
    cost: Fraction | None
    pieces: tuple[tuple[str, Fraction, int], ...]


class ListedOrder(Struct, frozen=True):
    """The pieces in the order in which they are cut, and the figures claimed for it; None where not claimed."""

    cuts: tuple[str, ...]
    follow: str
    open_rolls: int | None
    most_waiting: int | None
    most_waiting_bound: int | None
    furthest_ahead: int | None
    furthest_ahead_bound: int | None
    status: str | None


class ListedAct(Struct, frozen=True):
    """Something done without a break.

    ``begin`` is in minutes from midnight of the first day, None where only ``at``, rounded down, tells it; ``minutes``
    is how long it takes, ``steps`` the first and last step of the cutting that it is, None for all but cutting.
    """

    act: str
    piece: str
    day: int
    at: str
    begin: Fraction | None
    minutes: Fraction
    steps: tuple[int, int] | None


class ListedPlan(Struct, frozen=True):
    """A plan document as read: ``certain`` holds its own figures, ``at_best`` those of the best case.

    ``stopped`` is why the planner says that it stopped before a proof, ``notes`` how many notes it gives;
    ``best_rolls`` are those of the best case, listed where it is better.
    """

    objective: str | None
    rolls: tuple[ListedRoll, ...]
    certain: Figures
    at_best: Figures
    order: ListedOrder | None
    timetable: tuple[ListedAct, ...]
    without_offcuts: ListedWithoutOffcuts | None
    stopped: str | None
    notes: int
    to_buy: dict[str, Fraction] | None
    ordered: ListedOrdered | None
    widths: dict[str, Fraction] | None
    sheets: tuple[ListedSheet, ...]
    best_rolls: tuple[ListedRoll, ...]

    @property
    def buys_first(self) -> bool:
        """True when the fewest rolls are said to be bought, and then the fewest opened."""
        return self.objective == "rolls_to_buy"


TO_BUY_KEYS: Final = ("rolls", "packets", "packets_lower_bound", "singles", "cost")
WIDTH_KEYS: Final = ("as_sold", "selvedge_left", "selvedge_right", "overlap", "as_hung")
COUNTED: Final = ("rolls", "packets", "singles")
"""Those that say how much is bought."""
CERTAIN_KEYS: Final = (
    "rolls_needed",
    "lower_bound",
    "cost",
    "cost_lower_bound",
    "status",
    "rolls_to_buy",
    "rolls_to_buy_lower_bound",
)
AT_BEST_KEYS: Final = (
    "at_best",
    "at_best_lower_bound",
    "at_best_cost",
    "at_best_cost_lower_bound",
    "at_best_status",
    "at_best_to_buy",
    "at_best_to_buy_lower_bound",
)


def read_plan(document: Table) -> ListedPlan:
    """Return the plan that a document states; faults go into its table."""
    if document.text("format") != FORMAT and isinstance(document.values.get("format"), str):
        document.fault("format", f"must be {FORMAT!r}, not {document.values['format']!r}")
    document.require("status", "rolls_needed", "lower_bound", "rolls")
    return ListedPlan(
        objective=document.one_of("objective", OBJECTIVES),
        rolls=document.each("rolls", _roll),
        certain=_figures(document, CERTAIN_KEYS, "proof"),
        at_best=_figures(document, AT_BEST_KEYS, "at_best_proof"),
        order=document.one("order", read_order),
        timetable=document.each("timetable", _act),
        without_offcuts=document.one("without_offcuts", _without_offcuts),
        stopped=document.one_of("stopped", STOPS),
        notes=len(document.texts("notes")),
        to_buy=document.one("to_buy", partial(_numbers, TO_BUY_KEYS)),
        widths=document.one("widths", partial(_numbers, WIDTH_KEYS)),
        ordered=document.one("ordered", _ordered),
        sheets=document.each("sheets", _sheet),
        best_rolls=document.each("at_best_rolls", _roll),
    )


def _ordered(table: Table) -> ListedOrdered:
    table.require("pieces")
    pieces = ((piece.text("lot"), piece.exact("length")[0], piece.count("count")) for piece in table.tables("pieces"))
    length, bound = table.exact("length", "lower_bound")
    return ListedOrdered(length, bound, table.number("needed"), table.number("cost"), tuple(pieces))


def _numbers(keys: tuple[str, ...], table: Table) -> dict[str, Fraction]:
    numbers = {key: table.number(key) for key in keys}
    return {key: number for key, number in numbers.items() if number is not None}


def _sheet(table: Table) -> ListedSheet:
    return ListedSheet(table.count("sheet"), table.text("roll"), table.exact(*SIDES))


def _without_offcuts(table: Table) -> ListedWithoutOffcuts:
    rolls, cost, is_proved = table.whole("rolls_needed"), table.number("cost"), table.flag("proved") is True
    return ListedWithoutOffcuts(rolls, cost, is_proved, table.table("plan"))


def _figures(document: Table, names: tuple[str, ...], proof: str) -> Figures:
    rolls, lower_bound, cost, cost_lower_bound, status, bought, least_bought = names
    return Figures(
        names=names,
        rolls=document.whole(rolls),
        lower_bound=document.whole(lower_bound),
        cost=document.number(cost),
        cost_lower_bound=document.number(cost_lower_bound),
        status=document.one_of(status, STATUSES),
        proof=document.one(proof, read_proof),
        bought=document.whole(bought),
        least_bought=document.whole(least_bought),
    )


def read_proof(table: Table) -> ListedProof:
    """Return a proof, with that of what is bought where it has one."""
    return replace(_proof(table), to_buy=table.one("to_buy", _proof))


def _proof(table: Table) -> ListedProof:
    by, (bound,) = table.word("by", PROVERS), table.exact("bound")
    return ListedProof(by, bound, table.one("prices", read_prices))


def read_prices(prices: Table) -> ListedPrices:
    """Return a certificate as listed."""
    return ListedPrices(prices.count("scale"), prices.whole_numbers("drops"), prices.whole_numbers("premiums"))


def _roll(table: Table) -> ListedRoll:
    return ListedRoll(
        label=table.text("roll"),
        lot=table.optional_text("lot"),
        count=table.whole("count", 1) or 1,
        cuts=table.each("cuts", _cut),
        length=table.number("length_mm"),
        has_start="first_motif_mm" in table.values,
        first_motif=table.number("first_motif_mm"),
        is_sealed=table.flag("sealed"),
        left=table.number("left_mm"),
        slack=table.number("slack_mm"),
    )


def _cut(table: Table) -> ListedCut:
    (start, shown_start), (end, shown_end) = _place(table, "from"), _place(table, "to")
    return ListedCut(table.text("drop"), start, end, shown_start, shown_end, table.flag("turned"))


def _place(table: Table, key: str) -> tuple[Fraction, Fraction | None]:
    """Return a place on the roll, exact and as shown; where only one is shown it stands for both."""
    if table.has(key):
        return table.exact(key)[0], table.number(f"{key}_mm")
    (shown,) = table.exact(f"{key}_mm")
    return simplest_near(shown), shown


def read_order(table: Table) -> ListedOrder:
    """Return an order of cutting as listed."""
    return ListedOrder(
        cuts=table.texts("cuts", "pieces"),
        follow=table.one_of("follow", FOLLOWED) or FOLLOWED[0],
        open_rolls=table.whole("open_rolls", 1),
        most_waiting=table.whole("most_waiting"),
        most_waiting_bound=table.whole("most_waiting_lower_bound"),
        furthest_ahead=table.whole("furthest_ahead"),
        furthest_ahead_bound=table.whole("furthest_ahead_lower_bound"),
        status=table.one_of("status", ORDER_STATUSES),
    )


def _act(table: Table) -> ListedAct:
    act, (minutes,), day = table.word("act", ACTS), table.exact("minutes"), table.count("day")
    return ListedAct(act, table.text("piece"), day, table.text("at"), table.number("begin"), minutes, _steps(table))


def _steps(table: Table) -> tuple[int, int] | None:
    steps = table.values.get("steps")
    if isinstance(steps, list) and [type(step) for step in steps] == [int, int] and min(steps) > 0:
        return steps[0], steps[1]
    if steps is not None:
        table.fault("steps", "must be the numbers of the first step and of the last")
    return None
