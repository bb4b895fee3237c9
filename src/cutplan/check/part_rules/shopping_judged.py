"""The shopping list of a job: rolls from its plans, all else from areas, joints and what labels say of a pack."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import combinations
from math import ceil
from typing import Final, NamedTuple

from cutplan.check.lining_rules.linings import linings_asked
from cutplan.check.part_rules.bands_on_wall import nothing_of
from cutplan.check.part_rules.shared_rolls import paper_of
from cutplan.check.part_rules.stated_parts import PartedRoom, Planned
from cutplan.check.report import Report, Violation, counted, exact_text
from cutplan.check.roll_rules.rolls_there import rolls_known
from cutplan.check.stated.exact_lengths import MILLIMETRES, plain_fractions
from cutplan.check.stated.fields import NOTHING, Table
from cutplan.check.survey.surveyed import Wall
from cutplan.check.wall_rules.run import run_of

_SQUARES: Final = {
    **dict.fromkeys(("m2", "m²", "sqm"), MILLIMETRES["m"] ** 2),
    **dict.fromkeys(("sqft", "ft2"), MILLIMETRES["ft"] ** 2),
}
_COVERS: Final = re.compile(r"(\d{1,6}(?:\.\d{1,4})?)\s*([a-z² ]+\d?)")
_USUAL_SIZE: Final = 43 * MILLIMETRES["m"] ** 2
"""What a packet of size covers, the wall for 8 rolls — DIY reference, UK."""
_MORE: Final = Fraction(6, 5)
"""How many times as much paste is used as packets promise — UK tradesman."""


class _Material(NamedTuple):
    """A material as its author wrote it; ``covers`` and ``price`` are None where they are not told."""

    name: str
    use: str
    covers: Fraction | None = None
    price: Fraction | None = None
    on: tuple[str, ...] = ()


def judge_shopping(
    document: Table, room: PartedRoom, apart: Mapping[str, Planned], shared: Mapping[str, Planned]
) -> Report:
    """Return the judgement of a job's shopping list; ``apart`` has bands that share rolls each by itself."""
    listed = document.table("shopping")
    if listed is None:
        return Report()
    broken = [*_rolls_rule(listed, shared)]
    job = _Job(document, room, apart)
    due, said = job.materials(), list(listed.tables("materials"))
    if [material.name for material in due] != [entry.text("material") for entry in said]:
        names = ", ".join(repr(material.name) for material in due) or "none"
        broken.append(Violation("shopping", "", f"the materials of this job are {names}, and others are listed"))
    else:
        for material, entry in zip(due, said, strict=True):
            broken += _material_rule(job, material, entry)
    rolls, many = counted(len(shared), "part"), counted(len(due), "material")
    fact = f"shopping list: rolls of {rolls} by their plans, and {many} by areas, joints and labels"
    return Report(tuple(broken), () if broken else (fact,))


def _rolls_rule(listed: Table, shared: Mapping[str, Planned]) -> Iterator[Violation]:
    """Require of each part what its plan takes: rolls to buy and in hand, those that go back, the price, the proof."""
    told = [(entry.text("part"), entry) for entry in listed.tables("rolls")]
    entries = dict(told)
    if [name for name, _ in told] != list(shared):
        yield Violation("shopping", "", f"rolls are for {', '.join(shared)}, in turn, and others are listed")
    for name in [name for name in shared if name in entries]:
        wanted, plan = shared[name].wanted, shared[name].plan
        known = [(roll.count, lot.count) for roll, lot in rolls_known(wanted, plan) if not lot.is_offcut]
        needed = sum(count for count, there in known if there is None)
        taken = sum(count for count, there in known if there is not None)
        bought = wanted.sold.bought(needed)
        over = bought - needed + sum(lot.count or 0 for lot in wanted.rolls) - taken
        cost = None if wanted.sold.price is None else bought * wanted.sold.price
        due: dict[str, object] = {"rolls": bought, "in_hand": taken, "returned": over, "cost": cost, "length": None}
        order, is_least, paper = plan.ordered, plan.certain.status == "optimal", paper_of(shared[name])
        if order is not None:
            due = {"rolls": 0, "in_hand": 0, "returned": 0, "cost": order.cost, "length": order.length}
            is_least = order.length == order.lower_bound
        is_alone = not any(paper_of(other) == paper for key, other in shared.items() if key != name)
        due["proved"] = is_least and is_alone
        for key, figure in due.items():
            said = entries[name].flag(key) if key == "proved" else entries[name].number(key)
            if said != figure:
                yield Violation("shopping", name, f"{key} says {_text(said)}, and its plan comes to {_text(figure)}")


def _material_rule(job: _Job, material: _Material, entry: Table) -> Iterator[Violation]:
    """Require a material to be for its parts, as much of it as they take, and as many packs as its label makes that."""
    parts = job.parts_of(material)
    is_practice = material.covers is None and material.use == "size"
    covers = _USUAL_SIZE if is_practice else material.covers
    amount = job.amount(material, parts)
    more = _MORE if material.use == "paste" else 1
    packs = None if covers is None else ceil(amount * more / covers)
    due: dict[str, object] = {
        "amount": amount,
        "covers": covers,
        "packs": packs,
        "by_label": None if covers is None else ceil(amount / covers),
        "cost": None if packs is None or material.price is None else packs * material.price,
    }
    for key, figure in due.items():
        if entry.number(key) != figure:
            message = f"{key} says {_text(entry.number(key))}, and it comes to {_text(figure)}"
            yield Violation("shopping", material.name, message)
    if entry.optional_text("use") != material.use or bool(entry.flag("common_practice")) != is_practice:
        yield Violation("shopping", material.name, "is not for what the scenario says, or by another label")
    if entry.texts("parts") != parts:
        listed = ", ".join(parts) or "no part"
        yield Violation("shopping", material.name, f"is for {listed}, and listed for others")


def _text(figure: object) -> str:
    if figure is None or isinstance(figure, bool):
        return {None: "nothing", True: "yes", False: "no"}[figure]
    return exact_text(figure) if isinstance(figure, Fraction) else str(figure)


class _Job:
    """What a job takes beside rolls, by its scenario, its walls and the drops of its plans."""

    def __init__(self, document: Table, room: PartedRoom, apart: Mapping[str, Planned]) -> None:
        self.scenario, self.room, self.apart = document.needed_table("scenario"), room, apart
        self.linings = dict(linings_asked(self.scenario))
        self.hung = [name for name in room.kinds if name in apart]
        self.panels = {
            entry.text("part"): [
                (panel.text("wall"), panel.exact("from", "to", "foot", "top"))
                for length in entry.tables("lengths")
                for panel in length.tables("panels")
            ]
            for entry in document.tables("parts")
        }

    def adhesive(self, part: str) -> str | None:
        """Return what a lining that keeps damp back is hung with; None for every other part."""
        return self.linings[part].optional_text("adhesive") if part in self.linings else None

    def materials(self) -> list[_Material]:
        """Return the materials that are named, then adhesives and paste that nobody has named."""
        found = [
            _Material(table.text("name"), table.text("use"), _covers(table), table.number("price"),
                      table.texts("on"))
            for table in self.scenario.tables("material")
        ]  # fmt: skip
        names = {material.name for material in found}
        pasted = [material for material in found if material.use in ("paste", "adhesive")]
        bare = tuple(
            part
            for part in self.hung
            if self.adhesive(part) is None and not any(self._is_for(each, part) for each in pasted)
        )
        needed = dict.fromkeys(adhesive for part in self.hung if (adhesive := self.adhesive(part)) is not None)
        for name in needed:
            if name not in names:
                on = tuple(part for part in self.hung if self.adhesive(part) == name)
                found.append(_Material(name, "adhesive", on=on))
        return [*found, _Material("paste", "paste", on=bare if pasted else ())] if bare else found

    def parts_of(self, material: _Material) -> tuple[str, ...]:
        """Return the parts that a material is for: those named, or all that its use allows."""
        return tuple(part for part in self.hung if self._is_for(material, part))

    def _is_for(self, material: _Material, part: str) -> bool:
        if material.on:
            return part in material.on
        if material.use == "filler":
            return part in self.linings
        if material.use == "adhesive":
            return part in self.linings and self.adhesive(part) == material.name
        return self.adhesive(part) is None

    def amount(self, material: _Material, parts: Sequence[str]) -> Fraction:
        """Return the area in mm² of walls, or of all that is cut for parts; or the length of their joints, mm."""
        if material.use == "size":
            return sum((_area(wall) for wall in self.room.walls), NOTHING)
        if material.use == "filler":
            return sum((self._joints(part) for part in parts), NOTHING)
        over = (self._area_over(part, other) for part in parts for other in self.hung)
        return sum((self._area_cut(part) for part in parts), NOTHING) + sum(over, NOTHING)

    def _area_cut(self, part: str) -> Fraction:
        wanted, strip = self.apart[part].wanted, self.apart[part].wanted.strip or NOTHING
        return sum((drop.cut_length * drop.count * drop.width_of(strip) for drop in wanted.drops.values()), NOTHING)

    def _area_over(self, part: str, other: str) -> Fraction:
        """Return how much of what keeps damp back another part hangs over: a lining all, a band what it reaches."""
        if self.adhesive(part) is None or self.adhesive(other) is not None or self.room.kinds[other] == "border":
            return NOTHING
        band, area = self.apart[other].survey, NOTHING
        for name, (left, right, low, high) in self.panels[part]:
            foot, top = low, high
            for wall in () if band is None else band.walls:
                if wall.name == name:
                    is_empty = wall.openings == (nothing_of(wall),)
                    foot = max(foot, wall.foot.span(left, right)[0])
                    top = foot if is_empty else min(top, wall.top.span(left, right)[1])
            area += (right - left) * max(top - foot, NOTHING)
        return area

    def _joints(self, part: str) -> Fraction:
        if part not in self.linings:
            return self._joints_of_paper(part)
        total = NOTHING
        for (wall, one), (other_wall, other) in combinations(self.panels[part], 2):
            across = min(one[1], other[1]) - max(one[0], other[0])
            up = min(one[3], other[3]) - max(one[2], other[2])
            if wall == other_wall and min(across, up) == 0:
                total += across + up
        return total

    def _joints_of_paper(self, part: str) -> Fraction:
        """Return how long the joints of a paper are on the walls; a border is told as having none."""
        hangs = self.apart[part].wall
        if hangs is None:
            return NOTHING
        run, is_equal = run_of(hangs.survey, hangs.hung), hangs.survey.start.usable is not None
        panels = [seam.right.panel for seam in run.seams if seam.is_joint and (seam.right.panel.left or not is_equal)]
        panels += [run.laid[0].panel] if run.survey.closes and not is_equal else []
        return sum((_joint_at(run.survey.walls[panel.wall], panel.left) for panel in panels), NOTHING)


def _joint_at(wall: Wall, at: Fraction) -> Fraction:
    """Return how long a joint is at a place along a wall, less what lies within or beside openings.

    One beyond the wall, which is refused elsewhere, is taken for one at its end.
    """
    at = min(max(at, NOTHING), wall.width)
    after = min((bend for line in (wall.foot, wall.top) for bend in line.bends if bend > at), default=wall.width)
    foot, top = (line.ends(at, after)[0] for line in (wall.foot, wall.top))
    beside = (thing for thing in wall.openings if thing.left <= at <= thing.right)
    return top - foot - sum(max(min(thing.head, top) - max(thing.foot, foot), NOTHING) for thing in beside)


def _area(wall: Wall) -> Fraction:
    """Return the area of a wall less its openings, and of the reveals that are papered."""
    area = NOTHING
    for line, sign in ((wall.top, 1), (wall.foot, -1)):
        area += sign * sum((right[0] - left[0]) * (left[1] + right[1]) / 2 for left, right in line.edges)
    for thing in wall.openings:
        wide, high = thing.right - thing.left, thing.head - thing.foot
        area += thing.reveal * (2 * high + wide) - wide * high
    return area


def _covers(table: Table) -> Fraction | None:
    """Return what a pack does for by its label, mm² or of filler mm; None where it is not told."""
    text = table.optional_text("covers")
    if text is None:
        return None
    match = _COVERS.fullmatch(plain_fractions(text))
    sizes = MILLIMETRES if table.text("use") == "filler" else _SQUARES
    unit = None if match is None else sizes.get(match[2].replace(" ", ""))
    covers = None if match is None or unit is None else Fraction(match[1]) * unit
    if not covers:
        table.fault("covers", f"cannot read {text!r} as what a pack covers")
    return covers or None
