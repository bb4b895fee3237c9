"""The same room from other pieces: short ones turned, a drop joined of two, a hidden joint left unmatched."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from fractions import Fraction
from itertools import product
from typing import Final, TypeAlias

from msgspec.structs import replace

from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.lengths import ZERO, Length
from cutplan.room.walls import Opening, Room, Wall
from cutplan.setting_out import Joint, SettingOut
from cutplan.wording import Wording, in_runs

PARTS: Final = 8
"""A joint across a drop is looked for at every eighth of its height, to the centimetre."""
HALVES: Final = ("upper", "lower")
"""What the pieces of a drop joined of two are called behind its label."""
MOST_SHIFTS: Final = 12
"""Heights of the print that are tried beyond one unmatched joint: those that bring two pieces into line."""

Other: TypeAlias = "tuple[Wording, Job]"
"""What to do, and the job that is to be cut then."""


# Short pieces turned.


def turned(job: Job) -> Iterator[Other]:
    """Yield the job with one sort of short piece hung head down, then with all of them.

    A motif that is turned hangs as high as it did. Nothing is yielded for a free match, which turning does not help.
    """
    for short in () if job.paper.pattern.is_free else _ways_of(_short_ones(job)):
        labels = [drop.label for drop in short]
        drops = tuple(_turned(drop, job) if drop.label in labels else drop for drop in job.drops)
        yield Wording("hang {} head down", (_named(labels),)), replace(job, drops=drops)


def _short_ones(job: Job) -> list[list[Drop]]:
    """Return the short pieces by their sort: those no more than half as high as the highest, over doors, say."""
    highest = max(drop.height for drop in job.drops)
    sorts: dict[object, list[Drop]] = {}
    for drop in job.drops:
        if drop.height * 2 <= highest:
            sorts.setdefault(job.kind_of(drop.label), []).append(drop)
    return list(sorts.values())


def _ways_of(sorts: list[list[Drop]]) -> list[list[Drop]]:
    """Return each sort by itself, then all of them."""
    return [*sorts, [drop for sort in sorts for drop in sort]] if len(sorts) > 1 else sorts


def sideways(job: Job) -> Iterator[Other]:
    """Yield the job with one sort of short piece hung on its side, then with all, where the paper allows it.

    Such a piece lies along the roll as wide as it hangs, its height across; as many of a sort as the roll is wide for
    lie beside one another. Every edge of a piece has the trims of a drop, for none of them is an edge of the roll.
    Nothing else is cut from what is beside such a piece. One with which an offcut comes hangs upright.
    """
    strip = job.paper.roll_width
    if not job.paper.may_lie_sideways or strip is None:
        return
    needed = {lot.waits_for for lot in job.lots}
    sorts = [
        [drop for drop in sort if drop.cut_length <= strip and drop.label not in needed] for sort in _short_ones(job)
    ]
    for short in _ways_of([sort for sort in sorts if sort]):
        across = list(_across(job, short, strip))
        laid = Counter(label for labels, _ in across for label in labels)
        upright = (replace(drop, count=left) for drop in job.drops if (left := drop.count - laid[drop.label]))
        if across:
            labels = [drop.label for drop in short if laid[drop.label]]
            what = Wording("turn {} by a quarter, across the roll", (_named(labels),))
            yield what, replace(job, drops=(*upright, *(drop for _, drop in across)))


def _across(job: Job, short: Sequence[Drop], strip: Length) -> Iterator[tuple[list[str], Drop]]:
    """Yield pieces that lie side by side across the roll, by label, with what is cut off it for them.

    They are as high as one another, of one wall and batch, the widest first; those that take less upright stay so.
    """
    alike: dict[object, list[tuple[Length, Drop]]] = {}
    for drop in short:
        wide = strip if drop.left is None or drop.right is None else drop.right - drop.left
        pieces = [(wide * (1 + job.paper.wet_growth), drop)] * drop.count
        alike.setdefault((drop.cut_length, drop.wall, drop.batch), []).extend(pieces)
    for every in alike.values():
        widest = sorted(every, key=lambda piece: -piece[0])
        beside = int(strip // widest[0][1].cut_length)
        for first in range(0, len(widest), beside):
            pieces = widest[first : first + beside]
            wide, drop = pieces[0]
            name = f"{drop.label} across {first}"
            laid = replace(drop, label=name, height=wide, count=1, left=None, right=None, cut_outs=())
            if laid.cut_length < len(pieces) * drop.cut_length:
                yield [each.label for _, each in pieces], laid


def _turned(drop: Drop, job: Job) -> Drop:
    """Return a drop hung head down, what falls out of it told as it lies with its print upright."""
    pattern, strip = job.paper.pattern, job.paper.roll_width
    left, right, cut_outs = drop.left, drop.right, drop.cut_outs
    if strip is not None:
        left, right = (None if right is None else strip - right), (None if left is None else strip - left)
        cut_outs = tuple(
            replace(
                each,
                first_motif=pattern.within_repeat(each.length - each.first_motif),
                left=strip - each.right,
                right=strip - each.left,
            )
            for each in cut_outs
        )
    return replace(
        drop,
        first_motif=pattern.within_repeat(drop.cut_length - drop.motif_below_cut - drop.trim_bottom),
        trim_top=drop.trim_bottom,
        trim_bottom=drop.trim_top,
        left=left,
        right=right,
        cut_outs=cut_outs,
    )


# A drop joined of two.


def joined(job: Job, matters_least: Sequence[str]) -> Iterator[Other]:
    """Yield the job with one drop of each sort joined of two pieces, which meet in the print.

    Each piece has the trims of a drop, so that they lap and are cut through together. Of drops alike one on the wall
    that matters least is joined: ``matters_least`` are drops, those first. A drop from which something else may be cut,
    or with which an offcut comes, is left whole.
    """
    needed = {lot.waits_for for lot in job.lots} | {lot.waits_for for lot in job.offcuts}
    taken = {drop.label for drop in job.drops}
    highest = max(drop.height for drop in job.drops)
    order = [label for label in matters_least if label in taken]
    seen: set[object] = set()
    for label in dict.fromkeys((*order, *reversed([drop.label for drop in job.drops]))):
        drop = job.drop(label)
        names = [f"{label} {which}" for which in HALVES]
        kind = (job.kind_of(label), drop.left, drop.right)
        if kind in seen or label in needed or drop.height * 2 <= highest or taken & set(names):
            continue
        seen.add(kind)
        for part in range(1, PARTS):
            lower = Fraction(round(drop.height * part / PARTS, -1))
            what = Wording("join one drop {} of two pieces, {} above its foot", (label, lower))
            yield what, replace(job, drops=tuple(_parts(job, drop, lower)))


def long_ones_joined(job: Job, too_long: Collection[str]) -> Iterator[Other]:
    """Yield the job with every drop of some, which no roll gives whole, joined of two pieces at the same height."""
    lowest = min(job.drop(label).height for label in too_long)
    for part in range(1, PARTS):
        lower = Fraction(round(lowest * part / PARTS, -1))
        drops: list[Drop] = []
        for drop in job.drops:
            drops += _halves(job, drop, lower) if drop.label in too_long else (drop,)
        what = Wording("join {} of two pieces, {} above the foot", (_named(list(too_long)), lower))
        yield what, replace(job, drops=tuple(drops))


def _parts(job: Job, joined_one: Drop, lower: Length) -> Iterator[Drop]:
    for drop in job.drops:
        if drop is not joined_one:
            yield drop
            continue
        if drop.count > 1:
            yield replace(drop, count=drop.count - 1)
        yield from _halves(job, replace(drop, count=1), lower)


def _halves(job: Job, drop: Drop, lower: Length) -> tuple[Drop, Drop]:
    upper = drop.height - lower
    motif = job.paper.pattern.within_repeat(drop.first_motif - upper)
    above, below = (f"{drop.label} {which}" for which in HALVES)
    return (
        replace(drop, label=above, height=upper, cut_outs=()),
        replace(drop, label=below, height=lower, first_motif=motif, cut_outs=()),
    )


# A hidden joint left unmatched.


def unmatched(job: Job, setting_out: SettingOut) -> Iterator[Other]:
    """Yield the job with the print hung lower from one hidden joint on, away from the start.

    The print beyond such a joint may hang at any height. Heights are tried at which a piece beyond comes to lie in the
    print as one before it does.
    """
    pattern = job.paper.pattern
    if pattern.is_free:
        return
    columns = {piece.label: piece.column for piece in setting_out.hung}
    for joint in setting_out.joints:
        behind = hidden_by(setting_out.room, joint)
        if behind is None:
            continue
        is_right = joint.right_column > 0
        beyond = {
            label
            for label, column in columns.items()
            if (column >= joint.right_column if is_right else column <= joint.left_column)
        }
        side, wall = ("right" if is_right else "left"), setting_out.room.walls[joint.wall].name
        for lower in _shifts(job, beyond):
            text = "leave the joint {} from the left of {} unmatched, behind {}, and hang the print to its {} {} lower"
            yield Wording(text, (joint.at, wall, behind, side, lower)), _hung_lower(job, beyond, lower)


def hidden_by(room: Room, joint: Joint) -> str | None:
    """Return what stands before a joint: furniture half as high as the wall or more, or a door as it stands open.

    A door covers as much wall beside it as it is wide, round an internal corner too; on which side it hangs is not
    known [practice].
    """
    wall = room.walls[joint.wall]
    height = wall.top.highest(joint.at, joint.at) - wall.foot.lowest(joint.at, joint.at)
    for fitting in wall.fittings:
        stands = fitting.kind.value == "fitting" and fitting.height * 2 >= height
        if stands and fitting.left <= joint.at <= fitting.right:
            return fitting.name
    return next((name for name, door in _doors_near(room, joint) if 0 <= door[1] <= door[0]), None)


def _doors_near(room: Room, joint: Joint) -> Iterator[tuple[str, tuple[Length, Length]]]:
    """Yield doors with their width and how far along the run their side is from the joint, round one corner at most."""
    number, at = joint.wall, joint.at
    wall = room.walls[number]
    for door in _doors(wall):
        yield door.name, (door.width, door.left - at if at <= door.left else at - door.right)
    right, left = room.corner_right_of(number), room.corner_left_of(number)
    if right is not None and right.kind.value == "internal":
        for door in _doors(room.walls[(number + 1) % len(room.walls)]):
            yield door.name, (door.width, wall.width - at + door.left)
    if left is not None and left.kind.value == "internal":
        before = room.walls[number - 1]
        for door in _doors(before):
            yield door.name, (door.width, before.width - door.right + at)


def _doors(wall: Wall) -> Iterator[Opening]:
    return (opening for opening in wall.openings if opening.kind.value == "door")


def _shifts(job: Job, beyond: Collection[str]) -> list[Length]:
    """Return by how much the print may hang lower beyond a joint, the commonest coincidences of pieces first."""
    within = job.paper.pattern.within_repeat
    here, there, shifts = Counter[Length](), Counter[Length](), Counter[Length]()
    for drop in job.drops:
        (there if drop.label in beyond else here)[within(drop.motif_below_cut)] += drop.count
    for (one, times), (other, often) in product(here.items(), there.items()):
        shifts[within(one - other)] += times * often
    shifts.pop(ZERO, None)
    return sorted(shifts, key=lambda shift: (-shifts[shift], shift))[:MOST_SHIFTS]


def _hung_lower(job: Job, beyond: Collection[str], lower: Length) -> Job:
    def moved(motif: Length) -> Length:
        return job.paper.pattern.within_repeat(motif + lower)

    drops = (
        replace(
            drop,
            first_motif=moved(drop.first_motif),
            cut_outs=tuple(replace(each, first_motif=moved(each.first_motif)) for each in drop.cut_outs),
        )
        if drop.label in beyond
        else drop
        for drop in job.drops
    )
    return replace(job, drops=tuple(drops))


def _named(labels: Sequence[str]) -> str:
    """Return drops by their labels, those that follow one another as a run."""
    return f"drop{'s' if len(labels) > 1 else ''} {', '.join(in_runs(labels))}"
