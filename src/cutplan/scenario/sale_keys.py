"""Reading how a paper is sold, what its price is the price of, and what comes off its edges: keys of ``[paper]``."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from cutplan.lengths import UNITS, ZERO, Length, show
from cutplan.paper.sale import Edges, Sale
from cutplan.scenario.tables import Table
from cutplan.scenario.usual import OVERLAP, ROLL_WIDTH, SELVEDGE, SINGLE

ORDER_KEYS: Final = ("sold_by", "order_least", "order_step")
SALE_KEYS: Final = (
    "packet", "singles", "price_per", "across", *ORDER_KEYS,
    "selvedge", "selvedge_left", "selvedge_right", "overlap",
)  # fmt: skip
SOLD_BY: Final = ("m", "yd")
PRICE_PER: Final = ("roll", "packet", "single", *SOLD_BY)
MOST_IN_A_PACKET: Final = 100
_SINGLES: Final = {"double": 2, "triple": 3, "quadruple": 4}
_IN_WORDS: Final = re.compile(
    r"packets? of (?P<packet>[1-9][0-9]?)|(?P<of>single of an? )?(?P<singles>double|triple|quadruple)(?: rolls?)?"
    r"|roll|(?P<unit>m|met(?:re|er)s?|yd|yards?)"
)
MOST_SINGLES: Final = 4
"""A quadruple roll is the longest that is counted in singles [practice]."""


def sold_in_words(text: str) -> tuple[str, Sale] | None:
    """Return what a price would be the price of, and how the paper is then sold; None for words that say neither.

    >>> sold_in_words("packet of 2")
    ('packet', Sale(packet=2, singles=1, unit=None, least=Fraction(0, 1), step=Fraction(0, 1)))

    """
    found = _IN_WORDS.fullmatch(text.strip().lower())
    if found is None:
        return None
    if found["packet"]:
        return "packet", Sale(int(found["packet"]))
    if found["unit"]:
        unit = "m" if found["unit"].startswith("m") else "yd"
        return unit, Sale(unit=unit, least=UNITS[unit], step=UNITS[unit])
    return "single" if found["of"] else "roll", Sale(singles=_SINGLES.get(found["singles"] or "", 1))


def sale_keys(sale: Sale) -> Iterator[tuple[str, str]]:
    """Yield the keys of ``[paper]`` that say how a paper is sold, each with its value as TOML has it."""
    if sale.packet > 1:
        yield "packet", str(sale.packet)
    if sale.singles > 1:
        yield "singles", str(sale.singles)
    if sale.unit is not None:
        yield "sold_by", f'"{sale.unit}"'


def read_sale(paper: Table, roll_length: Length | None) -> Sale:
    """Return how the paper is sold; its faults are noted."""
    packet = _whole(paper, "packet", MOST_IN_A_PACKET)
    singles = _whole(paper, "singles", MOST_SINGLES)
    if singles > 1 and roll_length is not None:
        paper.doubt("roll_length", roll_length / singles, SINGLE)
    unit = paper.choice("sold_by", SOLD_BY, required=False)
    if unit is None:
        for key in ("order_least", "order_step", "across"):
            if paper.has(key) and not paper.has("sold_by"):
                aside = "; of a border it stands under [[border]]" if key == "across" else ""
                paper.reject(
                    key, f'is for paper that is cut to order; add sold_by = "m" or "yd", or leave it out{aside}'
                )
        return Sale(packet, singles)
    for key in ("packet", "singles"):
        if paper.has(key):
            paper.reject(key, f"stands beside sold_by: what is cut to order has no {key}; keep one of the two")
    step = paper.length("order_step", required=False) or UNITS[unit]
    least = paper.length("order_least", required=False) or step
    if roll_length is not None and least > roll_length:
        longest = paper.shown(roll_length)
        paper.reject("order_least", f"is more than the roll of {longest} that it is cut from; mend one of the two")
    return Sale(_whole(paper, "across", MOST_IN_A_PACKET), unit=unit, least=least, step=step)


def _whole(paper: Table, key: str, most: int) -> int:
    """Return a number of rolls or singles; 1 where none is told, or it is at fault."""
    number = paper.whole(key, required=False) or 1
    if number > most:
        paper.reject(key, f"must be {most} or less, not {number}; leave it out for paper sold roll by roll")
        return 1
    return number


def read_price(paper: Table, sale: Sale, roll_length: Length | None) -> Fraction | None:
    """Return the price of one roll, whatever the label prices; None when none is told, or it is at fault."""
    price, per = paper.price("price", required=False), paper.choice("price_per", PRICE_PER, required=False)
    if not paper.has("price_per"):
        if price is not None and not sale.is_plain:
            of = f'"{sale.unit}"' if sale.unit else '"packet", "roll" or "single"'
            paper.reject("price", f"is the price of what? add price_per = {of}")
        return price
    needed = {"packet": "packet", "single": "singles"}.get(per or "")
    if needed and not paper.has(needed):
        how_many = {"packet": "how many rolls are in one", "singles": "as how many singles one roll counts"}[needed]
        paper.reject("price_per", f'is "{per}", and {needed} is missing; add {how_many}: {needed} = 2')
    if not paper.has("price"):
        paper.reject("price_per", "stands without a price; add it, or leave price_per out")
    if price is None or per is None or roll_length is None:
        return None
    if per in SOLD_BY:
        return price * roll_length / UNITS[per]
    return price * {"single": Fraction(sale.singles), "packet": Fraction(1, sale.packet)}.get(per, Fraction(1))


def read_edges(paper: Table) -> Edges:
    """Return what comes off the edges of the paper as sold; its faults are noted."""
    both = paper.length("selvedge", required=False, zero=True, usual=SELVEDGE) or ZERO
    left, right = (
        paper.length(f"selvedge_{side}", required=False, zero=True, usual=SELVEDGE) for side in ("left", "right")
    )
    overlap = paper.length("overlap", required=False, usual=OVERLAP) or ZERO
    return Edges(both if left is None else left, both if right is None else right, overlap)


def read_width(paper: Table, edges: Edges) -> Length | None:
    """Return the width of a strip as it hangs, of paper whose roll_width is as sold; None when it is not told."""
    width = paper.length("roll_width", required=False, usual=ROLL_WIDTH)
    if width is None:
        return None
    if too_little := lost_width(edges.lost, width, paper.units):
        paper.reject("selvedge" if edges.left + edges.right else "overlap", too_little)
        return None
    return width - edges.lost


def lost_width(lost: Length, width: Length, units: str) -> str | None:
    """Return why so much cannot be lost of the width of a paper as sold; None when it can."""
    if 2 * lost < width:
        return None
    what = f"leaves less than half of the width of {show(width, units)}, with {show(lost, units)} lost"
    return f"{what}; measure again"


def read_motif_from_left(paper: Table, edges: Edges, motif: Length | None) -> Length | None:
    """Return where the motif is from the left edge of the strip as it hangs; ``motif`` is from that as sold."""
    if motif is None:
        return None
    if motif < edges.before_strip:
        lost = paper.shown(edges.before_strip)
        paper.reject("motif_from_left", f"lies in the {lost} cut off the left edge; measure from the edge as sold")
        return None
    return motif - edges.before_strip
