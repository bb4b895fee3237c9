"""How the paper is sold, what one roll of it costs, and how wide it hangs: as the scenario's author wrote it."""

from __future__ import annotations

from fractions import Fraction
from math import ceil

from msgspec import Struct

from cutplan.check.stated.exact_lengths import MILLIMETRES
from cutplan.check.stated.fields import NOTHING, Table


class Sold(Struct, frozen=True):
    """Rolls in a packet, or strips across an order; singles in a roll; unit, least and step of an order cut to length.

    ``roll_length`` is that of one roll and the longest piece that is cut to order, ``price`` what one roll costs;
    ``widths`` are those of a paper that is wider as sold than as it hangs, each by its name.
    """

    packet: int
    singles: int
    unit: str | None = None
    least: Fraction = NOTHING
    step: Fraction = NOTHING
    roll_length: Fraction = NOTHING
    price: Fraction | None = None
    widths: dict[str, Fraction] | None = None

    def orderable(self, length: Fraction) -> Fraction:
        """Return the shortest order of so much or more."""
        return self.least + max(ceil((length - self.least) / self.step), 0) * self.step

    def bought(self, rolls: int) -> int:
        """Return how many rolls whole packets hold, for so many."""
        return (rolls + self.packet - 1) // self.packet * self.packet


def read_sold(paper: Table) -> Sold:
    """Return how the paper is sold; faults go into its table."""
    packet, singles = paper.whole("packet", 1) or 1, paper.whole("singles", 1) or 1
    length = paper.length("roll_length", NOTHING)
    price, per = paper.number("price"), paper.one_of("price_per", ("roll", "packet", "single", "m", "yd"))
    if price is not None and per in ("m", "yd"):
        price = price * length / MILLIMETRES[per]
    elif price is not None:
        price = price * singles if per == "single" else price / packet if per == "packet" else price
    left, right, lap = edges_of(paper)
    width, lost = paper.length("roll_width", NOTHING), left + right + lap
    widths = {
        "as_sold": width, "selvedge_left": left, "selvedge_right": right, "overlap": lap, "as_hung": width - lost
    } if width and lost else None  # fmt: skip
    unit = paper.one_of("sold_by", ("m", "yd"))
    if unit is None:
        return Sold(packet, singles, roll_length=length, price=price, widths=widths)
    step = paper.length("order_step", MILLIMETRES[unit])
    least = paper.length("order_least", step)
    for key, told in (("order_step", step), ("order_least", least)):
        if told <= 0:
            paper.fault(key, "must be more than 0")
    return Sold(paper.whole("across", 1) or 1, singles, unit, least, step, length, price, widths)


def lost_across(paper: Table) -> tuple[Fraction, Fraction]:
    """Return what the paper as sold loses of its width till it hangs: before the strip's left edge, and in all.

    A lap is cut through in its middle, so that half of it goes from either edge.
    """
    left, right, lap = edges_of(paper)
    return left + lap / 2, left + right + lap


def edges_of(paper: Table) -> tuple[Fraction, Fraction, Fraction]:
    """Return the selvedge on the left and on the right, and what neighbours share in a lap."""
    both = paper.length("selvedge", NOTHING)
    left = paper.length("selvedge_left", NOTHING) if paper.has("selvedge_left") else both
    right = paper.length("selvedge_right", NOTHING) if paper.has("selvedge_right") else both
    return left, right, paper.length("overlap", NOTHING)
