"""What could be given up where rolls are too few: is each step what its words say, and the job of its plan its own.

A step holds the plan of what is cut then, whose rolls are judged like any. Here the job that it answers is worked out:
the drops that differ, each allowed only what its kind of step changes, and the rolls still to be had.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from fractions import Fraction
from itertools import pairwise
from math import ceil
from typing import Final, TypeAlias

from msgspec import Struct
from msgspec.structs import replace

from cutplan.check.report import Violation, counted, mm
from cutplan.check.roll_rules.rolls_there import rolls_bought
from cutplan.check.roll_rules.what_fits_where import StockLot, WantedDrop, with_cut_outs, with_foreign_told
from cutplan.check.stated.document import ListedPlan
from cutplan.check.stated.echo import Wanted, drops_wanted
from cutplan.check.stated.exact_lengths import read_length
from cutplan.check.stated.fields import Table
from cutplan.check.stated.match import within_repeat
from cutplan.check.wall_rules.on_the_wall import WallToJudge

_NEEDED: Final = "more_rolls_needed"
_LEAST: Final = "more_rolls_lower_bound"
_OTHER: Final = "rolls_of_another_batch"
_DROPS: Final = r"drops? (?P<drops>.+)"
_KINDS: Final = {
    "start": r"begin with (motif_drop = (?P<height>.+)|(?P<puts>the motif|a joint|the middle of a strip) at (?P<at>.+?)"
    r" from the left of (?P<wall>.+?)(?P<finish>, and the finish that .+)?)",
    "trim": r"cut with a trim of (?P<top>.+) at the top and (?P<foot>.+) at the foot",
    "joint": r"leave the joint (?P<at>.+?) from the left of (?P<wall>.+) unmatched, behind (?P<behind>.+), "
    r"and hang the print to its (?P<side>left|right) (?P<lower>.+) lower",
    "turned": rf"hang {_DROPS} head down",
    "sideways": rf"turn {_DROPS} by a quarter, across the roll",
    "joined": rf"join (?P<one>one )?{_DROPS} of two pieces, (?P<lower>.+) above (the|its) foot",
    "paper": r"hang another paper on (?P<wall>.+)",
    "batch": r"hang another batch on (?P<wall>.+) alone",
}
"""What could be given up, as it is told of each kind; ``drops`` and ``wall`` are those of the job."""
_RUN: Final = re.compile(r"(?P<first>\d{1,9}) to (?P<last>\d{1,9})")
CHANGED: Final = ("rolls_to_be_had", "drop", "left_out", "start", "finish")
"""What is other than in the scenario, beside the keys of a plan."""
_NEAR: Final = Fraction(1)
"""Lengths in words are read off a tape, to the millimetre or the sixteenth of an inch."""


class ListedStep(Struct, frozen=True):
    """One thing that could be given up, and what is stated of it.

    ``needed`` are the rolls still to be had of this batch, ``least`` the bound of them, ``other`` those of another;
    ``plan`` and ``other_plan`` hold the plans, None in a file of an earlier version.
    """

    kind: str
    what: str
    needed: int
    least: int
    other: int
    plan: Table | None
    other_plan: Table | None

    @property
    def words(self) -> dict[str, str]:
        """What its words name, by what it is; empty where they are not those of its kind."""
        told = re.fullmatch(_KINDS.get(self.kind, ".*"), self.what)
        return {} if told is None else {key: text for key, text in told.groupdict().items() if text is not None}


def read_steps(document: Table) -> tuple[ListedStep, ...]:
    """Return what could be given up; faults go into the document's table."""
    steps = []
    for table in document.tables("given_up"):
        kind = table.one_of("kind", tuple(_KINDS)) or ""
        if kind != "batch" and (table.has(_OTHER) or table.has("other_plan")):
            table.fault(_OTHER, "must be null: only another batch on a wall takes rolls of another batch")
        needed, least, other = (table.whole(key) or 0 for key in (_NEEDED, _LEAST, _OTHER))
        what = table.optional_text("what") or ""
        steps.append(ListedStep(kind, what, needed, least, other, table.table("plan"), table.table("other_plan")))
    return tuple(steps)


def steps_rule(steps: tuple[ListedStep, ...], drops: Mapping[str, WantedDrop], walls: set[str]) -> Iterator[Violation]:
    """Require each to be told once, as its kind is, of drops and walls that there are, and the dearest to stand last.

    None may claim a bound above its figure, and of each kind but walls, and another start, only one is told.
    """
    kinds = [step.kind for step in steps if step.kind not in ("start", "paper", "batch")]
    if len({(step.kind, step.what) for step in steps}) < len(steps):
        yield Violation("given up", "", "one thing is told twice")
    if len(set(kinds)) < len(kinds):
        yield Violation("given up", "", "one kind is told twice")
    for place, step in enumerate(steps, 1):
        words = step.words
        if step.least > step.needed:
            message = f"{step.needed} more needed, and a bound of {step.least}"
            yield Violation("given up", f"step {place}", message)
        if not words:
            yield Violation("given up", "", f"{step.what!r} is not told as {step.kind!r} is")
        if "wall" in words and words["wall"] not in walls:
            yield Violation("given up", "", f"{step.what!r}: the job has no such wall")
        if "drops" in words and named_in(words["drops"], drops) is None:
            yield Violation("given up", "", f"{step.what!r}: the job has no such drop")
    to_be_had = [step.needed + step.other for step in steps]
    if to_be_had != sorted(to_be_had):
        yield Violation("given up", "", "the dearest does not stand last")


def named_in(text: str, drops: Mapping[str, WantedDrop]) -> list[str] | None:
    """Return the drops that words name, one by one or as a run; None for one that is not there, or told twice."""
    if text in drops:
        return [text]
    named: list[str] = []
    for part in text.split(", "):
        run = _RUN.fullmatch(part)
        if part in drops:
            named.append(part)
        elif run and 0 < int(run["last"]) - int(run["first"]) < len(drops):
            named += [str(number) for number in range(int(run["first"]), int(run["last"]) + 1)]
        else:
            return None
    return named if len(set(named)) == len(named) and drops.keys() >= set(named) else None


def figures_rule(plan: ListedPlan, wanted: Wanted, needed: int, least: int | None) -> Iterator[Violation]:
    """Require the rolls to be had to be those that the plan takes beside those in hand, and the bound to be its own."""
    taken = rolls_bought(wanted, plan)
    if needed != taken:
        yield Violation("given up", "", f"{counted(needed, 'roll')} said to be needed, the plan takes {taken}")
    bound = 0 if plan.certain.proof is None else ceil(plan.certain.proof.bound)
    if least not in (None, bound):
        yield Violation("given up", "", f"the bound is said to be {least}, that of the plan is {bound}")


# The job that the plan of a step answers.


def drops_of_step(plan: Table, scenario: Table, wanted: Wanted) -> dict[str, WantedDrop]:
    """Return the drops that are wanted when something is given up: those of the job, but what is listed of them."""
    told = {**plan.values, "trim": scenario.values.get("trim")}
    listed = drops_wanted(replace(plan, values=told, units=scenario.units), wanted.match, wanted.strip)
    out, drops = plan.texts("left_out", "labels"), {}
    if not wanted.drops.keys() >= set(out) or listed.keys() & set(out):
        plan.fault("left_out", "must be drops of the scenario that are not listed anew")
    for label, old in wanted.drops.items():
        if label in listed:
            drops[label] = replace(listed[label], is_along=old.is_along, reach=old.reach)
        elif label not in out:
            drops[label] = old
        halves = [f"{label} {which}" for which in ("upper", "lower")]
        drops |= {half: listed[half] for half in halves if half in listed}
    return {**drops, **{label: drop for label, drop in listed.items() if label not in drops}}


def hung_lower(drop: WantedDrop, lower: Fraction, wanted: Wanted) -> WantedDrop:
    """Return a drop whose print hangs lower, and with it that of what falls out of it."""
    repeat = wanted.match.repeat
    cut_outs = tuple(
        replace(each, first_motif=within_repeat(each.first_motif + lower, repeat)) for each in drop.cut_outs
    )
    return replace(drop, first_motif=within_repeat(drop.first_motif + lower, repeat), cut_outs=cut_outs)


def with_trims(drop: WantedDrop, top: Fraction, bottom: Fraction, wanted: Wanted) -> WantedDrop:
    """Return a drop with other trims, and what is slit off beside it as long as it is cut then."""
    other, repeat = replace(drop, trim_top=top, trim_bottom=bottom), wanted.match.repeat
    lower = drop.trim_top - top
    cut_outs = tuple(
        replace(each, length=other.cut_length, first_motif=within_repeat(each.first_motif - lower, repeat))
        if each.length == drop.cut_length
        else each
        for each in drop.cut_outs
    )
    return replace(other, cut_outs=cut_outs)


def turned(drop: WantedDrop, wanted: Wanted) -> WantedDrop:
    """Return a drop hung head down, its motifs as high as they were; what falls out of it as it lies on the roll."""
    repeat, strip = wanted.match.repeat, wanted.strip
    left, right, cut_outs = drop.left, drop.right, drop.cut_outs
    if strip is not None:
        left, right = (None if side is None else strip - side for side in (right, left))
        cut_outs = tuple(
            replace(
                each,
                first_motif=within_repeat(each.length - each.first_motif, repeat),
                left=strip - each.right,
                right=strip - each.left,
            )
            for each in cut_outs
        )
    return replace(
        drop,
        first_motif=within_repeat(drop.height - drop.first_motif, repeat),
        trim_top=drop.trim_bottom,
        trim_bottom=drop.trim_top,
        left=left,
        right=right,
        cut_outs=cut_outs,
    )


def with_rolls_to_be_had(wanted: Wanted, plan: Table, *, is_another_batch: bool) -> Wanted:
    """Return what is wanted with the paper in hand at no price, and as many more rolls as needed at one each.

    Rolls to be had are of the batches in hand; those of another batch are all the paper there is.
    """
    in_hand = {} if is_another_batch else {label: lot for label, lot in wanted.lots.items() if lot.count is not None}
    kept = {
        label: lot
        for label, lot in in_hand.items()
        if lot.cut_from is None and (lot.after is None or lot.after in wanted.drops)
    }
    rolls = [lot for lot in kept.values() if not lot.is_offcut]
    told = {lot.batch for lot in rolls if lot.batch} | {drop.batch for drop in wanted.drops.values() if drop.batch}
    price = Fraction(1) if rolls else None
    new = {}
    for entry in plan.tables("rolls_to_be_had"):
        label, batch = entry.text("lot"), entry.optional_text("batch") or ""
        if label in kept or label in new:
            entry.fault("lot", f"{label!r} is used more than once")
        new[label] = StockLot(label, wanted.sold.roll_length, None, None, price, batch=batch)
    if not new or (told and {lot.batch for lot in new.values()} != told):
        plan.fault("rolls_to_be_had", "must be of each batch that is in hand, and of no other")
    lots = {label: replace(lot, price=Fraction(0)) if rolls else lot for label, lot in kept.items()} | new
    return replace(wanted, lots=with_cut_outs(with_foreign_told(lots), wanted.drops, wanted.strip))


# What each kind of step may change.


class Whole(Struct, frozen=True):
    """A job that its rolls are too few for: what it wants, its room, the drops on each wall, and its scenario."""

    wanted: Wanted
    wall: WallToJudge | None
    on_walls: Mapping[str, set[str]]
    scenario: Table

    def on_alone(self, wall: str) -> set[str]:
        """Return the drops that hang on a wall and on no other."""
        others = [drops for name, drops in self.on_walls.items() if name != wall]
        return self.on_walls.get(wall, set()).difference(*others)


def changes_rule(
    step: ListedStep, whole: Whole, drops: Mapping[str, WantedDrop], *, is_another_batch: bool
) -> Iterator[Violation]:
    """Require the drops of a step to differ from those of the job in what its words say, and in nothing else."""
    said, wanted = _Said(step, whole.wanted, drops, whole.wall), whole.wanted.drops
    due = {"trim": said.trimmed, "joint": said.unmatched, "turned": said.turned, "joined": said.joined}.get(step.kind)
    if step.kind in ("paper", "batch"):
        gone = whole.on_alone(step.words.get("wall", ""))
        kept = {label: drop for label, drop in wanted.items() if label not in gone}
        there = {label: replace(drop, batch=None) for label, drop in wanted.items() if label in gone}
        is_so = drops == (there if is_another_batch else kept)
    elif step.kind == "sideways":
        paper = whole.scenario.table("paper") or whole.scenario
        growth = paper.number("wet_growth") or Fraction(0)
        is_so = paper.flag("sideways") is True and said.lies_sideways(1 + growth / 100)
    else:
        is_so = due is not None and bool(step.words) and drops == due()
    if not is_so:
        yield Violation("given up", "", f"{step.what!r}: the drops of its plan are not what this makes of them")


def start_rule(step: ListedStep, whole: WallToJudge | None, wall: WallToJudge | None) -> Iterator[Violation]:
    """Require another start to be where the words put it, and in all that they leave out as the job has it."""
    if whole is None or wall is None:
        yield Violation("given up", "", f"{step.what!r}: no room was surveyed")
        return
    words, old, start = step.words, whole.survey, wall.survey.start
    if "height" in words:
        is_so = _is_near(words["height"], start.motif_drop)
        due = replace(old.start, motif_drop=start.motif_drop, motif_height=None)
    else:
        puts = {"the motif": "motif", "a joint": "joint"}.get(words.get("puts", ""), "middle")
        is_so = puts == start.puts and words.get("wall") == wall.survey.walls[start.wall].name
        is_so = is_so and _is_near(words.get("at", ""), start.at)
        due = replace(old.start, wall=start.wall, at=start.at, puts=start.puts, left_part=start.left_part)
    is_finish_told = "finish" in words or wall.survey.finish in (None, old.finish)
    if not is_so or start != due or not is_finish_told:
        yield Violation("given up", "", f"{step.what!r}: its plan begins elsewhere, at {mm(start.at)}")


def _is_near(text: str, length: Fraction) -> bool:
    """Return True when a length in words is one as a tape reads it."""
    try:
        return abs(read_length(text, None) - length) < _NEAR
    except ValueError:
        return False


class _Said(Struct, frozen=True):
    """The drops as the words of a step make them of those of the job."""

    step: ListedStep
    wanted: Wanted
    made: Mapping[str, WantedDrop]
    wall: WallToJudge | None

    @property
    def named(self) -> list[str]:
        return named_in(self.step.words.get("drops", ""), self.wanted.drops) or []

    def trimmed(self) -> dict[str, WantedDrop] | None:
        """Return the drops with their trims, none longer than before; the longest are those that the words name."""
        words, old = self.step.words, self.wanted.drops
        if self.made.keys() != old.keys():
            return None
        most = max(drop.trim_top + drop.trim_bottom for drop in self.made.values())
        longest = [drop for drop in self.made.values() if drop.trim_top + drop.trim_bottom == most]
        is_told = any(_is_near(words["top"], d.trim_top) and _is_near(words["foot"], d.trim_bottom) for d in longest)
        is_less = all(
            drop.trim_top <= old[label].trim_top and drop.trim_bottom <= old[label].trim_bottom
            for label, drop in self.made.items()
        )
        if not is_told or not is_less:
            return None
        return {
            label: with_trims(drop, self.made[label].trim_top, self.made[label].trim_bottom, self.wanted)
            for label, drop in old.items()
        }

    def turned(self) -> dict[str, WantedDrop]:
        """Return the drops with those named hung head down."""
        named = set(self.named)
        return {
            label: turned(drop, self.wanted) if label in named else drop for label, drop in self.wanted.drops.items()
        }

    def unmatched(self) -> dict[str, WantedDrop] | None:
        """Return the drops with all those beyond the joint hung lower."""
        words, old = self.step.words, self.wanted.drops
        if self.wall is None:
            return None
        survey, hung = self.wall.survey, self.wall.hung
        is_right = words["side"] == "right"
        joints = {
            (right if is_right else left).number
            for left, right in pairwise(hung.columns)
            for number, at in (
                (left.panels[-1].wall, left.panels[-1].right),
                (right.panels[0].wall, right.panels[0].left),
            )
            if survey.walls[number].name == words["wall"] and _is_near(words["at"], at)
        }
        behind = {thing.name for each in survey.walls for thing in (*each.openings, *each.fittings)}
        if len(joints) != 1 or words["behind"] not in behind:
            return None
        (last,) = joints
        beyond = {
            piece.drop for piece in hung.all_in_order if (piece.column >= last if is_right else piece.column <= last)
        }
        lower = next((self.made[each].first_motif - old[each].first_motif for each in beyond), Fraction(0))
        if not _is_near(words["lower"], within_repeat(lower, self.wanted.match.repeat)):
            return None
        return {label: hung_lower(drop, lower, self.wanted) if label in beyond else drop for label, drop in old.items()}

    def joined(self) -> dict[str, WantedDrop] | None:
        """Return the drops with one, or all, of each that is named made of two pieces whose print goes on."""
        joined: dict[str, WantedDrop] = {}
        for label, drop in self.wanted.drops.items():
            if label not in self.named:
                joined[label] = drop
                continue
            count = 1 if "one" in self.step.words else drop.count
            below = self.made.get(f"{label} lower")
            if below is None or not _is_near(self.step.words["lower"], below.height):
                return None
            upper = drop.height - below.height
            if drop.count > count:
                joined[label] = replace(drop, count=drop.count - count)
            half = replace(drop, count=count, cut_outs=())
            motif = within_repeat(drop.first_motif - upper, self.wanted.match.repeat)
            joined[f"{label} upper"] = replace(half, label=f"{label} upper", height=upper)
            joined[below.label] = replace(half, label=below.label, height=below.height, first_motif=motif)
        return joined

    def lies_sideways(self, wet: Fraction) -> bool:
        """Return True when pieces of those named are gone, and lie side by side on what is cut off for them.

        Pieces hang ``wet`` times as wide as they are cut; those that lie together are as high, of one wall and batch.
        """
        old, strip = self.wanted.drops, self.wanted.strip
        if strip is None or self.wanted.match.repeat:
            return False
        pieces: dict[_Group, list[Fraction]] = {}
        for label in self.named:
            drop, left = old[label], self.made.get(label)
            laid = drop.count - (0 if left is None else left.count)
            pieces.setdefault(_group(drop), []).extend([drop.width_of(strip) * wet] * laid)
        across: dict[_Group, list[Fraction]] = {}
        for label, drop in self.made.items():
            laid_for = old.get(label.rpartition(" across ")[0])
            if label in old or laid_for is None:
                continue
            due = replace(laid_for, label=label, height=drop.height, count=1, left=None, right=None, cut_outs=())
            if drop != due:
                return False
            across.setdefault(_group(laid_for), []).append(drop.height)
        kept = {label: drop for label, drop in self.made.items() if label in old}
        as_before = {label: replace(drop, count=kept[label].count) for label, drop in old.items() if label in kept}
        return (
            kept == as_before
            and all(label in kept or label in self.named for label in old)
            and all(_lie_on(widths, across.pop(group, []), int(strip // group[0])) for group, widths in pieces.items())
            and not across
        )


_Group: TypeAlias = "tuple[Fraction, str | None, str | None]"


def _group(drop: WantedDrop) -> _Group:
    return drop.cut_length, drop.wall, drop.batch


def _lie_on(widths: list[Fraction], lengths: list[Fraction], beside: int) -> bool:
    """Return True when pieces so wide, so many side by side, lie on what is cut to these lengths, the widest first."""
    widest = sorted(widths, reverse=True)[:: max(beside, 1)]
    longest = sorted(lengths, reverse=True)
    return (
        beside > 0
        and len(widest) == len(longest)
        and all(w <= length for w, length in zip(widest, longest, strict=True))
    )
