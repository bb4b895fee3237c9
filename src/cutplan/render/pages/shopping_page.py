"""The shopping list of a job, and the days on which its parts are hung, in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import ceil
from typing import Final

from cutplan.lengths import UNITS, exact_mm, exact_number
from cutplan.materials.material import SQUARE_FOOT, SQUARE_METRE, Packs, Use
from cutplan.parts.lining_part import DAMP
from cutplan.parts.shopping import PartRolls, PartTurn, ShoppingList
from cutplan.render.documents.plan_document import Json
from cutplan.render.pages.layout_of_page import bullets, paragraphs, section
from cutplan.render.words.answer_words import money, order_line
from cutplan.render.words.names import capital, listed_with_and
from cutplan.table.timetable import DAY, clock
from cutplan.wording import counted

_IMPERIAL: Final = ("in", "ft", "yd")
PASTE_WITH_CARE: Final = (
    "Paste may hold a fungicide: keep it off food and from children, and what is left out of drains and soil."
)
SAME_PASTE: Final = "Use the same paste, at the same strength, for the lining as for the paper over it — UK decorator."


def shopping_page(found: ShoppingList, turns: Sequence[PartTurn], units: str) -> str:
    """Return what is to be bought, what each thing is for, and when each part is hung."""
    cost = "" if found.cost is None else f"{money(found.cost)} in all."
    listed = [*map(_rolls, found.rolls), *(packs_line(packs, units) for packs in found.packs)]
    return paragraphs(
        section("Shopping list", bullets(listed), cost),
        section("Days", bullets(waiting_lines(found, turns))),
        section("Heed", bullets(cautions(found))),
    ).rstrip()


def _rolls(rolls: PartRolls) -> str:
    if rolls.order is not None:
        return f"For the {rolls.part.name}: {order_line(rolls.part.scenario.job, rolls.order)}"
    name, many = rolls.part.scenario.job.paper.name, counted(rolls.buy, "roll")
    cost = "" if rolls.cost is None or not rolls.buy else f" ({money(rolls.cost)})"
    taken = f"{rolls.in_hand} of those in hand" if rolls.in_hand else ""
    got = " and ".join(filter(None, (f"{many}{cost}" if rolls.buy else "", taken))) or "no roll"
    proved = "proved, no plan needs fewer" if rolls.is_proved else "not proved the fewest"
    back = f"; {counted(rolls.returned, 'roll')} {'goes' if rolls.returned == 1 else 'go'} back unopened"
    return f"{name}: {got}, for the {rolls.part.name}; {proved}{back if rolls.returned else ''}."


def packs_line(packs: Packs, units: str) -> str:
    """Return how much of a material is bought, what it is for, and what that rests on."""
    material, is_long = packs.material, packs.material.use.is_for_joints
    amount = _amount(packs.amount, units, is_long=is_long)
    over = " and what goes over it" if packs.counts_over else ""
    what = {
        Use.PASTE: f"to paste {listed_with_and(packs.parts)}, {amount} as cut",
        Use.ADHESIVE: f"to hang {listed_with_and(packs.parts)}{over}, {amount}",
        Use.SIZE: f"to size the walls, {amount}",
        Use.FILLER: f"to fill the joints of {listed_with_and(packs.parts)}, {amount}",
    }[material.use]
    if packs.buy is None or packs.covers is None:
        return (
            f"{material.name}: {what}. Read on its label what a {material.pack} covers, and add it as a [[material]]."
        )
    cost = "" if packs.cost is None else f" ({money(packs.cost)})"
    covers = _amount(packs.covers, units, is_long=is_long)
    by = "in common practice" if packs.is_practice else "by its label"
    more = ""
    if packs.buy != packs.by_label:
        more = f"; a fifth more is used in practice, and {packs.returned} may go back unopened if the label holds"
    return f"{material.name}: {counted(packs.buy, material.pack)}{cost}, {what}; {covers} a {material.pack} {by}{more}."


def _amount(amount: Fraction, units: str, *, is_long: bool) -> str:
    """Return an area or a length of joints, rounded up."""
    is_imperial = units in _IMPERIAL
    if is_long:
        unit, name = (UNITS["ft"], "ft") if is_imperial else (UNITS["m"], "m")
    else:
        unit, name = (SQUARE_FOOT, "sq ft") if is_imperial else (SQUARE_METRE, "m²")
    return f"{ceil(amount / unit * 10) / 10:g} {name}"


def waiting_lines(found: ShoppingList, turns: Sequence[PartTurn]) -> Iterator[str]:
    """Yield when each part is hung, or how long it dries where nobody has told the pace of the work."""
    for turn in turns:
        said = f"{turn.part.name}: from day {turn.day}; done on day {int(turn.done // DAY) + 1} at {clock(turn.done)}"
        if turn.part.asked is not None:
            said += (
                f"; dry, after {turn.part.asked.dries} hours, on day {int(turn.dry // DAY) + 1} at {clock(turn.dry)}"
            )
        yield f"{said}."
    for rolls in () if turns else found.rolls:
        if rolls.part.asked is not None:
            dries = rolls.part.asked.dries
            yield f"{rolls.part.name}: let it dry for {dries} hours before anything hangs over it, or by its label."


def cautions(found: ShoppingList) -> Iterator[str]:
    """Yield what to heed with what is bought."""
    asked = [rolls.part.asked for rolls in found.rolls if rolls.part.asked is not None]
    if any(each.adhesive is not None for each in asked):
        yield f"{capital(DAMP)}."
    if any(each.adhesive is None for each in asked):
        yield SAME_PASTE
    yield PASTE_WITH_CARE


def shopping_document(found: ShoppingList, turns: Sequence[PartTurn]) -> Json:
    """Return the list and the days as plain JSON; areas in mm², joints in mm."""
    rolls: list[Json] = [
        {
            "part": rolls.part.name,
            "rolls": rolls.buy,
            "in_hand": rolls.in_hand,
            "returned": rolls.returned,
            "proved": rolls.is_proved,
            "cost": None if rolls.cost is None else exact_number(rolls.cost),
            **({} if rolls.order is None else {"length": exact_mm(rolls.order.length)}),
        }
        for rolls in found.rolls
    ]
    packs: list[Json] = [
        {
            "material": packs.material.name,
            "use": packs.material.use.value,
            "parts": list(packs.parts),
            "amount": exact_mm(packs.amount),
            "covers": None if packs.covers is None else exact_mm(packs.covers),
            "common_practice": packs.is_practice,
            "packs": packs.buy,
            "by_label": packs.by_label,
            "cost": None if packs.cost is None else exact_number(packs.cost),
        }
        for packs in found.packs
    ]
    days = [{"part": turn.part.name, "day": turn.day} for turn in turns]
    return {"shopping": {"rolls": rolls, "materials": packs}, **({"days": days} if days else {})}
